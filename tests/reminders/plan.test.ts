import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  clockOf,
  dayOf,
  type Instant,
  instantOf,
  after as later,
  minuteMs,
} from "../../src/calendar.js";
import { readBook } from "../../src/knowledge/read.js";
import { type HireFacts, type Planned, plan, type Sent } from "../../src/reminders/plan.js";
import { again } from "./again.js";

const { book } = readBook();
const file = book.reminders;
const vanTypes = [...book.vans.keys()];
const zones = [
  "Europe/London",
  "Europe/Dublin",
  "Europe/Paris",
  "America/New_York",
  "Australia/Lord_Howe",
  "Asia/Beirut",
  "Asia/Kolkata",
  "Africa/Casablanca",
  "UTC",
];
const runs = { numRuns: 400 };
/** The second calculation is slow (a Temporal polyfill); PLAN_RUNS=20000 for a long look. */
const againRuns = Number(process.env.PLAN_RUNS ?? 800);
const hourMs = 60 * minuteMs;

/** Half of the hires begin or end within two days of a change of the clocks. */
const changes = [
  "2026-03-29T01:00Z",
  "2026-10-25T01:00Z",
  "2027-03-28T01:00Z",
  "2027-10-31T01:00Z",
].map((t) => Date.parse(t) / minuteMs);
const start = Date.parse("2026-01-01T00:00Z") / minuteMs;
const minute = fc.oneof(
  fc.integer({ min: start, max: start + 2 * 365 * 1440 }),
  fc
    .tuple(fc.constantFrom(...changes), fc.integer({ min: -2880, max: 2880 }))
    .map(([change, by]) => change + by),
);
const quarter = fc.boolean();
const long = fc.oneof(
  { weight: 6, arbitrary: fc.integer({ min: 1, max: 16 * 1440 }) },
  { weight: 1, arbitrary: fc.integer({ min: 1, max: 95 * 1440 }) },
);
const hires = fc
  .record({
    pickup: minute,
    length: long,
    round: quarter,
    zone: fc.constantFrom(...zones),
    vanType: fc.constantFrom(...vanTypes),
  })
  .map(({ pickup, length, round, zone, vanType }) => {
    const from = round ? Math.round(pickup / 30) * 30 : pickup;
    const to = round ? Math.round((from + length) / 30) * 30 : from + length;
    const hire: HireFacts = {
      pickupAt: instantOf(from * minuteMs),
      returnAt: instantOf(Math.max(to, from + 1) * minuteMs),
      zone,
    };
    return { hire, vanType };
  });

function vanOf(id: string) {
  const van = book.vans.get(id);
  if (!van) throw new Error(`no van type ${id}`);
  return van;
}
const told = (hire: HireFacts, vanType: string): Planned[] => plan(hire, vanOf(vanType), file);
const key = (r: Planned): string => r.key;
/** What went out up to an instant, as the service keeps it. */
const sentBy = (rows: readonly Planned[], at: number): Sent[] =>
  rows
    .filter((r) => r.sendAt <= at)
    .map((r) => ({ key: r.key, rule: r.rule, due: r.due, sentAt: r.sendAt }));

