/** Rows that say "at this instant, this happens next": set, dropped, and turned into arrivals when due. */
import type { Instant } from "../calendar.js";
import type { Arrival, Due, LaneId, Matter } from "../post.js";
import { fileArrival } from "./arrivals.js";
import { claiming } from "./dialect.js";
import { within } from "./open.js";
import type { Db } from "./tables.js";

/** Sets (the same key replaces) or drops (`at` null) a due. `setBy`: seq of the arrival that asks for it. */
export async function setDue(db: Db, lane: LaneId, due: Due, setBy: number): Promise<void> {
  if (due.at === null) {
    await db.deleteFrom("dues").where("lane", "=", lane).where("key", "=", due.key).execute();
    return;
  }
  const row = {
    at: due.at,
    generation: due.generation,
    kind: due.matter.kind,
    matter: JSON.stringify(due.matter),
    set_by: setBy,
  };
  await db
    .insertInto("dues")
    .values({ lane, key: due.key, ...row })
    .onConflict((c) => c.columns(["lane", "key"]).doUpdateSet(row))
    .execute();
}

/**
 * Turns up to `limit` dues at or before `now`, the oldest first, into arrivals of their lanes: row gone and
 * arrival stored in one transaction, so a kill loses and doubles none. The key ends in the arrival that set
 * the due: a step may set the same due again, which is a new one. Returns how many.
 */
export async function fileDues(
  db: Db,
  now: Instant,
  limit = 100,
  crash: (point: string) => void = () => {},
): Promise<number> {
  return within(db, async (tx) => {
    const due = tx.selectFrom("dues").selectAll().where("at", "<=", now).orderBy("at").limit(limit);
    const rows = await claiming(tx, due).execute();
    let filed = 0;
    for (const row of rows) {
      const gone = await tx
        .deleteFrom("dues")
        .where("lane", "=", row.lane)
        .where("key", "=", row.key)
        .where("at", "=", row.at)
        .where("set_by", "=", row.set_by)
        .executeTakeFirst();
      if (Number(gone.numDeletedRows) === 0) continue;
      crash("dues: row gone");
      const arrival: Arrival = {
        key: `due:${row.lane}:${row.key}:${row.generation}:${row.set_by}`,
        lane: row.lane as LaneId,
        receivedAt: now,
        body: {
          kind: "due",
          due: row.key,
          generation: row.generation,
          matter: JSON.parse(row.matter) as Matter,
        },
      };
      if ((await fileArrival(tx, arrival)) === "new") filed++;
    }
    return filed;
  });
}

/** The instant of the earliest due; undefined when there is none. */
export async function nextDueAt(db: Db): Promise<Instant | undefined> {
  const row = await db.selectFrom("dues").select("at").orderBy("at").limit(1).executeTakeFirst();
  return row?.at as Instant | undefined;
}

/** The dues of a lane in order of time. */
export async function duesOf(db: Db, lane: LaneId): Promise<(Due & { at: Instant })[]> {
  const rows = await db
    .selectFrom("dues")
    .selectAll()
    .where("lane", "=", lane)
    .orderBy("at")
    .orderBy("key")
    .execute();
  return rows.map((row) => ({
    key: row.key,
    at: row.at as Instant,
    generation: row.generation,
    matter: JSON.parse(row.matter) as Matter,
  }));
}
