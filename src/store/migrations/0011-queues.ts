/**
 * Queues in an order of their own. PostgreSQL guesses from old counts how many rows wait, and with a guess too
 * high it walks the primary key through all that was ever done; a sum, which that key does not hold, leaves it
 * no other index than the queue's (PostgreSQL manual, "Indexes and ORDER BY").
 */
import { sql } from "kysely";
import type { Db } from "../tables.js";

export async function up(db: Db): Promise<void> {
  const queue = async (name: string, table: string, state: string, ...rest: "lane"[]) => {
    await db.schema.dropIndex(name).execute();
    const index = db.schema.createIndex(name).on(table).expression(sql`(seq + 0)`).columns(rest);
    await index.where(sql.ref("state"), "=", sql.lit(state)).execute();
  };
  await queue("arrivals_waiting", "arrivals", "waiting", "lane");
  await queue("arrivals_failed", "arrivals", "failed");
  await queue("sends_undelivered", "sends", "undelivered");
}
