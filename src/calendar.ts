/**
 * The only file that knows Luxon: instants, local days, wall clocks, clock changes. Pure leaf.
 * An Instant is epoch milliseconds, UTC. A zone is an IANA name. Local times are strings:
 * a day "2026-06-03", a clock "17:30", a local time "2026-06-03T17:30".
 */
import { DateTime, FixedOffsetZone, IANAZone } from "luxon";
import { Fault } from "./faults.js";

declare const instant: unique symbol;
/** Epoch milliseconds, UTC. */
export type Instant = number & { readonly [instant]: true };
export const minuteMs = 60_000;
export const hourMs = 3_600_000;
const dayMs = 24 * hourMs;
const weekdays = ["sun", "mon", "tue", "wed", "thu", "fri", "sat"] as const;

/** Marks a number of epoch milliseconds as an Instant. @throws TIME_WRONG unless a safe integer */
export function instantOf(ms: number): Instant {
  if (!Number.isSafeInteger(ms))
    throw new Fault("TIME_WRONG", `${ms} is no instant: whole milliseconds are needed`);
  return ms as Instant;
}

/** An instant some elapsed minutes later (or earlier). */
export const after = (at: Instant, minutes: number): Instant =>
  instantOf(at + Math.round(minutes * minuteMs));

/** Whether the zone name is one that this machine knows. */
export const knowsZone = (zone: string): boolean => IANAZone.isValidZone(zone);

function zoned(at: Instant, zone: string): DateTime {
  const t = DateTime.fromMillis(at, { zone });
  if (!t.isValid)
    throw new Fault(
      "TIME_WRONG",
      `unknown time zone "${zone}"; one such as "Europe/London" is needed`,
    );
  return t;
}

/**
 * The instant of a local day and clock. In a hole (spring) the clock is moved forward by the hole, as
 * 01:30 → 02:30; where a clock comes twice (autumn) the first one counts. Our rule, since Luxon's own
 * choice depends on today's season.
 */
export const atWall = (day: string, clock: string, zone: string): Instant =>
  instantOf(Math.min(...timesOf(day, clock, zone)));

/** The same, but where a clock comes twice (autumn) the last one counts. */
export const lastAtWall = (day: string, clock: string, zone: string): Instant =>
  instantOf(Math.max(...timesOf(day, clock, zone)));

/** The latest answers of `timesOf`: a roster asks for the same few again and again. */
const walls = new Map<string, readonly number[]>();
const wallsMost = 4_096;

/** Epoch milliseconds at which a zone's clock shows this: mostly one. */
function timesOf(day: string, clock: string, zone: string): readonly number[] {
  const key = `${day} ${clock} ${zone}`;
  const known = walls.get(key);
  if (known) return known;
  const t = DateTime.fromISO(`${day}T${clock}`, { zone });
  if (!t.isValid)
    throw new Fault(
      "TIME_WRONG",
      `"${day} ${clock}" in "${zone}" is no local time (${t.invalidReason ?? "unknown"})`,
    );
  const found = t.getPossibleOffsets().map((one) => one.toMillis());
  if (walls.size >= wallsMost) walls.clear();
  walls.set(key, found);
  return found;
}

/**
 * Reads a local time without offset, "2026-06-03T10:00" (seconds allowed).
 * @throws TIME_WRONG when malformed, when the zone is unknown, or when the clocks skip that time that day
 */
export function readLocal(local: string, zone: string): Instant {
  if (!knowsZone(zone))
    throw new Fault(
      "TIME_WRONG",
      `unknown time zone "${zone}"; one such as "Europe/London" is needed`,
    );
  const shape = /^(\d{4}-\d{2}-\d{2})[T ](\d{2}:\d{2})(:\d{2})?$/.exec(local.trim());
  if (!shape || !DateTime.fromISO(local.trim().replace(" ", "T"), { zone }).isValid)
    throw new Fault(
      "TIME_WRONG",
      `"${local}" is no local time; one such as "2026-06-03T10:00", without an offset, is needed`,
    );
  const [, day = "", clock = "", seconds = ""] = shape;
  const at = atWall(day, clock + seconds, zone);
  if (clockOf(at, zone) !== clock)
    throw new Fault(
      "TIME_WRONG",
      `${clock} does not exist on ${day} in ${zone}: the clocks go forward; ${clockOf(at, zone)} would be right`,
    );
  return at;
}

/** Reads an ISO time with offset or Z. @throws TIME_WRONG */
export function readIso(iso: string): Instant {
  const t = DateTime.fromISO(iso, { setZone: true });
  if (!t.isValid || !/(Z|[+-]\d{2}:?\d{2})$/i.test(iso.trim()))
    throw new Fault(
      "TIME_WRONG",
      `"${iso}" is no instant; one such as "2026-06-03T10:00+01:00" is needed`,
    );
  return instantOf(t.toMillis());
}

/** The local day of an instant: "2026-06-03". */
export const dayOf = (at: Instant, zone: string): string => zoned(at, zone).toISODate() ?? "";
/** The local clock of an instant: "17:30". */
export const clockOf = (at: Instant, zone: string): string => zoned(at, zone).toFormat("HH:mm");
const numberOf = (day: string): number => Date.parse(`${day}T00:00Z`) / dayMs;
/** The local day with this number, in days since 1970-01-01: 20607 is "2026-06-03". */
export const dayText = (number: number): string =>
  new Date(number * dayMs).toISOString().slice(0, 10);
/** The weekday of a local day: "mon" … "sun". */
export const weekdayOf = (day: string): string =>
  weekdays[new Date(numberOf(day) * dayMs).getUTCDay()] ?? "mon";
