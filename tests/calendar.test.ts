import fc from "fast-check";
import { Temporal } from "temporal-polyfill";
import { describe, expect, it } from "vitest";
import {
  addDays,
  almanac,
  atWall,
  clockChanges,
  clockOf,
  dayOf,
  daysBetween,
  dayText,
  type Instant,
  instantOf,
  isoIn,
  knowsZone,
  after as later,
  luxonOf,
  minutesOf,
  offsetMin,
  readIso,
  readLocal,
  sayTime,
  weekdayOf,
} from "../src/calendar.js";
import { Fault } from "../src/faults.js";

const at = (iso: string): Instant => instantOf(Date.parse(iso));
const year = (y: number): [Instant, Instant] => [
  at(`${y}-01-01T00:00Z`),
  at(`${y + 1}-01-01T00:00Z`),
];
const iso = (i: number): string => new Date(i).toISOString();

/** The last Sunday of a month at 01:00 UTC. */
function lastSunday(y: number, month: number): string {
  const last = new Date(Date.UTC(y, month, 0));
  const day = last.getUTCDate() - last.getUTCDay();
  return `${y}-${String(month).padStart(2, "0")}-${String(day).padStart(2, "0")}T01:00:00.000Z`;
}

describe("changes of the clocks", () => {
  // Directive 2000/84/EC, articles 2 and 3: from the last Sunday of March, 01:00 UTC, to the last Sunday of October, 01:00 UTC.
  // The Summer Time Order 2002 says the same for the United Kingdom.
  for (const y of [2026, 2027])
    for (const zone of ["Europe/London", "Europe/Dublin", "Europe/Paris"])
      it(`of ${y} in ${zone} are those of Directive 2000/84/EC`, () => {
        expect(clockChanges(...year(y), zone).map((c) => [iso(c.at), c.byMin])).toEqual([
          [lastSunday(y, 3), 60],
          [lastSunday(y, 10), -60],
        ]);
      });

  it("of 2026 and 2027 have the published dates", () => {
    // National Physical Laboratory, "Summer time": 29 March and 25 October 2026, 28 March and 31 October 2027.
    const days = [2026, 2027].flatMap((y) =>
      clockChanges(...year(y), "Europe/London").map((c) => dayOf(c.at, "Europe/London")),
    );
    expect(days).toEqual(["2026-03-29", "2026-10-25", "2027-03-28", "2027-10-31"]);
  });

  it("are those that a second library finds, in every zone of a long list", () => {
    const zones = [
      "Europe/London",
      "Europe/Dublin",
      "America/New_York",
      "America/Sao_Paulo",
      "Australia/Lord_Howe",
      "Africa/Casablanca",
      "Asia/Beirut",
      "Asia/Tokyo",
      "Antarctica/Troll",
      "Pacific/Auckland",
      "Pacific/Apia",
    ];
    const [from] = year(2026);
    const [, to] = year(2028);
    for (const zone of zones) {
      const theirs: string[] = [];
      let next = Temporal.Instant.fromEpochMilliseconds(from)
        .toZonedDateTimeISO(zone)
        .getTimeZoneTransition("next");
      while (next && next.epochMilliseconds <= to) {
        theirs.push(iso(next.epochMilliseconds));
        next = next.getTimeZoneTransition("next");
      }
      expect(
        clockChanges(from, to, zone).map((c) => iso(c.at)),
        zone,
      ).toEqual(theirs);
    }
  });

  it("of a span are those after its start up to its end", () => {
    const change = at("2026-10-25T01:00Z");
    expect(clockChanges(change, later(change, 60), "Europe/London")).toEqual([]);
    expect(clockChanges(later(change, -60), change, "Europe/London")).toEqual([
      { at: change, byMin: -60 },
    ]);
    expect(clockChanges(...year(2026), "Asia/Kolkata")).toEqual([]);
  });

  it("go by the offset, so Ireland, whose standard time is summer time, is like London", () => {
    expect(offsetMin(at("2026-07-01T12:00Z"), "Europe/Dublin")).toBe(60);
    expect(offsetMin(at("2026-12-01T12:00Z"), "Europe/Dublin")).toBe(0);
    expect(isoIn(at("2026-12-01T12:00Z"), "Europe/Dublin")).toBe("2026-12-01T12:00:00+00:00");
  });
});

