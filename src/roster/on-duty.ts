/** Who answers at this instant, who comes next, and who may be alerted besides. Pure. */
import { addDays, after, dayOf, daysBetween, type Instant, weekdayOf } from "../calendar.js";
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

/**
 * The next instant after this one at which a shift starts or ends, or in a gap another answers; a fortnight later
 * where none does.
 */
export function nextChange(firm: FirmFile, at: Instant): Instant {
  const horizon = after(at, aheadMin);
  const change = shiftsIn(firm, at, horizon)
    .flatMap((s) => [s.from, s.to])
    .filter((t) => t > at)
    .reduce((a, b) => Math.min(a, b) as Instant, horizon);
  if (!whoIsOn(firm, at).gap) return change;
  const answers = inGap(firm, at);
  const edges = readyEdges(firm, at, change).sort((a, b) => a - b);
  return edges.find((t) => inGap(firm, t) !== answers) ?? change;
}

/** The instants between two at which somebody goes away, comes back, or their hours begin or end. */
function readyEdges(firm: FirmFile, from: Instant, to: Instant): Instant[] {
  const { zone } = firm;
  const away = firm.roster.exceptions.flatMap((e) =>
    e.kind === "away" ? [momentOf(e.from, zone), momentOf(e.to, zone)] : [],
  );
  const days = daysBetween(dayOf(from, zone), dayOf(to, zone));
  const hours = Array.from({ length: days + 2 }, (_, i) => addDays(dayOf(from, zone), i - 1))
    .flatMap((day) => Object.keys(firm.contacts).flatMap((id) => hoursOn(firm, id, day)))
    .flatMap((s) => [s.from, s.to]);
  return [...away, ...hours].filter((t) => from < t && t < to);
}

/** The hours of somebody that begin on a local day; none where they have none, or are always reached. */
const hoursOn = (firm: FirmFile, id: string, day: string): Shift[] =>
  (firm.contacts[id]?.hours ?? [])
    .filter((h) => h.days.some((d) => d === weekdayOf(day)))
    .map((h) => shiftOn(day, { contact: id, ...h }, firm.zone));

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
  const today = dayOf(at, zone);
  return (
    (firm.contacts[id]?.hours ?? []).length === 0 ||
    [addDays(today, -1), today].some((day) =>
      hoursOn(firm, id, day).some((s) => s.from <= at && at < s.to),
    )
  );
}
