/** Exactly those are on duty, at every instant, whom an independent calculation names. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addDays, type Instant, instantOf, after as later, readIso } from "../../src/calendar.js";
import { type Exception, type Roster, weekdays } from "../../src/knowledge/firm/roster.js";
import { readBook } from "../../src/knowledge/read.js";
import { whoIsOn } from "../../src/roster/on-duty.js";
import { stretches } from "../../src/roster/outlook.js";
import { onByTemporal } from "./by-temporal.js";

const { firm } = readBook().book;
const staff = fc.constantFrom("morag", "callum", "isla", "nobody-of-ours");
/** Quarters of an hour, often those of the night in which clocks change. */
const clock = fc
  .oneof(fc.integer({ min: 0, max: 95 }), fc.integer({ min: 2, max: 12 }))
  .map((q) => `${String(q >> 2).padStart(2, "0")}:${String((q & 3) * 15).padStart(2, "0")}`);
/** Days of 2026, half of them around the changes of 29 March and 25 October (Directive 2000/84/EC). */
const day = fc
  .oneof(fc.nat(364), fc.integer({ min: 85, max: 89 }), fc.integer({ min: 295, max: 299 }))
  .map((n) => addDays("2026-01-01", n));
const moment = fc.tuple(day, clock).map(([d, c]) => `${d}T${c}`);
const exception: fc.Arbitrary<Exception> = fc.oneof(
  fc.record({
    kind: fc.constant("shift" as const),
    contact: staff,
    on: day,
    from: clock,
    to: clock,
    beside: fc.boolean(),
  }),
  fc
    .record({ contact: staff, a: moment, b: moment, instead: fc.option(staff) })
    .map(({ contact, a, b, instead }) => {
      const [from = a, to = b] = [a, b].sort();
      const away = { kind: "away" as const, contact, from, to, why: "sick" as const };
      return instead ? { ...away, instead } : away;
    }),
  fc
    .record({ contact: staff, on: day, other: staff, back: fc.option(day) })
    .map(({ contact, on, other, back }) => ({
      kind: "swap" as const,
      contact,
      on,
      with: other,
      ...(back ? { back } : {}),
    })),
);
const roster: fc.Arbitrary<Roster> = fc.record({
  weekly: fc.array(
    fc.record({
      contact: staff,
      days: fc.subarray([...weekdays], { minLength: 1 }),
      from: clock,
      to: clock,
    }),
    { maxLength: 6 },
  ),
  exceptions: fc.array(exception, { maxLength: 6 }),
  fallback: fc.constant("isla"),
});
const zone = fc.constantFrom(
  "Europe/London",
  "Europe/Dublin",
  "America/New_York",
  "Australia/Lord_Howe",
);

const start = readIso("2026-01-01T00:00Z");
const said = (f: typeof firm, at: Instant) => {
  const { contacts, gap } = whoIsOn(f, at);
  return gap ? [] : [...contacts].sort();
};

describe("who is on duty", () => {
  it("is who an independent calculation names, at random instants of a year", () => {
    fc.assert(
      fc.property(
        roster,
        zone,
        fc.array(fc.nat(365 * 24 * 60 - 1), { minLength: 5, maxLength: 5 }),
        (r, z, minutes) => {
          const f = { ...firm, zone: z, roster: r };
          for (const m of minutes) {
            const at = later(start, m);
            expect(said(f, at)).toEqual(onByTemporal(f, at));
          }
        },
      ),
      { numRuns: 150 },
    );
  }, 120_000);
  it("changes only where a stretch of the outlook ends, in the weeks around a change of the clocks", () => {
    const weeks = fc.constantFrom("2026-03-26T00:00Z", "2026-10-22T00:00Z");
    fc.assert(
      fc.property(roster, zone, weeks, (r, z, from) => {
        const f = { ...firm, zone: z, roster: r };
        const first = readIso(from);
        const all = stretches(f, first, later(first, 6 * 24 * 60));
        expect(all[0]?.from).toBe(first);
        expect(all.at(-1)?.to).toBe(later(first, 6 * 24 * 60));
        for (const [i, s] of all.entries()) {
          if (i > 0) expect(all[i - 1]?.to).toBe(s.from);
          for (const at of [
            s.from,
            instantOf(Math.floor((s.from + s.to) / 2)),
            instantOf(s.to - 1),
          ]) {
            expect([...s.contacts].sort()).toEqual(onByTemporal(f, at));
            expect(said(f, at)).toEqual([...s.contacts].sort());
          }
        }
      }),
      { numRuns: 60 },
    );
  }, 120_000);
  it("is one person at every hour of a year by the demo firm's pattern", () => {
    const year = stretches(firm, start, later(start, 365 * 24 * 60));
    for (const s of year) expect(s.contacts).toHaveLength(1);
    for (let hour = 0; hour < 365 * 24; hour++) {
      const at = later(start, hour * 60);
      const s = year.find((x) => x.from <= at && at < x.to);
      expect(s?.contacts).toEqual(onByTemporal(firm, at));
    }
  }, 60_000);
});
