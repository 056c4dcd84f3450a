/** What the calendar of a hire holds: its whole plan, whatever of it was sent. Pure. */
import type { Book } from "../../knowledge/book.js";
import { fill } from "../../knowledge/placeholders.js";
import type { Entry } from "../../reminders/calendar/file.js";
import { comesAfterReturn } from "../../reminders/occasions.js";
import { plan } from "../../reminders/plan.js";
import { voiceFor } from "../../wording/say.js";
import type { Hire } from "../hire.js";
import { readingsOfVan } from "./readings.js";

/** The entries of a hire's calendar; none where it is cancelled, or the book has no such van. What only asks where the van is stays out of it. */
export function entriesOf(hire: Hire, book: Book): Entry[] {
  const { booking, returnRecordAt } = hire;
  if (booking.status === "cancelled" || !book.vans.has(booking.van.type)) return [];
  const { van, values } = voiceFor(book, booking.van.type, booking.region, "en");
  const rows = plan(
    {
      pickupAt: booking.pickupAt,
      returnAt: booking.returnAt,
      zone: booking.zone,
      readings: readingsOfVan(hire),
      ...(returnRecordAt === undefined ? {} : { returnRecordAt }),
    },
    van,
    book.reminders,
  );
  return rows.flatMap(({ uid, rule, due, title, text }) => {
    const known = book.reminders.rules[rule];
    if (!known || comesAfterReturn(known)) return [];
    return [{ uid, due, title: fill(title, values), text: fill(text, values) }];
  });
}
