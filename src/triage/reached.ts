/** Whom each call order reaches, hour by hour: where it reaches nobody, that is said before it is needed. Pure. */
import { addDays, atWall, dayOf, type Instant, weekdayOf } from "../calendar.js";
import type { FirmFile } from "../knowledge/schema.js";
import { isReady } from "../roster/on-duty.js";
import type { StaffReach } from "../roster/reach.js";
import { momentOf, type Span, shiftOn, shiftsIn } from "../roster/shifts.js";
import type { Severity } from "../severity.js";
import { callOrder } from "./order.js";

/** A call order by what it is for. */
export type OrderOf = { severity: Severity | "person"; kind?: string };

/** All call orders of the firm: the severities, a person, and what kinds have of their own. */
export function ordersOf(firm: FirmFile): OrderOf[] {
  const severities = ["danger", "stop", "soon", "person"] as const;
  const own = Object.entries(firm.callOrders.kinds).flatMap(([kind, orders]) =>
    (["stop", "soon", "note"] as const)
      .filter((severity) => orders[severity])
      .map((severity) => ({ severity, kind })),
  );
  return [...severities.map((severity) => ({ severity })), ...own];
}

/**
 * A time in which a call order does not work as written. "nobody": no channel reaches any of its contacts
 * unless they are signed in at the desk, and none of them can even be · "desk": only while one of them is
 * signed in there · "hours": all of them are away or outside their hours, so all are alerted nevertheless.
 */
export type Weak = Span & { how: "nobody" | "desk" | "hours"; contacts: string[] };

/** Instants between which duty, hours and absences do not change. */
function cutsOf(firm: FirmFile, from: Instant, to: Instant): Instant[] {
  const { zone } = firm;
  const hours = Object.entries(firm.contacts).flatMap(([contact, c]) =>
    c.hours.map((h) => ({ contact, ...h })),
  );
  const days: string[] = [];
  for (
    let day = addDays(dayOf(from, zone), -1);
    atWall(day, "00:00", zone) < to;
    day = addDays(day, 1)
  )
    days.push(day);
  const spans = days.flatMap((day) =>
    hours.filter((h) => h.days.some((d) => d === weekdayOf(day))).map((h) => shiftOn(day, h, zone)),
  );
  const away = firm.roster.exceptions.flatMap((e) =>
    e.kind === "away" ? [momentOf(e.from, zone), momentOf(e.to, zone)] : [],
  );
  const all = [...shiftsIn(firm, from, to), ...spans].flatMap((s) => [s.from, s.to]);
  const within = [...all, ...away].filter((t) => from < t && t < to);
  return [...new Set([from, ...within, to])].sort((a, b) => a - b);
}

/** Where a call order is weak in [from, to), in order; neighbours that are weak in the same way are one. */
export function weakIn(
  firm: FirmFile,
  reach: Pick<StaffReach, "telegram" | "hook">,
  of: OrderOf,
  from: Instant,
  to: Instant,
): Weak[] {
  const found: Weak[] = [];
  const cuts = cutsOf(firm, from, to);
  for (const [i, start] of cuts.entries()) {
    const end = cuts[i + 1];
    if (end === undefined) break;
    const contacts = callOrder(firm, of.severity, start, of.kind);
    const always = contacts.some(
      (id) => reach.telegram[id] || (reach.hook && firm.contacts[id]?.hook),
    );
    const duty = shiftsIn(firm, start, end).some(
      (s) => s.from <= start && contacts.includes(s.contact),
    );
    const ready =
      of.severity === "danger" || duty || contacts.some((id) => isReady(firm, id, start));
    const desk = contacts.some((id) => firm.contacts[id]?.desk);
    const how = always ? (ready ? undefined : "hours") : desk ? "desk" : "nobody";
    const last = found.at(-1);
    if (how === undefined) continue;
    if (last && last.to === start && last.how === how) {
      last.to = end;
      last.contacts = [...new Set([...last.contacts, ...contacts])];
    } else found.push({ from: start, to: end, how, contacts });
  }
  return found;
}
