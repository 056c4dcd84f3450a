/** A changed booking in words, for the trip log and for whoever is about to keep it. */
import { clockOf, dayOf, type Instant, sayDay } from "../../calendar.js";
import type { Booking } from "../../post.js";

const names = ({ people }: Booking): string =>
  people.map((p) => (p.phone ? `${p.name} ${p.phone}` : p.name)).join(", ");

/** "return: Wed 3 Jun 10:00 → Thu 4 Jun 10:00", one a field that differs; times in the zone that they are of. */
export function changeLines(before: Booking, after: Booking): string[] {
  const time = (at: Instant, of: Booking) =>
    `${sayDay(dayOf(at, of.zone))} ${clockOf(at, of.zone)}`;
  const van = ({ van: v }: Booking) => `${v.registration} (${v.type})`;
  const pairs: [string, string, string][] = [
    ["status", before.status, after.status],
    ["van", van(before), van(after)],
    ["pick-up", time(before.pickupAt, before), time(after.pickupAt, after)],
    ["return", time(before.returnAt, before), time(after.returnAt, after)],
    ["time zone", before.zone, after.zone],
    ["where they travel", before.region, after.region],
    ["language", before.lang, after.lang],
    ["surname", before.surname, after.surname],
    ["people", names(before), names(after)],
  ];
  return pairs.filter(([, a, b]) => a !== b).map(([what, a, b]) => `${what}: ${a} → ${b}`);
}