describe("the plan of any hire", () => {
  it("equals the table calculated again with another library", () => {
    fc.assert(
      fc.property(hires, ({ hire, vanType }) => {
        const rows = told(hire, vanType)
          .map(({ rule, due, needsReply }) => ({ rule, due: due as number, needsReply }))
          .sort((a, b) => a.due - b.due || (a.rule < b.rule ? -1 : 1));
        expect(rows).toEqual(again({ ...hire, has: vanOf(vanType).has }));
      }),
      { numRuns: againRuns },
    );
  }, 600_000);

  it("is sorted by due and holds every key and every rule and due once", () => {
    fc.assert(
      fc.property(hires, ({ hire, vanType }) => {
        const rows = told(hire, vanType);
        expect(rows.map((r) => r.due)).toEqual(rows.map((r) => r.due).sort((a, b) => a - b));
        expect(new Set(rows.map(key)).size).toBe(rows.length);
        expect(new Set(rows.map((r) => r.uid)).size).toBe(rows.length);
        expect(new Set(rows.map((r) => `${r.rule} ${r.due}`)).size).toBe(rows.length);
      }),
      runs,
    );
  });

  it("is sent within the window, from pick-up on, with at most three messages a day", () => {
    fc.assert(
      fc.property(hires, ({ hire, vanType }) => {
        const rows = told(hire, vanType);
        const perDay = new Map<string, Set<number>>();
        for (const row of rows) {
          const clock = clockOf(row.sendAt, hire.zone);
          expect(
            clock >= file.window.from && clock <= file.window.to,
            `${row.rule} at ${clock}`,
          ).toBe(true);
          expect(row.sendAt).toBeGreaterThanOrEqual(hire.pickupAt);
          const day = dayOf(row.sendAt, hire.zone);
          perDay.set(day, (perDay.get(day) ?? new Set()).add(row.sendAt));
        }
        for (const [day, sent] of perDay)
          expect(sent.size, day).toBeLessThanOrEqual(file.maxPerDay);
      }),
      runs,
    );
  });

  it("merges what is due within ninety minutes, and never what means something only after the return", () => {
    fc.assert(
      fc.property(hires, ({ hire, vanType }) => {
        const rows = told(hire, vanType);
        const before = [
          ...new Set(rows.filter((r) => r.rule !== "late").map((r) => r.sendAt)),
        ].sort((a, b) => a - b);
        for (const [i, at] of before.entries())
          if (i > 0) expect(at - (before[i - 1] ?? 0)).toBeGreaterThan(90 * minuteMs);
        const late = rows.find((r) => r.rule === "late");
        expect(late && late.sendAt > hire.returnAt).toBe(true);
        expect(rows.filter((r) => r.sendAt === late?.sendAt).map((r) => r.rule)).toEqual(["late"]);
      }),
      runs,
    );
  });

  it("keeps the wall time of every rule by days across clock changes", () => {
    const clocks: Record<string, string> = {
      "first-evening": "17:30",
      "first-check": "08:00",
      "oil-check": "08:00",
      "tyre-check": "08:00",
      "water-gas-waste": "18:00",
      frost: "17:00",
      "clock-change": "19:00",
    };
    fc.assert(
      fc.property(hires, ({ hire, vanType }) => {
        for (const row of told(hire, vanType)) {
          const clock = clocks[row.rule];
          if (clock !== undefined) expect(clockOf(row.due, hire.zone)).toBe(clock);
          if (row.rule === "return-24h") {
            const back = clockOf(hire.returnAt, hire.zone);
            expect(clockOf(row.due, hire.zone)).toBe(
              back < "08:00" ? "08:00" : back > "20:30" ? "20:30" : back,
            );
          }
        }
      }),
      runs,
    );
  });

  it("never says that something is due before pick-up, or of help after the return", () => {
    fc.assert(
      fc.property(hires, ({ hire, vanType }) => {
        for (const row of told(hire, vanType)) {
          expect(row.due).toBeGreaterThanOrEqual(hire.pickupAt);
          if (row.rule !== "late") expect(row.helpsUntil).toBeLessThanOrEqual(hire.returnAt);
          expect(row.helpsUntil).toBeGreaterThan(row.due);
        }
      }),
      runs,
    );
  });
});

