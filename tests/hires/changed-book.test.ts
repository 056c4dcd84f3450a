/**
 * Talks as earlier versions stored them (states/, by name of the version), taken up by today's step: with today's
 * book, and with one from which everything that they refer to is gone. Nobody is stranded, and nothing throws.
 */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { after, type Instant } from "../../src/calendar.js";
import type { Hire, LaneState, Step } from "../../src/hires/hire.js";
import { step } from "../../src/hires/step.js";
import type { Book } from "../../src/knowledge/book.js";
import { build, type Matcher } from "../../src/matching/matcher.js";
import type { ArrivalBody, LaneId, Matter } from "../../src/post.js";
import { book, matcher } from "../kit/hire.js";

type Kept = { name: string; at: Instant; state: { kind: "hire"; hire: Hire }; taps: string[] };
const folder = join(import.meta.dirname, "states");
const kept = readdirSync(folder).flatMap((file) =>
  (JSON.parse(readFileSync(join(folder, file), "utf8")) as Kept[]).map((one) => ({
    ...one,
    name: `${file.replace(".json", "")}: ${one.name}`,
  })),
);

const via = { channel: "web", to: "p1" } as const;
const from = { person: "p1", name: "Ann", via };

/** Everything that may come in next: what is on the screen, plain words, staff, and the dues that are set. */
function whatMayCome({ state, taps }: Kept): [string, ArrivalBody][] {
  const talk = state.hire.talks["p1"];
  const { asking } = talk ?? {};
  const path = asking ? [...asking.path, 0] : [];
  const on = [
    ...taps,
    ...(asking ? [`c:${asking.entry}:${path.join(".")}`, `c:${asking.entry}:9.9.9`] : []),
    ...(talk?.offered ?? []).map((id) => `e:${id}`),
    ...(talk?.doubt ? ["doubt:yes", "doubt:no"] : []),
    ...["person", "else", "e:gone", "c:gone:0"],
  ];
  const matters: Matter[] = [
    { kind: "next-contact", callout: 1 },
    { kind: "promise", callout: 1 },
    { kind: "hear-from", callout: 1 },
    { kind: "reply-missing", key: "oil-check:1" },
    { kind: "reminder", keys: [] },
  ];
  const words = ["yes", "no", "2", "what do I do now", "between the marks", "2 kW", "it is a bird"];
  return [
    ...[...new Set(on)].map((tap): [string, ArrivalBody] => [
      `tap ${tap}`,
      { kind: "tapped", from, tap },
    ]),
    ...words.map((text): [string, ArrivalBody] => [`"${text}"`, { kind: "said", from, text }]),
    ["a photo", { kind: "photo", from, file: { id: "f", kind: "image/jpeg" } }],
    ["a place", { kind: "located", from, lat: 57.1, lon: -4.2 }],
    ["takes", { kind: "desk", by: "callum", act: { do: "take", callout: 1 } }],
    ["done", { kind: "desk", by: "morag", act: { do: "done", callout: 1, outcome: "helped" } }],
    ...matters.map((matter): [string, ArrivalBody] => [
      `due ${matter.kind}`,
      {
        kind: "due",
        due: "k",
        generation: state.hire.callouts[0]?.generation ?? state.hire.planned,
        matter,
      },
    ]),
  ];
}

function take(one: Kept, body: ArrivalBody, by: { book: Book; matcher: Matcher }): Step {
  const now = after(one.at, 3);
  const arrival = { key: "k", lane: "hire:h1" as LaneId, receivedAt: now, body };
  const reach = { atDesk: ["morag", "callum"], telegram: {}, hook: false };
  return step(one.state as LaneState, arrival, { now, ...by, reach } as never);
}

/** What the hirer can do next: words on the screen, and a person who knows or a button for one. */
function stranded(state: Kept["state"], body: ArrivalBody, did: Step): string | undefined {
  const told = did.sends.filter((s) => s.person === "p1");
  if (told.some((s) => s.message.text.trim().length < 3)) return "an empty message";
  if (body.kind !== "said" && body.kind !== "tapped") return undefined;
  // A second tap on the same button, and a "yes" in a matter that staff read anyway, need no words.
  const quiet = did.because.some((why) => /double|relayed/.test(why));
  if (told.length === 0) return quiet ? undefined : `nothing was said (${did.because.join("; ")})`;
  const hire = did.state?.kind === "hire" ? did.state.hire : state.hire;
  const staffKnow = hire.callouts.some((c) => c.state !== "done");
  const closed = told.some((s) => s.message.text.includes("question is closed"));
  const wayOut = told.some((s) => s.message.buttons?.some((button) => button.tap === "person"));
  return closed && !staffKnow && !wayOut ? "no way on, and no person" : undefined;
}