/** A local day some days later or earlier; calendar arithmetic, no zone needed. */
export const addDays = (day: string, days: number): string => dayText(numberOf(day) + days);
/** Whole local days from one day to another. */
export const daysBetween = (from: string, to: string): number => numberOf(to) - numberOf(from);

/** ISO 8601 with the zone's offset: "2026-06-03T17:30:00+01:00". */
export const isoIn = (at: Instant, zone: string): string =>
  zoned(at, zone).toISO({ suppressMilliseconds: true, includeOffset: true }) ?? "";

/** Offset from UTC in minutes at an instant. @throws TIME_WRONG on an unknown zone */
export function offsetMin(at: Instant, zone: string): number {
  const known = IANAZone.create(zone);
  if (!known.isValid)
    throw new Fault(
      "TIME_WRONG",
      `unknown time zone "${zone}"; one such as "Europe/London" is needed`,
    );
  return known.offset(at);
}

/**
 * Spells of one offset from `from` to `to`: since when (the first: `from`), and minutes from UTC. Looks every
 * six days: in the 418 zones that Node knows, two changes never lie closer than 6.9 days (1990 to 2037,
 * America/Boa_Vista 2000; searched at steps of two days).
 */
function spells(from: Instant, to: Instant, zone: string): { since: Instant; offset: number }[] {
  const found = [{ since: from, offset: offsetMin(from, zone) }];
  const step = 6 * dayMs;
  let before = found[0]?.offset ?? 0;
  for (let a = from as number; a < to; a += step) {
    const b = Math.min(a + step, to);
    const then = offsetMin(instantOf(b), zone);
    if (before === then) continue;
    let lo = a;
    let hi = b;
    while (hi - lo > 1) {
      const mid = Math.floor((lo + hi) / 2);
      if (offsetMin(instantOf(mid), zone) === before) lo = mid;
      else hi = mid;
    }
    found.push({ since: instantOf(hi), offset: then });
    before = then;
  }
  return found;
}

/** The instants in (from, to] at which the zone's offset changes, in order, with the change in minutes. */
export function clockChanges(
  from: Instant,
  to: Instant,
  zone: string,
): { at: Instant; byMin: number }[] {
  const all = spells(from, to, zone);
  return all
    .slice(1)
    .map(({ since, offset }, i) => ({ at: since, byMin: offset - (all[i]?.offset ?? 0) }));
}

/** The local days of one zone by number (days since 1970-01-01), for planning many times of one hire quickly. */
export type Almanac = {
  zone: string;
  /** Changes of the clocks within the span, in order. */
  changes: readonly { at: Instant; byMin: number }[];
  /** Number of the local day of an instant. */
  dayNumber(at: Instant): number;
  /** Minutes on the wall clock since midnight; seconds are fractions. */
  minuteOf(at: Instant): number;
  /** The instant of a wall clock, in minutes since midnight; holes and doubles as in atWall. */
  at(day: number, minute: number): Instant;
};
/**
 * The almanac of a zone from two days before `from` to two days after `to`; outside that span the nearest
 * offset is used. Gives the same as dayOf, clockOf and atWall with a few offset look-ups in all.
 * @throws TIME_WRONG on an unknown zone
 */
export function almanac(from: Instant, to: Instant, zone: string): Almanac {
  const known = spells(instantOf(from - 2 * dayMs), instantOf(to + 2 * dayMs), zone);
  // [since, offset in ms]; the first reaches back for ever.
  const parts = known.map(({ since, offset }, i): [number, number] => [
    i === 0 ? Number.NEGATIVE_INFINITY : since,
    offset * minuteMs,
  ]);
  const changes = known
    .slice(1)
    .map(({ since, offset }, i) => ({ at: since, byMin: offset - (known[i]?.offset ?? 0) }));
  const offset = (at: number): number => parts.findLast(([since]) => since <= at)?.[1] ?? 0;
  return {
    zone,
    changes,
    dayNumber: (at) => Math.floor((at + offset(at)) / dayMs),
    minuteOf: (at) => {
      const local = at + offset(at);
      return (local - Math.floor(local / dayMs) * dayMs) / minuteMs;
    },
    at: (day, minute) => {
      const local = day * dayMs + Math.round(minute * minuteMs);
      for (const [i, [since, by]] of parts.entries()) {
        const until = parts[i + 1]?.[0] ?? Number.POSITIVE_INFINITY;
        const u = local - by;
        // In the spell; or in the hole at its end, where the old offset moves the clock forward.
        if (u < until && u >= since) return instantOf(u);
        const next = parts[i + 1];
        if (next && u >= until && local - next[1] < until) return instantOf(u);
      }
      return instantOf(local - offset(local));
    },
  };
}

/** A clock in minutes since midnight: "08:30" is 510. */
export const minutesOf = (clock: string): number =>
  Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3, 5));

/** A time for people: "18:30" on the day of `now`, else "Wed 3 Jun 18:30". */
export function sayTime(at: Instant, now: Instant, zone: string): string {
  const t = zoned(at, zone).setLocale("en-GB");
  return dayOf(at, zone) === dayOf(now, zone) ? t.toFormat("HH:mm") : t.toFormat("ccc d LLL HH:mm");
}

/** A local day for people: "Wed 3 Jun". */
export const sayDay = (day: string): string =>
  DateTime.fromISO(day, { zone: "utc" }).setLocale("en-GB").toFormat("ccc d LLL");

/** A fixed-offset or IANA-zoned Luxon value for libraries that want one (calendar files). */
export const luxonOf = (at: Instant, zone: string): DateTime =>
  zone === "UTC" ? DateTime.fromMillis(at, { zone: FixedOffsetZone.utcInstance }) : zoned(at, zone);