describe("planning again", () => {
  it("changes nothing when nothing has changed", () => {
    fc.assert(
      fc.property(hires, ({ hire, vanType }) => {
        expect(told(hire, vanType)).toEqual(told(structuredClone(hire), vanType));
      }),
      runs,
    );
  });

  it("gives the rest the same instants once some were sent, at any moment", () => {
    fc.assert(
      fc.property(hires, fc.double({ min: 0, max: 1, noNaN: true }), ({ hire, vanType }, part) => {
        const rows = told(hire, vanType);
        const now = instantOf(Math.round(hire.pickupAt + part * (hire.returnAt - hire.pickupAt)));
        const sent = sentBy(rows, now);
        const rest = rows.filter((r) => r.sendAt > now);
        expect(told({ ...hire, sent, now }, vanType)).toEqual(rest);
        expect(told({ ...hire, sent }, vanType)).toEqual(rest);
      }),
      runs,
    );
  });

  it("never repeats what was sent, known by its key or by rule and due alone", () => {
    fc.assert(
      fc.property(hires, fc.array(fc.nat(60)), fc.boolean(), ({ hire, vanType }, picks, keyed) => {
        const rows = told(hire, vanType);
        const gone = picks.flatMap((n) => rows[n % Math.max(1, rows.length)] ?? []);
        const sent = gone.map((r) =>
          keyed ? { key: r.key, rule: r.rule, due: r.due } : { rule: r.rule, due: r.due },
        );
        const left = new Set(told({ ...hire, sent }, vanType).map(key));
        expect([...left].sort()).toEqual(
          rows
            .map(key)
            .filter((k) => !gone.some((g) => g.key === k))
            .sort(),
        );
      }),
      runs,
    );
  });

  it("neither repeats nor loses anything when the return moves", () => {
    fc.assert(
      fc.property(
        hires,
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.integer({ min: -5 * 1440, max: 10 * 1440 }),
        ({ hire, vanType }, part, by) => {
          const first = told(hire, vanType);
          const now = instantOf(Math.round(hire.pickupAt + part * (hire.returnAt - hire.pickupAt)));
          const returnAt = later(hire.returnAt, by);
          if (returnAt <= now) return;
          const sent = sentBy(first, now);
          const moved = { ...hire, returnAt };
          const whole = told(moved, vanType);
          const rest = told({ ...moved, sent }, vanType);
          const was = (row: Planned): boolean =>
            sent.some((s) => s.key === row.key || (s.rule === row.rule && s.due === row.due));
          expect(rest.map(key)).toEqual(whole.filter((r) => !was(r)).map(key));
          for (const row of rest) expect(sent.some((s) => s.key === row.key)).toBe(false);
        },
      ),
      runs,
    );
  });

  it("rules counted from the return carry it in their key, so that they come anew; no other key changes with it", () => {
    const keys = (returnAt: string): string[] =>
      plan(
        {
          pickupAt: instantOf(Date.parse("2026-10-20T14:00Z")),
          returnAt: instantOf(Date.parse(returnAt)),
          zone: "Europe/London",
        },
        vanOf("curlew"),
        file,
      ).map(key);
    const [first, moved] = [keys("2026-11-05T10:00Z"), keys("2026-11-05T11:00Z")];
    const changed = first.filter((k) => !moved.includes(k)).map((k) => k.split("@")[0]);
    expect(changed).toEqual([
      "exhaust-fluid",
      "return-48h",
      "return-24h",
      "return-morning",
      "late",
    ]);
    expect(first).toContain("return-24h@2026-11-05T10:00:00Z");
    expect(first).toContain("oil-check:day-7");
    expect(first).toContain("clock-change:2026-10-25");
  });

  it("never puts a fourth message on a day on which three have gone out", () => {
    const zone = "Europe/London";
    const pickupAt = instantOf(Date.parse("2026-06-01T09:00Z"));
    const returnAt = instantOf(Date.parse("2026-06-10T09:00Z"));
    const day = Date.parse("2026-06-09T00:00Z");
    const sent = [8, 12, 16].map((h) => ({
      rule: "return-48h",
      key: `x${h}`,
      due: instantOf(day + h * hourMs),
      sentAt: instantOf(day + h * hourMs),
    }));
    const now = instantOf(day + 17 * hourMs);
    const rows = plan({ pickupAt, returnAt, zone, sent, now }, vanOf("curlew"), file);
    // Water (18:00) helps no longer next morning; return-morning was due at 19:00 and helps to 21:30: both give way to the limit.
    expect(rows.filter((r) => dayOf(r.sendAt, zone) === "2026-06-09")).toEqual([]);
  });
});

describe("catching up", () => {
  const zone = "Europe/London";
  const pickupAt = instantOf(Date.parse("2026-06-01T09:00Z"));
  const returnAt = instantOf(Date.parse("2026-06-08T09:00Z"));
  const at = (iso: string): Instant => instantOf(Date.parse(iso));

  it("a hire entered an hour after pick-up is welcomed at once", () => {
    const rows = plan(
      { pickupAt, returnAt, zone, now: at("2026-06-01T10:00Z") },
      vanOf("wren"),
      file,
    );
    expect(rows[0]).toMatchObject({ rule: "welcome", sendAt: at("2026-06-01T10:00Z") });
  });

  it("what is due as the window ends goes out though who sends it wakes a moment later", () => {
    // 24 h before a return at 21:00, moved to 20:30; who wakes for it does so some milliseconds after.
    const late = { pickupAt, returnAt: at("2026-06-08T20:00Z"), zone };
    const due = at("2026-06-07T19:30Z");
    for (const lag of [5, 59_999, 4 * minuteMs]) {
      const now = instantOf(due + lag);
      const row = plan({ ...late, now }, vanOf("wren"), file).find((r) => r.rule === "return-24h");
      expect([row?.due, row?.sendAt], `${lag}`).toEqual([due, now]);
    }
    const now = instantOf(due + hourMs);
    const rules = plan({ ...late, now }, vanOf("wren"), file).map((r) => r.rule);
    expect(rules).not.toContain("return-24h");
  });

  it("a service that slept through the evening does not send the first evening at night or next morning", () => {
    const rows = plan(
      { pickupAt, returnAt, zone, now: at("2026-06-01T21:00Z") },
      vanOf("wren"),
      file,
    );
    expect(rows.map((r) => r.rule)).not.toContain("first-evening");
    // The welcome still helps: at the window's next start.
    expect(rows[0]).toMatchObject({ rule: "welcome", sendAt: at("2026-06-02T07:00Z") });
  });

  it("a hire that starts again after its end sends nothing but what asks for the van", () => {
    const rows = plan(
      { pickupAt, returnAt, zone, now: at("2026-06-08T12:00Z") },
      vanOf("wren"),
      file,
    );
    expect(rows.map((r) => r.rule)).toEqual(["late"]);
  });
});

