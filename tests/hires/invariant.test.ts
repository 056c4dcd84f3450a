/**
 * Whatever happens in whatever order: a call-out is never lost or silently dropped. Random talks of hirers,
 * staff, dues, taps, silence and staff whom nothing reaches. RUNS sets how many (1,000 here, 10,000 in CI).
 */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { after } from "../../src/calendar.js";
import type { Callout } from "../../src/callouts/callout.js";
import { worse } from "../../src/callouts/steps.js";
import { hireWith, type Play } from "../kit/hire.js";

const runs = Number(process.env["RUNS"] ?? 1000);
const texts = [
  "red oil can light came on",
  "amber abs light",
  "the van is on fire",
  "my wife does not wake up",
  "how do I put the awning up",
  "thanks",
  "yes",
  "no",
  "still waiting!!",
  "hello??",
  "the tyre pressure light is on",
  "I want to talk to a person",
  "flat tyre",
  "between the marks, 41,200",
  "2",
  "strong smell of gas in the van",
  "somebody is trying to get in and threatens us",
  "1",
  "xyzzy",
];
const staff = ["morag", "callum", "isla"];

type Move =
  | { kind: "says"; text: string; person: string }
  | { kind: "taps"; which: number; person: string }
  | { kind: "due" }
  | { kind: "waits"; minutes: number }
  | { kind: "take"; by: string; n: number }
  | { kind: "pass"; by: string; n: number; to: string }
  | { kind: "promise"; by: string; n: number; minutes: number }
  | { kind: "done"; by: string; n: number }
  | { kind: "reply"; by: string };
const person = fc.constantFrom("p1", "p2");
const by = fc.constantFrom(...staff);
const n = fc.integer({ min: 1, max: 4 });
const move: fc.Arbitrary<Move> = fc.oneof(
  {
    weight: 4,
    arbitrary: fc.record({
      kind: fc.constant("says" as const),
      text: fc.constantFrom(...texts),
      person,
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({ kind: fc.constant("taps" as const), which: fc.nat(5), person }),
  },
  { weight: 4, arbitrary: fc.constant({ kind: "due" as const }) },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant("waits" as const),
      minutes: fc.integer({ min: 1, max: 600 }),
    }),
  },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant("take" as const), by, n }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant("pass" as const), by, n, to: by }) },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant("promise" as const),
      by,
      n,
      minutes: fc.integer({ min: 1, max: 120 }),
    }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant("done" as const), by, n }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant("reply" as const), by }) },
);

function make(play: Play, m: Move): void {
  switch (m.kind) {
    case "says":
      play.says(m.text, { person: m.person });
      return;
    case "taps": {
      const buttons = play.sends
        .flatMap((s) => s.message.buttons ?? [])
        .filter((b) => !b.tap.startsWith("take:"));
      play.taps(buttons[m.which % Math.max(1, buttons.length)]?.tap ?? "c:oil-level:0", m.person);
      return;
    }
    case "due":
      play.nextDue();
      return;
    case "waits":
      play.pass(m.minutes);
      return;
    case "take":
      play.staff(m.by, { do: "take", callout: m.n });
      return;
    case "pass":
      play.staff(m.by, { do: "pass", callout: m.n, to: m.to });
      return;
    case "promise":
      play.staff(m.by, { do: "promise", callout: m.n, at: after(play.at, m.minutes) });
      return;
    case "done":
      play.staff(m.by, { do: "done", callout: m.n, outcome: "other" });
      return;
    case "reply":
      play.staff(m.by, { do: "reply", text: "On my way to the phone" });
      return;
    default:
      m satisfies never;
  }
}

/** What must hold after every step. */
function check(play: Play, before: readonly Callout[], m: Move): void {
  const due = new Set(play.dues().map((d) => d.key));
  const now = play.callouts();
  for (const was of before) {
    const is = now.find((c) => c.n === was.n);
    expect(is, `call-out ${was.n} is gone`).toBeDefined();
    if (!is) continue;
    if (was.state !== "done")
      expect(worse(was.severity, is.severity), `severity of ${was.n} fell`).toBe(false);
    if (is.state === "done" && was.state !== "done")
      expect(m.kind, `call-out ${was.n} was ended by ${m.kind}`).toBe("done");
    if (was.state === "with" && is.state !== "done")
      expect(is.state, `call-out ${was.n} was taken from ${was.with ?? ""}`).toBe("with");
  }
  const open = now.filter((c) => c.state !== "done");
  for (const c of open) {
    if (c.state === "nobody-yet")
      expect(
        due.has(`callout:${c.n}:next`),
        `nobody has call-out ${c.n} and no due is pending`,
      ).toBe(true);
    else expect(staff).toContain(c.with);
    if (c.severity === "danger" || c.severity === "stop")
      expect(due.has(`callout:${c.n}:hear`), `call-out ${c.n}: nobody asks after the hirer`).toBe(
        true,
      );
  }
  // A threat is a matter of each who writes of it; every other matter is one of the hire.
  const matters = open.map((c) => (c.matter === "threat" ? `threat of ${c.person}` : c.matter));
  expect(new Set(matters).size, "two open call-outs of one matter").toBe(open.length);
  const first = play.sends.find(
    (s) =>
      s.person !== undefined &&
      s.severity === "danger" &&
      s.message.text.includes("I cannot ring them"),
  );
  if (first) expect(first.message.text.split("\n")[0]).toContain("999 or 112");
  for (const s of play.sends)
    if (s.person !== undefined) {
      expect(s.message.text).not.toMatch(/undefined|\{[a-z]+[.}]/);
      // Nobody is said to have been alerted who was not.
      const claims = /I have alerted (.+?)( again| now too)?\./.exec(s.message.text);
      if (claims && m.kind === "says")
        expect(
          play.sends.some((o) => o.contact !== undefined),
          s.message.text,
        ).toBe(true);
    }
}

describe("an open call-out", () => {
  it("always has a named person or a pending due, whatever happens in whatever order", () => {
    fc.assert(
      fc.property(
        fc.array(move, { minLength: 1, maxLength: 25 }),
        fc.subarray(staff),
        fc.constantFrom(
          "2026-06-03T12:00+01:00",
          "2026-06-03T23:30+01:00",
          "2026-10-25T00:50+01:00",
        ),
        (moves, atDesk, at) => {
          const play = hireWith("curlew", { people: ["Ann", "Ben"], atDesk, at });
          for (const m of moves) {
            const before = play.callouts();
            make(play, m);
            check(play, before, m);
          }
        },
      ),
      { numRuns: runs },
    );
  }, 300_000);
});
