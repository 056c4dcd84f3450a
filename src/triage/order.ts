/** Whom to alert, in which order, and whether it is night. Pure. */
import { addDays, atWall, clockOf, dayOf, type Instant } from "../calendar.js";
import type { FirmFile } from "../knowledge/schema.js";
import { isReady, whoIsOn } from "../roster/on-duty.js";
import type { Severity } from "../severity.js";

/** The order that the firm's file gives for a severity; a kind's own ("light", "fault", "reading") goes before it. */
function orderOf(firm: FirmFile, severity: Severity | "person", kind = ""): readonly string[] {
  const { kinds, ...orders } = firm.callOrders;
  const own = Object.entries(kinds).find(([k]) => k === kind)?.[1];
  if (severity === "note") return own?.note ?? orders.person;
  return (
    (severity === "stop" || severity === "soon" ? own?.[severity] : undefined) ?? orders[severity]
  );
}

/**
 * The contacts of staff to alert, in order, each once; "duty" becomes whoever is on the roster. Who is away
 * or outside their hours is left out, unless they are on duty, life is in danger, or nobody else is left.
 */
export function callOrder(
  firm: FirmFile,
  severity: Severity | "person",
  at: Instant,
  kind?: string,
): string[] {
  const duty = whoIsOn(firm, at).contacts;
  const named = orderOf(firm, severity, kind).flatMap((id) => (id === "duty" ? duty : [id]));
  const staff = [...new Set(named)].filter((id) => firm.contacts[id]?.kind === "staff");
  if (severity === "danger") return staff;
  const ready = staff.filter((id) => duty.includes(id) || isReady(firm, id, at));
  return ready.length > 0 ? ready : staff;
}

/** Whether the local clock lies in the firm's night. */
export function isNight(firm: FirmFile, at: Instant): boolean {
  const clock = clockOf(at, firm.zone);
  const { from, to } = firm.night;
  return from > to ? clock >= from || clock < to : clock >= from && clock < to;
}

/** The next instant at which the firm's night ends. */
export function morningAfter(firm: FirmFile, at: Instant): Instant {
  const today = dayOf(at, firm.zone);
  const end = atWall(today, firm.night.to, firm.zone);
  return end > at ? end : atWall(addDays(today, 1), firm.night.to, firm.zone);
}
