/**
 * Whatever happens in whatever order: a call-out is never lost or silently dropped, and no hirer is told
 * anything false about who was alerted or has it. Random talks of hirers, staff, dues, taps of old buttons,
 * silence, restarts, repeats and staff whom nothing reaches. RUNS sets how many (1,000 here, 10,000 in CI).
 */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { sayTime } from "../../src/calendar.js";
import type { Callout } from "../../src/callouts/callout.js";
import { isTask } from "../../src/callouts/steps.js";
import type { Send } from "../../src/post.js";
import { worse } from "../../src/severity.js";
import { sameTrouble } from "../../src/triage/matter.js";
import { type Move, make, moves, staff } from "../kit/chance.js";
import { book, hireWith, type Play } from "../kit/hire.js";

const runs = Number(process.env["RUNS"] ?? 1000);
const { contacts } = book.firm;

/** What was ever told: who of staff heard of which call-out, and every button that a hirer saw. */
type Past = {
  heard: Set<string>;
  buttons: string[];
  atDesk: string[];
  /** When each person was last asked whether they are all right. */
  askedAt: Map<string, number>;
};

const open = (all: readonly Callout[]) => all.filter((c) => c.state !== "done");
const hasIt = (play: Play, name: string) =>
  open(play.callouts()).some((c) => c.with && contacts[c.with]?.name === name);

/** No call-out is lost, falls, is ended or changes hands by anything but what staff do. */
function keepsAll(play: Play, before: readonly Callout[], m: Move, past: Past): void {
  const now = play.callouts();
  const byStaff = play.last.because.some((b) => /^(done|call-out \d+ joined) |^task ended/.test(b));
  for (const was of before) {
    const is = now.find((c) => c.n === was.n);
    if (!is) expect.fail(`call-out ${was.n} is gone`);
    if (was.state === "done") expect(is, `call-out ${was.n} changed after its end`).toEqual(was);
    else expect(worse(was.severity, is.severity), `severity of ${was.n} fell`).toBe(false);
    if (is.state === "done" && was.state !== "done" && !isTask(is))
      expect(byStaff, `call-out ${was.n} was ended by ${m.kind}`).toBe(true);
    if (was.state === "with" && is.state !== "done") {
      expect(is.state, `call-out ${was.n} was taken from ${was.with ?? ""}`).toBe("with");
      // Its owner passes it on, offers it, goes off duty or has broken a promise: nobody else takes it.
      const free =
        was.offeredTo === is.with || was.handing || was.promiseBroken || m.kind === "pass";
      if (was.with !== is.with)
        expect(Boolean(free), `${is.with ?? ""} took ${was.n} unasked from ${was.with ?? ""}`).toBe(
          true,
        );
      if (was.with !== is.with && past.atDesk.includes(was.with ?? ""))
        expect(
          play.sends.some((s) => s.contact === was.with),
          `${was.with ?? ""} was not told that ${was.n} is with ${is.with ?? ""}`,
        ).toBe(true);
    }
  }
}

/** Each open one has a named person or a pending due, and what must be awaited is. */
function isAwaited(play: Play): void {
  const due = new Set(play.dues().map((d) => d.key));
  const all = open(play.callouts());
  for (const c of all) {
    if (c.state === "nobody-yet")
      expect(due.has(`callout:${c.n}:next`), `nobody has ${c.n}, and no due is pending`).toBe(true);
    else {
      expect(staff).toContain(c.with);
      if (!isTask(c))
        expect(due.has(`callout:${c.n}:promise`), `no sign of the owner of ${c.n} is awaited`).toBe(
          true,
        );
    }
    const isBack = play.hire().returnRecordAt !== undefined;
    // Who was brought another van drives on, unless somebody is in need.
    const drivesOn = c.van !== undefined && !c.urgent;
    if (c.severity === "danger" || (c.severity === "stop" && !isBack && !drivesOn))
      expect(due.has(`callout:${c.n}:hear`), `call-out ${c.n}: nobody asks after the hirer`).toBe(
        true,
      );
  }
  // A threat and a question are matters of each who writes of them; all else is one of the hire.
  for (const [i, a] of all.entries())
    for (const b of all.slice(i + 1)) {
      const whose = (a.matter !== "threat" && a.kind !== "person") || a.person === b.person;
      if (whose) expect(a.matter, "two open call-outs of one matter").not.toBe(b.matter);
    }
}

