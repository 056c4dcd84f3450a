/** Files dues that have come as arrivals of their lanes. */
import { after } from "../calendar.js";
import { fileDues } from "../store/dues.js";
import type { Db } from "../store/tables.js";
import type { Pace } from "./pace.js";
import type { Clock, Crash } from "./turns.js";

/** A reminder this late was missed while the service stood still; what is a little late is not held back. */
const lateMin = 5;
/**
 * So many late reminders a second: fewer than a channel takes, so that after a long sleep nobody's answer
 * stands behind them. Each is planned anew in its turn, and what no longer helps is not sent.
 */
export const latePerSecond = 20;

/** Files one batch of what is due at or before now; returns how many. With a pace, late reminders keep to it. */
export async function callDues(
  parts: { db: Db; clock: Clock; crash: Crash },
  batch: number,
  pace?: Pace,
): Promise<number> {
  const now = parts.clock.now();
  parts.crash("dues: before filing");
  const { filed, late } = await fileDues(parts.db, now, batch, {
    crash: parts.crash,
    ...(pace ? { late: { before: after(now, -lateMin), most: pace.free(now) } } : {}),
  });
  pace?.use(late);
  parts.crash("dues: filed");
  return filed;
}
