/**
 * What was on the wire when a process was killed. The rule of the ledger: a message may come twice only where
 * the wire failed, or where the sender was killed between the wire's yes and writing that down. Whether it had
 * written it down is not guessed from the clock but read from the database between the kill and the restart.
 */
import type { Db } from "../../src/store/tables.js";
import { type Accepted, idOf } from "./shaky-bot-api.js";

/** A send that its row says is under way, though its process is dead. `ms`: since the wire took it; undefined where it had not. */
export type UnderWay = { id: string; ms?: number };

/**
 * Reads those of the process just killed. `not`: the processes that share the database and live on, and those
 * killed before, whose sends the others take up half a minute later.
 */
export async function underWayAt(
  db: Db,
  killedAt: number,
  accepted: readonly Accepted[],
  not: ReadonlySet<string>,
): Promise<UnderWay[]> {
  const rows = await db
    .selectFrom("sends")
    .select(["to_addr", "body", "started_at", "started_by"])
    .where("channel", "=", "telegram")
    .where("state", "=", "waiting")
    .where("started_at", "is not", null)
    .execute();
  const own = rows.filter((row) => !not.has(row.started_by ?? ""));
  return own.map((row) => {
    const { message } = JSON.parse(row.body) as { message: { text: string } };
    const id = idOf({ chat: row.to_addr, text: message.text });
    const taken = accepted.findLast(
      (one) => one.at <= killedAt && one.at >= (row.started_at ?? 0) && idOf(one) === id,
    );
    return taken ? { id, ms: killedAt - taken.at } : { id };
  });
}