/** A role as hirers read it is held by somebody of staff who heard of it. */
function wasAlerted(role: string, heard: ReadonlySet<string>): boolean {
  if (role === "the duty person") return heard.size > 0;
  return [...heard].some((id) => contacts[id]?.role === role);
}

/** What a hirer reads of who was alerted, has it and rings is so. */
function isTrue(play: Play, s: Send, past: Past): void {
  const { text } = s.message;
  const say = (words: string) => `"${text.slice(0, 300)}": ${words}`;
  const now = new Set(play.sends.flatMap((o) => o.contact ?? []));
  expect(text).not.toMatch(/undefined|\{[a-z]+[.}]|(?:help|assistance) is on (?:the|its) way/i);
  for (const [, who = "", how] of text.matchAll(
    /I have alerted ((?:(?!I have)[^.])+?)( again| now too| too)?\./g,
  ))
    for (const role of who.split(/, | and /)) {
      expect(wasAlerted(role, past.heard), say(`${role} was never alerted`)).toBe(true);
      if (how) expect(wasAlerted(role, now), say(`${role} was not alerted now`)).toBe(true);
    }
  for (const [, name = ""] of text.matchAll(/(\w+) (?:has read this|now rings)/g))
    expect(hasIt(play, name), say(`${name} does not have it`)).toBe(true);
  for (const [, name = ""] of text.matchAll(/(\w+) sees what you wrote/g)) {
    const id = staff.find((one) => contacts[one]?.name === name) ?? "";
    expect(now.has(id), say(`${name} was not sent it`)).toBe(true);
  }
  if (/you wrote again/.test(text)) expect(now.size, say("nobody was told")).toBeGreaterThan(0);
  if (/Nobody has taken it/.test(text))
    expect(
      open(play.callouts()).some((c) => c.state === "nobody-yet"),
      say("somebody has it"),
    ).toBe(true);
  const rings = /rings you by ([^.]+)\./.exec(text)?.[1];
  if (rings)
    expect(
      open(play.callouts()).map((c) =>
        c.promisedAt === undefined ? "" : sayTime(c.promisedAt, play.at, "Europe/London"),
      ),
      say("nobody promised that"),
    ).toContain(rings);
  if (/called roadside assistance for you|Roadside assistance \(reference/.test(text))
    expect(
      play.callouts().some((c) => c.roadside?.reference),
      say("there is no reference"),
    ).toBe(true);
}

/** Of several open matters a hirer is asked once: whether they are all right, where they stand, who is in need. */
function asksOnce(play: Play, past: Past): void {
  const asked = play.sends.filter((s) => s.message.text.startsWith("Are you all right?"));
  for (const person of new Set(asked.map((s) => s.person ?? ""))) {
    const last = past.askedAt.get(person);
    if (last !== undefined)
      expect((play.at - last) / 60_000, `${person} is asked again`).toBeGreaterThan(5);
    past.askedAt.set(person, play.at);
  }
  const { talks } = play.hire();
  for (const [person, { asking, later = [] }] of Object.entries(talks)) {
    const near = (n: number | undefined) =>
      open(play.callouts()).find(
        (c) => c.n === n && c.person === person && c.severity === "stop" && c.kind !== "reading",
      );
    for (const step of ["place", "need"] as const) {
      const waiting = [asking, ...later].flatMap((q) =>
        q?.steps.includes(step) ? (near(q.callout) ?? []) : [],
      );
      for (const [i, a] of waiting.entries())
        for (const b of waiting.slice(i + 1))
          expect(
            Math.abs(a.openedAt - b.openedAt) / 60_000,
            `${person} is to be asked for ${step} of ${a.n} and ${b.n}`,
          ).toBeGreaterThan(30);
    }
  }
}

/** What each hirer reads: first contact, secrets, buttons, nothing twice. */
function isRight(play: Play, before: readonly Callout[], m: Move, past: Past): void {
  const mine = play.sends.filter((s) => s.person !== undefined);
  const isBack = play.hire().returnRecordAt !== undefined;
  const waits = open(before).some((c) => !isBack || c.severity === "danger");
  for (const s of mine) {
    const { text, buttons = [] } = s.message;
    isTrue(play, s, past);
    if (waits) expect(text, "turned away").not.toContain("This hire has ended");
    if (text.includes("I cannot ring them for you"))
      expect(text.split("\n")[0]).toContain("999 or 112");
    const worked = buttons.some((b) => b.tap === "ok");
    const serious = s.severity === "danger" || s.severity === "stop";
    if (serious) expect(worked, `"that worked" under ${text}`).toBe(false);
    const c = play.callouts().find((one) => one.n === s.callout);
    if (c?.matter === "threat")
      expect(s.person, "a threat was told to another of the hire").toBe(c.person);
    if (c?.kind === "person" && !c.joined)
      expect(s.person, "a question of one was told to another").toBe(c.person);
    const inDanger = open(before).some(
      (o) => o.severity === "danger" && (o.matter !== "threat" || o.person === s.person),
    );
    const ofCheck = play.last.because.some((b) => b.startsWith("check of"));
    const asks = m.kind === "says" || (m.kind === "taps" && !ofCheck);
    if (asks && inDanger && s.person === m.person)
      expect(worked, `answered in danger: ${text.slice(0, 80)}`).toBe(false);
  }
  const keys = mine.map((s) => `${s.to.channel}:${s.to.to}: ${s.message.text}`);
  expect(
    keys.filter((key, i) => keys.indexOf(key) !== i),
    "said twice in one step",
  ).toEqual([]);
  const staffKeys = play.sends
    .filter((s) => s.contact !== undefined)
    .map((s) => `${s.to.channel}:${s.to.to}: ${s.message.text}`);
  expect(
    staffKeys.filter((key, i) => staffKeys.indexOf(key) !== i),
    "told to staff twice in one step",
  ).toEqual([]);
}

function remember(play: Play, past: Past, m: Move): void {
  for (const s of play.sends) {
    if (s.contact && s.callout !== undefined) past.heard.add(s.contact);
    if (s.person) past.buttons.push(...(s.message.buttons ?? []).map((b) => b.tap));
  }
  if (m.kind === "desk") past.atDesk = m.contacts;
}

/** A stop joined to a matter less grave, which nobody asked after then. */
const joinedToLess: Move[] = [
  {
    kind: "says",
    text: "tyre completely flat and amber abs light",
    person: "p1",
    edited: false,
    lateMin: 0,
  },
  { kind: "done", by: "morag", n: 1, joined: true, to: 2 },
  { kind: "due" },
  { kind: "due" },
  { kind: "due" },
];

describe("an open call-out", () => {
  it("always has a named person or a pending due, and hirers are told what is true, whatever happens", () => {
    fc.assert(
      fc.property(
        moves,
        fc.subarray(staff),
        fc.constantFrom(
          "2026-06-03T12:00+01:00",
          "2026-06-03T23:30+01:00",
          "2026-10-25T00:50+01:00",
        ),
        (played, atDesk, at) => {
          const play = hireWith("curlew", { people: ["Ann", "Ben"], atDesk, at });
          const past: Past = { heard: new Set(), buttons: [], atDesk, askedAt: new Map() };
          for (const m of played) {
            const before = play.callouts();
            play.sends = [];
            make(play, m, past.buttons);
            remember(play, past, m);
            keepsAll(play, before, m, past);
            isAwaited(play);
            isRight(play, before, m, past);
            asksOnce(play, past);
          }
        },
      ),
      { numRuns: runs, examples: [[joinedToLess, [], "2026-06-03T12:00+01:00"]] },
    );
  }, 600_000);
  it("of a light is also that of its effect, and of nothing else", () => {
    expect(sameTrouble(book, "coolant-hot", "overheating")).toBe(true);
    expect(sameTrouble(book, "overheating", "coolant-hot")).toBe(true);
    expect(sameTrouble(book, "abs", "flat-tyre")).toBe(false);
  });
});
