/** The reminders of a hire that are still to come, as it stands now. Pure. */
import type { Instant } from "../../calendar.js";
import type { Book } from "../../knowledge/book.js";
import { type Planned, plan } from "../../reminders/plan.js";
import type { Hire } from "../hire.js";
import { readingsOfVan } from "./readings.js";

/** Rules by instant, from `now` on; none of a cancelled hire, or of a van that the book does not have. */
export function plannedOf(hire: Hire, book: Book, now: Instant): Planned[] {
  const { booking, sentReminders, returnRecordAt } = hire;
  // A van that the book does not have: its checks are not those of another.
  const van = book.vans.get(booking.van.type);
  if (booking.status === "cancelled" || !van) return [];
  const facts = {
    pickupAt: booking.pickupAt,
    returnAt: booking.returnAt,
    zone: booking.zone,
    readings: readingsOfVan(hire),
    sent: sentReminders,
    now,
    ...(returnRecordAt === undefined ? {} : { returnRecordAt }),
  };
  return plan(facts, van, book.reminders);
}