describe("rules by distance", () => {
  const zone = "Europe/London";
  const pickupAt = instantOf(Date.parse("2026-06-01T09:00Z"));
  const returnAt = instantOf(Date.parse("2026-06-25T09:00Z"));
  const has = { has: ["engine"] };
  const day = (n: number): Instant => instantOf(pickupAt + n * 24 * hourMs);
  const oil = (
    readings: NonNullable<HireFacts["readings"]>,
    van: { has: string[] } = has,
  ): string[] =>
    plan({ pickupAt, returnAt, zone, readings }, van, file)
      .filter((r) => r.rule === "oil-check")
      .map((r) => dayOf(r.due, zone));
  const weekly = ["2026-06-08", "2026-06-15", "2026-06-22"];

  it("add nothing without two readings a day apart, for a slow driver, or without an engine", () => {
    expect(oil([])).toEqual(weekly);
    expect(oil([{ at: day(0), odometerKm: 1000 }])).toEqual(weekly);
    expect(
      oil([
        { at: day(0), odometerKm: 1000 },
        { at: day(0.5), odometerKm: 1900 },
      ]),
    ).toEqual(weekly);
    // 1,600 km in 7 days are 228 km a day.
    expect(
      oil([
        { at: day(0), odometerKm: 1000 },
        { at: day(2), odometerKm: 1440 },
      ]),
    ).toEqual(weekly);
    expect(
      oil(
        [
          { at: day(0), odometerKm: 1000 },
          { at: day(2), odometerKm: 2200 },
        ],
        { has: [] },
      ),
    ).toEqual([]);
  });

  it("bring a check next morning when 1,600 km have gone by without one", () => {
    const readings = [
      { at: day(0), odometerKm: 50000 },
      { at: day(4), odometerKm: 51700 },
    ];
    expect(oil(readings)[0]).toBe("2026-06-06");
    // The same distance with the oil read on day 4 starts anew.
    expect(
      oil([...readings.slice(0, 1), { at: day(4), odometerKm: 51700, oil: "between" }])[0],
    ).toBe("2026-06-08");
  });

  it("never come less than 24 hours before return, twice a day, or before the last reading", () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.tuple(fc.integer({ min: 0, max: 24 * 60 }), fc.integer({ min: 0, max: 9000 })),
          { maxLength: 6 },
        ),
        fc.boolean(),
        (raw, withOil) => {
          const readings = raw.map(([hour, km]) => ({
            at: instantOf(pickupAt + hour * hourMs),
            odometerKm: 50000 + km,
            ...(withOil ? { oil: "between" as const } : {}),
          }));
          const rows = plan({ pickupAt, returnAt, zone, readings }, has, file).filter(
            (r) => r.rule === "oil-check",
          );
          expect(new Set(rows.map((r) => dayOf(r.due, zone))).size).toBe(rows.length);
          const lastDay = instantOf(Date.parse("2026-06-24T09:00Z"));
          for (const row of rows) {
            expect(row.due).toBeLessThanOrEqual(lastDay);
            if (row.key.includes(":km-"))
              expect(row.due).toBeGreaterThan(Math.max(...readings.map((r) => r.at)));
          }
        },
      ),
      runs,
    );
  });

  it("keep the key of a check while its day moves with new readings", () => {
    const slow = plan(
      {
        pickupAt,
        returnAt,
        zone,
        readings: [
          { at: day(0), odometerKm: 0 },
          { at: day(4.5), odometerKm: 1500 },
        ],
      },
      has,
      file,
    );
    const slower = plan(
      {
        pickupAt,
        returnAt,
        zone,
        readings: [
          { at: day(0), odometerKm: 0 },
          { at: day(4.6), odometerKm: 1400 },
        ],
      },
      has,
      file,
    );
    const first = (rows: Planned[]): Planned | undefined =>
      rows.find((r) => r.key.includes(":km-"));
    expect(first(slow)?.key).toBe(first(slower)?.key);
  });
});
