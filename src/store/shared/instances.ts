/** The processes that live on this database, each with a beat that it moves on. */
import { sql } from "kysely";
import type { Db } from "../tables.js";

/** Moves a process's beat on; the first time it comes to stand among the others. */
export async function beatOf(db: Db, id: string): Promise<void> {
  await db
    .insertInto("instances")
    .values({ id, beat: 1 })
    .onConflict((c) => c.column("id").doUpdateSet({ beat: sql<number>`instances.beat + 1` }))
    .execute();
}

/** All that stand there. */
export const beats = (db: Db): Promise<{ id: string; beat: number }[]> =>
  db.selectFrom("instances").selectAll().execute();

/** Takes a process out; with a beat, only if it has not moved on. False when it had, or was gone. */
export async function forget(db: Db, id: string, beat?: number): Promise<boolean> {
  let query = db.deleteFrom("instances").where("id", "=", id);
  if (beat !== undefined) query = query.where("beat", "=", beat);
  return Number((await query.executeTakeFirst()).numDeletedRows) > 0;
}
