/** When service falls due: by date, by distance, whichever comes first. Pure. */
import { daysBetween } from "../calendar.js";
import type { Service } from "./van.js";

/** Said to be near from so many days or kilometres before. Common practice, no source. */
const near = { days: 14, km: 1000 };

type ServiceDue = {
  state: "over" | "near" | "later" | "open";
  /** Days from today to the date; negative: past. */
  days?: number;
  /** Kilometres from the odometer to the distance; negative: past. Absent where the odometer is not known. */
  km?: number;
};

/** How a service stands on a local day (of the firm) with this odometer. "open": neither date nor distance is set. */
export function serviceDue(
  { dueOn, dueKm }: Pick<Service, "dueOn" | "dueKm">,
  today: string,
  odometerKm: number | undefined,
): ServiceDue {
  const days = dueOn === undefined ? undefined : daysBetween(today, dueOn);
  const km = dueKm === undefined || odometerKm === undefined ? undefined : dueKm - odometerKm;
  const left = {
    ...(days === undefined ? {} : { days }),
    ...(km === undefined ? {} : { km }),
  };
  if (dueOn === undefined && dueKm === undefined) return { state: "open" };
  // Due on the day itself and at the very kilometre.
  if ((days !== undefined && days < 0) || (km !== undefined && km <= 0))
    return { state: "over", ...left };
  const soon = (days !== undefined && days <= near.days) || (km !== undefined && km <= near.km);
  return { state: soon ? "near" : "later", ...left };
}
