/** What a change of a hire would do to its reminders: the plan before and after it, held against each other. Pure. */
import { swapsOut } from "../../bookings/out.js";
import type { Instant } from "../../calendar.js";
import { plannedOf } from "../../hires/care/planned.js";
import type { Hire } from "../../hires/hire.js";
import type { Book } from "../../knowledge/book.js";
import type { Booking } from "../../post.js";
import type { Planned } from "../../reminders/plan.js";

/** `was` absent: it comes new; `due` absent: it goes. */
export type ReminderChange = { title: string; was?: Instant; due?: Instant };

/** Reminders that come, go or move, in order of time; `same`: how many stay as they are. */
function compare(
  before: readonly Planned[],
  after: readonly Planned[],
): { changes: ReminderChange[]; same: number } {
  const old = new Map(before.map((row) => [row.uid, row]));
  const changes: ReminderChange[] = [];
  let same = 0;
  for (const { uid, title, due } of after) {
    const was = old.get(uid);
    old.delete(uid);
    if (was?.due === due) same++;
    else changes.push({ title, due, ...(was ? { was: was.due } : {}) });
  }
  for (const { title, due } of old.values()) changes.push({ title, was: due });
  const at = (c: ReminderChange) => c.due ?? c.was ?? 0;
  return { changes: changes.sort((a, b) => at(a) - at(b)), same };
}

/** The reminders of a hire as it is, and as it would be with this booking. */
export function remindersAfter(hire: Hire, after: Booking, book: Book, now: Instant) {
  const changed: Hire = {
    ...hire,
    booking: after,
    ...(swapsOut(hire, after, now) ? { vanSince: now } : {}),
  };
  return compare(plannedOf(hire, book, now), plannedOf(changed, book, now));
}