/** The book without what these talks refer to; dangers stay but for those that a doubt is about. */
function changed(): { book: Book; matcher: Matcher } {
  const talks = kept.flatMap((one) => Object.values(one.state.hire.talks));
  const gone = new Set(
    talks.flatMap((t) => [
      ...t.lastEntries,
      ...(t.offered ?? []),
      t.asking?.entry ?? "",
      t.sum?.entry ?? "",
      t.doubt?.danger ?? "",
    ]),
  );
  const { "oil-check": _oil, ...rules } = book.reminders.rules;
  const { callum: _callum, ...contacts } = book.firm.contacts;
  const less: Book = {
    ...book,
    hash: "changed",
    entries: new Map([...book.entries].filter(([id]) => !gone.has(id))),
    lightSheet: book.lightSheet.filter((id) => !gone.has(id)),
    reminders: { ...book.reminders, rules },
    firm: { ...book.firm, contacts },
  };
  expect(gone.size).toBeGreaterThan(10);
  return { book: less, matcher: build(less) };
}

describe("a stored talk", () => {
  it("is there from the first version on", () => {
    expect(kept.filter((one) => one.name.startsWith("first:")).length).toBeGreaterThan(20);
  });

  const books: [string, () => { book: Book; matcher: Matcher }][] = [
    ["today's book", () => ({ book, matcher })],
    ["a book without anything that it refers to", changed],
  ];
  it.each(books)(
    "goes on with %s: no hirer is left without a way on and a person",
    { timeout: 300_000 },
    (_name, make) => {
      const by = make();
      const wrong: string[] = [];
      for (const one of kept)
        for (const [what, body] of whatMayCome(one)) {
          let why: string | undefined;
          try {
            why = stranded(one.state, body, take(one, body, by));
          } catch (error) {
            why = `threw ${error instanceof Error ? (error.stack ?? "").split("\n").slice(0, 3).join(" ") : ""}`;
          }
          if (why) wrong.push(`${one.name} / ${what}: ${why}`);
        }
      expect(wrong).toEqual([]);
    },
  );

  it("in which a hirer was asked about a danger that the book no longer has is a danger all the same", () => {
    const one = kept.find((k) => k.state.hire.talks["p1"]?.doubt);
    const id = one?.state.hire.talks["p1"]?.doubt?.danger ?? "";
    if (!one) throw new Error("no doubt is kept");
    const entries = new Map([...book.entries].filter(([key]) => key !== id));
    const did = take(
      one,
      { kind: "tapped", from, tap: "doubt:yes" },
      { book: { ...book, entries }, matcher },
    );
    const [first] = did.sends.filter((s) => s.person === "p1");
    expect(first?.severity).toBe("danger");
    expect(first?.message.text.split("\n")[0]).toContain("999");
    expect(did.sends.some((s) => s.contact !== undefined && s.safety)).toBe(true);
  });

  it("of a van that the book no longer has gets a person and no figure of another van", () => {
    const one = kept.find((k) => k.name.endsWith("sum open"));
    if (!one) throw new Error("not kept");
    const vans = new Map([...book.vans].filter(([id]) => id !== "curlew"));
    const by = { book: { ...book, vans }, matcher };
    const bodies: ArrivalBody[] = [
      { kind: "said", from, text: "how high is the van" },
      { kind: "said", from, text: "2 kW" },
      { kind: "tapped", from, tap: "e:van-height" },
    ];
    for (const body of bodies) {
      const did = take(one, body, by);
      const texts = did.sends.filter((s) => s.person === "p1").map((s) => s.message.text);
      expect(texts.join()).not.toMatch(/\d ?(m|ft|W|A)\b/);
      expect(did.state?.kind === "hire" && did.state.hire.callouts).toHaveLength(1);
    }
    const due = { kind: "due", due: "k", generation: one.state.hire.planned } as const;
    const did = take(one, { ...due, matter: { kind: "reminder", keys: [] } }, by);
    expect(did.sends).toEqual([]);
    // The control: with the van in the book, the height is told.
    const control = take(
      one,
      { kind: "said", from, text: "how high is the van" },
      { book, matcher },
    );
    expect(control.sends.map((s) => s.message.text).join()).toMatch(/\d ?m\b/);
  });
});
