/** Checks that come by distance: where the readings say that a van covers more than a rule allows between two checks. Pure. */
import { hourMs, type Instant, instantOf, minutesOf } from "../calendar.js";
import type { Reading } from "../post.js";
import type { Span } from "./occasions.js";

export type Odometer = Pick<Reading, "at" | "odometerKm" | "oil">;
/** Fewer hours than this between the first and last reading tell nothing about the days to come. */
const leastHours = 24;

/** What is known of the distance: the last reading and the mean since the first. Undefined: not enough is known. */
function pace(
  readings: readonly Odometer[],
): { at: Instant; km: number; kmPerMs: number; first: number } | undefined {
  const known = readings.flatMap((r) =>
    r.odometerKm === undefined ? [] : [{ at: r.at, km: r.odometerKm }],
  );
  known.sort((a, b) => a.at - b.at);
  const first = known[0];
  const last = known.at(-1);
  if (!first || !last || last.at - first.at < leastHours * hourMs || last.km <= first.km)
    return undefined;
  return {
    at: last.at,
    km: last.km,
    kmPerMs: (last.km - first.km) / (last.at - first.at),
    first: first.km,
  };
}

/**
 * The further instants at which a check is due because `everyKm` was, or is expected to be, driven since the
 * last one. A check is a reading with an oil mark, or a planned check after the last reading; without one,
 * distance counts from the first odometer reading. Expected: the mean between the first and the last
 * odometer reading, at least a day apart. Due at `clock` (local) on the day on which the distance is reached,
 * before that day's drive; where it was reached already, next time that clock comes after the last reading.
 * `planned`: the checks that come anyway. `since` names the day of the check before, for a stable key.
 */
export function byDistance(
  everyKm: number,
  clock: string,
  readings: readonly Odometer[],
  planned: readonly Instant[],
  span: Span,
): { since: number; due: Instant }[] {
  const known = pace(readings);
  if (!known) return [];
  const { almanac } = span;
  const expected = (at: Instant): number => known.km + (at - known.at) * known.kmPerMs;
  const minute = minutesOf(clock);
  const ahead = planned.filter((at) => at > known.at).sort((a, b) => a - b);
  const checked = readings
    .filter((r) => r.oil !== undefined)
    .sort((a, b) => a.at - b.at)
    .at(-1);
  let base = checked
    ? (checked.odometerKm ?? Math.min(expected(checked.at), known.km))
    : known.first;
  let since = almanac.dayNumber(checked?.at ?? span.pickupAt);
  let earliest = known.at;
  const found: { since: number; due: Instant }[] = [];
  // One check a day at most, so the loop ends with the hire.
  for (;;) {
    const toGo = base + everyKm - known.km;
    const reached = toGo <= 0 ? known.at : instantOf(known.at + Math.round(toGo / known.kmPerMs));
    if (reached >= span.returnAt) return found;
    let due = almanac.at(almanac.dayNumber(reached), minute);
    if (due <= earliest)
      due = almanac.at(
        almanac.dayNumber(earliest) +
          (almanac.at(almanac.dayNumber(earliest), minute) > earliest ? 0 : 1),
        minute,
      );
    const sooner = ahead.find((at) => at > earliest && at <= due);
    const next = sooner ?? due;
    if (next >= span.returnAt) return found;
    if (sooner === undefined) found.push({ since, due });
    base = expected(next);
    since = almanac.dayNumber(next);
    earliest = next;
  }
}
