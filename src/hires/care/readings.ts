/** What is known of a hire's van from its readings. Pure. */
import type { Instant } from "../../calendar.js";
import type { Reading } from "../../post.js";
import type { HandoverRecord, Hire } from "../hire.js";

type Known = Pick<Reading, "odometerKm" | "fluid" | "fuel">;

/** The record of the handover, where it is of the van that the hire has now. */
const recordOf = ({ pickup, booking }: Hire): HandoverRecord | undefined =>
  pickup?.registration === booking.van.registration ? pickup : undefined;

/** The readings of the van that the hire has now; those of a van that was swapped are another van's. */
export function readingsOfVan(hire: Hire): Reading[] {
  const record = recordOf(hire)?.reading;
  const since = Math.min(hire.vanSince ?? 0, record?.at ?? Number.POSITIVE_INFINITY);
  return hire.readings.filter((r) => r.at >= since);
}

/** Each value as it stands last in these readings. */
const lastOf = (readings: readonly Reading[]): Known =>
  Object.assign(
    {},
    ...readings.map(({ odometerKm, fluid, fuel }) => defined({ odometerKm, fluid, fuel })),
  );
/** When each value was read last. */
const readAtOf = (readings: readonly Reading[]): { [value in keyof Known]?: Instant } =>
  Object.assign(
    {},
    ...readings.map((r) =>
      Object.fromEntries(Object.keys(lastOf([r])).map((value) => [value, r.at])),
    ),
  );
const defined = (values: Record<string, number | undefined>) =>
  Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined));

/**
 * What the van had at pick-up, by its record or else by what was known before the hire began, and what was read
 * since, with the time: each value by itself. After a swap the way of the first van is on another odometer, so
 * none stands for the pick-up.
 */
export function knownOfVan(hire: Hire): {
  pickup: Known;
  latest: Known;
  readAt: { [value in keyof Known]?: Instant };
} {
  const all = readingsOfVan(hire);
  const record = recordOf(hire)?.reading;
  const first = record?.at ?? hire.vanSince ?? hire.booking.pickupAt;
  const { odometerKm, ...levels } = lastOf(record ? [record] : all.filter((r) => r.at <= first));
  const whole = odometerKm !== undefined && hire.vanSince === undefined;
  const since = all.filter((r) => r.at > first);
  return {
    pickup: whole ? { odometerKm, ...levels } : levels,
    latest: lastOf(since),
    readAt: readAtOf(since),
  };
}
