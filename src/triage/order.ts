/** Whom to alert, in which order, and whether it is night. Pure. */
import { addDays, atWall, clockOf, dayOf, type Instant } from "../calendar.js";
import type { FirmFile, Severity } from "../knowledge/schema.js";
import { whoIsOn } from "../roster/on-duty.js";

/** The contacts of staff to alert, in order, each once; "duty" becomes whoever is on the roster. */
export function callOrder(firm: FirmFile, severity: Severity | "person", at: Instant): string[] {
  const order = severity === "note" ? firm.callOrders.person : firm.callOrders[severity];
  const named = order.flatMap((id) => (id === "duty" ? whoIsOn(firm, at).contacts : [id]));
  return [...new Set(named)].filter((id) => firm.contacts[id]?.kind === "staff");
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
