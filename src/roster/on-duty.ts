/** Who answers at this instant, who comes next, and who may be alerted besides. Pure. */
import { addDays, after, dayOf, type Instant, weekdayOf } from "../calendar.js";
import type { FirmFile } from "../knowledge/schema.js";
import { momentOf, type Shift, shiftOn, shiftsIn } from "./shifts.js";

/** How far ahead the roster is asked who comes next: longer gaps are gaps of the roster. */
const aheadMin = 14 * 24 * 60;

/** Who answers in a gap: the fallback; while they are away or outside their hours the first of staff who is ready. */
function inGap(firm: FirmFile, at: Instant): string {
  const { fallback } = firm.roster;
  const named = [fallback, ...firm.callOrders.stop, ...firm.callOrders.danger];
  const isThere = (id: string) => firm.contacts[id]?.kind === "staff" && isReady(firm, id, at);
  return named.find(isThere) ?? fallback;
}

/**
 * The contacts on duty at an instant, by the start of their shifts; where the roster has a gap, whoever
 * answers in it, with `gap: true`.
 */
export function whoIsOn(firm: FirmFile, at: Instant): { contacts: string[]; gap: boolean } {
  const contacts = [
    ...new Set(
      shiftsIn(firm, at, after(at, 1))
        .filter((s) => s.from <= at)
        .map((s) => s.contact),
    ),
  ];
  return contacts.length > 0
    ? { contacts, gap: false }
    : { contacts: [inGap(firm, at)], gap: true };
}

/** The next instant after this one at which a shift starts or ends; a fortnight later where none does. */
export function nextChange(firm: FirmFile, at: Instant): Instant {
  const horizon = after(at, aheadMin);
  return shiftsIn(firm, at, horizon)
    .flatMap((s) => [s.from, s.to])
    .filter((t) => t > at)
    .reduce((a, b) => Math.min(a, b) as Instant, horizon);
}

/** The next shifts of others than those named, all that start at the same instant; empty when none comes. */
export function nextOn(firm: FirmFile, at: Instant, besides: readonly string[]): Shift[] {
  const coming = shiftsIn(firm, at, after(at, aheadMin)).filter(
    (s) => s.from > at && !besides.includes(s.contact),
  );
  return coming.filter((s) => s.from === coming[0]?.from);
}

/** When somebody's duty ends, over shifts that follow each other without a pause; undefined: not on duty. */
export function dutyEnd(firm: FirmFile, contact: string, at: Instant): Instant | undefined {
  let end: Instant | undefined;
  for (const s of shiftsIn(firm, at, after(at, aheadMin)))
    if (s.contact === contact && s.from <= (end ?? at) && s.to > (end ?? at)) end = s.to;
  return end;
}

/** Whether somebody may be alerted besides their shifts now: within their hours, and not away. */
export function isReady(firm: FirmFile, id: string, at: Instant): boolean {
  const { zone } = firm;
  const away = firm.roster.exceptions.some(
    (e) =>
      e.kind === "away" &&
      e.contact === id &&
      momentOf(e.from, zone) <= at &&
      at < momentOf(e.to, zone),
  );
  if (away) return false;
  const hours = firm.contacts[id]?.hours ?? [];
  const today = dayOf(at, zone);
  return (
    hours.length === 0 ||
    [addDays(today, -1), today].some((day) =>
      hours
        .filter((h) => h.days.some((d) => d === weekdayOf(day)))
        .map((h) => shiftOn(day, { contact: id, ...h }, zone))
        .some((s) => s.from <= at && at < s.to),
    )
  );
}
