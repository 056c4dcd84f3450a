/** Whether the van of a booking is out, as far as anybody wrote down, and what that makes of a change. Pure. */
import type { Instant } from "../calendar.js";
import type { Booking } from "../post.js";

/** A hire as far as it matters here: its booking and its records. */
type Records = { booking: Booking; pickup?: { registration: string }; returnRecordAt?: Instant };

/** Whether its van is out: picked up, or past the time for it, and not back. */
export const isOut = ({ booking, pickup, returnRecordAt }: Records, now: Instant): boolean =>
  booking.status === "booked" &&
  returnRecordAt === undefined &&
  (pickup !== undefined || now >= booking.pickupAt);

/** Whether a changed booking gives up a van that is out, by the pick-up time or its record, for another one. */
export const swapsOut = (
  { booking, pickup, returnRecordAt }: Records,
  next: Booking,
  now: Instant,
): boolean =>
  booking.van.registration !== next.van.registration &&
  next.status === "booked" &&
  returnRecordAt === undefined &&
  (now >= next.pickupAt || pickup?.registration === booking.van.registration);

/**
 * Whether a changed booking names the van that is out or back anew: it was this one all the time. One that is back
 * always is; one that is out where somebody `says` so, and it is of the same type, since else they were told of another.
 */
export const putsRight = (
  { booking, returnRecordAt }: Records,
  next: Booking,
  says: boolean,
): boolean =>
  booking.van.registration !== next.van.registration &&
  (returnRecordAt !== undefined || (says && booking.van.type === next.van.type));
