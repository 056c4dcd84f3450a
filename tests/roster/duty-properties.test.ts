/** Whatever staff do in whatever order, and however long the service stands still: nobody is on duty unseen. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isoIn, after as later } from "../../src/calendar.js";
import { Exception } from "../../src/knowledge/firm/roster.js";
import type { FirmAct } from "../../src/post.js";
import { type FirmPlay, firmAt } from "../kit/firm.js";

const runs = Number(process.env["RUNS"] ?? 1000) / 5;
const staff = ["morag", "callum", "isla"];
type Move =
  | { kind: "waits"; minutes: number; asleep: boolean }
  | {
      kind: "acts";
      by: string;
      what: "here" | "stand-in" | "off" | "stay" | "sick" | "stale";
      to: string;
    };
const by = fc.constantFrom(...staff);
const move: fc.Arbitrary<Move> = fc.oneof(
  fc.record({
    kind: fc.constant("waits" as const),
    minutes: fc.oneof(fc.integer({ min: 1, max: 60 }), fc.integer({ min: 60, max: 2000 })),
    asleep: fc.boolean(),
  }),
  fc.record({
    kind: fc.constant("acts" as const),
    by,
    what: fc.constantFrom(
      "here" as const,
      "stand-in" as const,
      "off" as const,
      "stay" as const,
      "sick" as const,
      "stale" as const,
    ),
    to: by,
  }),
);

function actOf(play: FirmPlay, m: Extract<Move, { kind: "acts" }>): FirmAct {
  const mine = play.tests().find((t) => t.contact === m.by)?.n ?? 0;
  const other = play.tests().find((t) => t.contact !== m.by)?.n ?? 0;
  const { roster, zone } = play.firm();
  const away = Exception.parse({
    kind: "away",
    contact: m.to,
    from: isoIn(play.now, zone),
    to: isoIn(later(play.now, 700), zone),
    why: "sick",
  });
  const sick = { ...roster, exceptions: [...roster.exceptions, away] };
  switch (m.what) {
    case "here":
      return { do: "here", test: mine };
    case "stand-in":
      return { do: "stand-in", test: other };
    case "off":
      return { do: "off", ...(m.to === m.by ? {} : { to: m.to }) };
    case "stay":
      return { do: "stay" };
    case "sick":
      return { do: "roster", base: play.state.version, roster: sick, says: "sick" };
    case "stale":
      return { do: "roster", base: play.state.version - 1, roster: sick, says: "sick" };
    default:
      return m.what satisfies never;
  }
}

function check(play: FirmPlay): void {
  // The lane knows who is on, and has a due for the next change.
  expect(play.state.on).toEqual(play.on());
  expect(play.dues.get("duty:look")?.at).toBeGreaterThan(play.now);
  const open = play.tests();
  expect(new Set(open.map((t) => t.contact)).size).toBe(open.length);
  for (const test of open) {
    // An open test always has a due: it is never forgotten.
    expect(play.dues.has(`duty:test:${test.n}`), `test ${test.n} has no due`).toBe(true);
    expect(test.until).toBeGreaterThan(play.now);
    // Whoever is tested is on, or is asked to take over from somebody who still is.
    const asked = play.state.leaving?.test === test.n;
    expect(asked || play.on().includes(test.contact)).toBe(true);
  }
  const { leaving } = play.state;
  if (leaving) {
    expect(play.on()).toContain(leaving.contact);
    // Somebody can still answer.
    expect(open.find((t) => t.n === leaving.test)?.contact).toBe(leaving.to);
  }
  for (const s of play.sends)
    if (s.message.text.startsWith("Thank you. You are on"))
      expect(play.on(), "thanked and not on").toContain(s.contact);
  for (const s of play.sends) expect(s.message.text).not.toMatch(/undefined|NaN|\{/);
}

/** All are away: who answers in the gap changes at an instant at which no shift does. */
const leftUnseen: [Move[], string[], string] = [
  [
    { kind: "waits", minutes: 1803, asleep: false },
    { kind: "acts", by: "morag", what: "sick", to: "callum" },
    { kind: "waits", minutes: 30, asleep: false },
    { kind: "acts", by: "isla", what: "stand-in", to: "morag" },
    { kind: "acts", by: "morag", what: "sick", to: "isla" },
    { kind: "waits", minutes: 87, asleep: false },
  ],
  [],
  "2026-06-03T12:00+01:00",
];

describe("the firm's lane", () => {
  it("never forgets a test, always knows who is on, and keeps on who was not relieved", () => {
    fc.assert(
      fc.property(
        fc.array(move, { minLength: 1, maxLength: 20 }),
        fc.subarray(staff),
        fc.constantFrom("2026-06-03T12:00+01:00", "2026-10-24T19:30+01:00", "2026-03-28T23:00Z"),
        (moves, atDesk, at) => {
          const play = firmAt(at, { atDesk });
          for (const m of moves) {
            if (m.kind === "acts") {
              const before = play.state.version;
              const wasOn = play.on().includes(m.by);
              play.act(m.by, actOf(play, m));
              if (m.what === "stale") expect(play.state.version).toBe(before);
              if (m.what === "off" && wasOn && !play.on().includes(m.by)) {
                const unsure = play.tests().map((t) => t.contact);
                expect(play.on().some((id) => !unsure.includes(id))).toBe(true);
              }
            } else if (m.asleep) {
              // The service stands still, and looks when it starts again.
              play.now = later(play.now, m.minutes);
              play.arrives({ kind: "opened" });
              play.until(isoIn(play.now, "UTC"));
            } else play.until(isoIn(later(play.now, m.minutes), "UTC"));
            check(play);
          }
        },
      ),
      { numRuns: runs, examples: [leftUnseen] },
    );
  }, 300_000);
});
