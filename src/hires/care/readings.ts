/** What is known of a hire's van from its readings. Pure. */
import { after } from "../../calendar.js";
import type { Reading } from "../../post.js";
import type { Hire } from "../hire.js";

/** The handover is under way for so long after the agreed time of pick-up. Common practice, no source. */
const handoverMin = 120;
type Known = Pick<Reading, "odometerKm" | "fluid" | "fuel">;

/** The readings of the van that the hire has now; those of a van that was swapped are another van's. */
export const readingsOfVan = (hire: Hire): Reading[] =>
  hire.readings.filter((r) => r.at >= (hire.vanSince ?? r.at));

/** Each value as it stands last in these readings. */
const lastOf = (readings: readonly Reading[]): Known =>
  Object.assign(
    {},
    ...readings.map(({ odometerKm, fluid, fuel }) => defined({ odometerKm, fluid, fuel })),
  );
const defined = (values: Record<string, number | undefined>) =>
  Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined));

/**
 * What the van had at pick-up and has now: each value by itself. At pick-up: as its record has it; without
 * one, as it was read about then; what is missing is not known, and a sum asks for it. After a swap
 * the way of the first van is on another odometer, so none stands for the pick-up.
 */
export function knownOfVan(hire: Hire): { pickup: Known; latest: Known } {
  const all = readingsOfVan(hire);
  const { pickup: record } = hire;
  if (record?.registration === hire.booking.van.registration)
    return { pickup: lastOf([record.reading]), latest: lastOf(all) };
  const until = after(hire.vanSince ?? hire.booking.pickupAt, handoverMin);
  const { odometerKm, ...levels } = lastOf(all.filter((r) => r.at <= until));
  const whole = odometerKm !== undefined && hire.vanSince === undefined;
  return { pickup: whole ? { odometerKm, ...levels } : levels, latest: lastOf(all) };
}