describe("a wall time", () => {
  it("in a hole is moved forward by the hole", () => {
    expect(iso(atWall("2026-03-29", "01:30", "Europe/London"))).toBe("2026-03-29T01:30:00.000Z");
    expect(clockOf(atWall("2026-03-29", "01:30", "Europe/London"), "Europe/London")).toBe("02:30");
    expect(
      clockOf(atWall("2026-10-04", "02:15", "Australia/Lord_Howe"), "Australia/Lord_Howe"),
    ).toBe("02:45");
  });

  it("that comes twice is the first one, whatever the season in which it is asked", () => {
    expect(iso(atWall("2026-10-25", "01:30", "Europe/London"))).toBe("2026-10-25T00:30:00.000Z");
    expect(iso(atWall("2026-10-25", "01:30", "Europe/Dublin"))).toBe("2026-10-25T00:30:00.000Z");
    expect(iso(atWall("2026-11-01", "01:30", "America/New_York"))).toBe("2026-11-01T05:30:00.000Z");
  });

  it("agrees with a second library everywhere, holes and doubles included", () => {
    const zones = [
      "Europe/London",
      "Europe/Dublin",
      "America/New_York",
      "Australia/Lord_Howe",
      "Asia/Beirut",
      "Antarctica/Troll",
    ];
    fc.assert(
      fc.property(
        fc.constantFrom(...zones),
        fc.integer({ min: 0, max: 730 }),
        fc.integer({ min: 0, max: 1439 }),
        (zone, day, minute) => {
          const date = addDays("2026-01-01", day);
          const clock = `${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;
          const theirs = Temporal.PlainDateTime.from(`${date}T${clock}`).toZonedDateTime(zone, {
            disambiguation: "compatible",
          });
          expect(atWall(date, clock, zone)).toBe(theirs.epochMilliseconds);
        },
      ),
      { numRuns: 500 },
    );
  });

  it("is refused with a plain word when it is none", () => {
    expect(() => atWall("2026-02-30", "10:00", "Europe/London")).toThrow(Fault);
    expect(() => atWall("2026-02-28", "10:00", "Europe/Nowhere")).toThrow(Fault);
    expect(() => offsetMin(at("2026-02-28T10:00Z"), "Europe/Nowhere")).toThrow(
      'unknown time zone "Europe/Nowhere"',
    );
    expect(() => dayOf(at("2026-02-28T10:00Z"), "")).toThrow(Fault);
  });
});

describe("reading a time", () => {
  const zone = "Europe/London";
  it("takes a local time with or without seconds", () => {
    expect(iso(readLocal("2026-06-03T10:00", zone))).toBe("2026-06-03T09:00:00.000Z");
    expect(iso(readLocal("2026-06-03 10:00:30", zone))).toBe("2026-06-03T09:00:30.000Z");
    expect(iso(readLocal("2026-10-25T01:30", zone))).toBe("2026-10-25T00:30:00.000Z");
  });

  it("names the right time where the clocks skip the one given", () => {
    expect(() => readLocal("2026-03-29T01:30", zone)).toThrow(
      "01:30 does not exist on 2026-03-29 in Europe/London: the clocks go forward; 02:30 would be right",
    );
  });

  it("refuses what is no local time, an offset included", () => {
    for (const wrong of [
      "2026-06-31T10:00",
      "2026-06-03",
      "10:00",
      "2026-06-03T25:00",
      "2026-06-03T10:00Z",
      "2026-06-03T10:00+01:00",
      "3 June",
      "",
    ])
      expect(() => readLocal(wrong, zone), wrong).toThrow(Fault);
    expect(() => readLocal("2026-06-03T10:00", "London")).toThrow('unknown time zone "London"');
  });

  it("takes an ISO instant with an offset and nothing else", () => {
    expect(iso(readIso("2026-06-03T10:00+01:00"))).toBe("2026-06-03T09:00:00.000Z");
    expect(iso(readIso("2026-06-03T10:00:00Z"))).toBe("2026-06-03T10:00:00.000Z");
    for (const wrong of ["2026-06-03T10:00", "2026-06-03", "now", ""])
      expect(() => readIso(wrong), wrong).toThrow(Fault);
  });

  it("makes instants of whole milliseconds only", () => {
    for (const wrong of [Number.NaN, 0.5, Number.POSITIVE_INFINITY, 2 ** 60])
      expect(() => instantOf(wrong)).toThrow(Fault);
  });
});

describe("local days", () => {
  it("are counted by the calendar, not by 24 hours", () => {
    expect(addDays("2026-02-28", 1)).toBe("2026-03-01");
    expect(addDays("2028-02-28", 1)).toBe("2028-02-29");
    expect(addDays("2026-03-29", -1)).toBe("2026-03-28");
    expect(daysBetween("2026-03-28", "2026-03-30")).toBe(2);
    expect(daysBetween("2026-10-26", "2026-10-24")).toBe(-2);
    expect(weekdayOf("2026-03-29")).toBe("sun");
    expect(dayText(0)).toBe("1970-01-01");
    expect(dayText(20607)).toBe("2026-06-03");
    expect(minutesOf("08:30")).toBe(510);
  });

  it("are said with the weekday unless it is today", () => {
    const now = at("2026-06-03T09:00Z");
    expect(sayTime(at("2026-06-03T17:30Z"), now, "Europe/London")).toBe("18:30");
    expect(sayTime(at("2026-06-04T17:30Z"), now, "Europe/London")).toBe("Thu 4 Jun 18:30");
  });

  it("are written with the offset of their day", () => {
    expect(isoIn(at("2026-03-28T19:00Z"), "Europe/London")).toBe("2026-03-28T19:00:00+00:00");
    expect(isoIn(at("2026-03-29T18:00Z"), "Europe/London")).toBe("2026-03-29T19:00:00+01:00");
    expect(luxonOf(at("2026-03-29T18:00Z"), "UTC").toISO()).toBe("2026-03-29T18:00:00.000Z");
    expect([knowsZone("Europe/London"), knowsZone("Mars/Base")]).toEqual([true, false]);
  });
});

describe("the almanac", () => {
  const zones = [
    "Europe/London",
    "Europe/Dublin",
    "America/New_York",
    "Australia/Lord_Howe",
    "Asia/Beirut",
    "Antarctica/Troll",
    "Asia/Kolkata",
    "Africa/Casablanca",
    "UTC",
  ];
  const changes = [
    "2026-03-29T01:00Z",
    "2026-10-25T01:00Z",
    "2026-10-03T15:30Z",
    "2026-03-28T22:00Z",
  ].map((t) => Date.parse(t) / 60_000);
  const minute = fc.oneof(
    fc.integer({ min: 29_450_000, max: 30_500_000 }),
    fc
      .tuple(fc.constantFrom(...changes), fc.integer({ min: -300, max: 300 }))
      .map(([c, by]) => c + by),
  );

  it("gives the days, clocks and instants that the slow functions give, holes and doubles included", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...zones),
        minute,
        fc.integer({ min: 1, max: 40 * 1440 }),
        fc.integer({ min: 0, max: 1439 }),
        (zone, start, length, clock) => {
          const from = instantOf(start * 60_000);
          const book = almanac(from, later(from, length), zone);
          const day = book.dayNumber(from);
          expect(dayText(day)).toBe(dayOf(from, zone));
          const text = (m: number): string =>
            `${String(Math.floor(m / 60)).padStart(2, "0")}:${String(m % 60).padStart(2, "0")}`;
          expect(text(book.minuteOf(from))).toBe(clockOf(from, zone));
          for (const d of [day - 1, day, day + 1])
            expect(book.at(d, clock)).toBe(atWall(dayText(d), text(clock), zone));
        },
      ),
      { numRuns: 500 },
    );
  });

  it("of an unknown zone is refused", () => {
    expect(() => almanac(at("2026-06-01T00:00Z"), at("2026-06-02T00:00Z"), "Europe/Londn")).toThrow(
      Fault,
    );
  });
});
