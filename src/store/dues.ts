/** Rows that say "at this instant, this happens next": set, dropped, and turned into arrivals when due. */
import { type Selectable, sql } from "kysely";
import { type Instant, instantOf } from "../calendar.js";
import { laneNamed } from "../lanes.js";
import type { Arrival, Due, LaneId, Matter } from "../post.js";
import { fileArrival } from "./arrivals.js";
import { claiming } from "./dialect.js";
import { within } from "./open.js";
import type { Db, Tables } from "./tables.js";

type Row = Selectable<Tables["dues"]>;

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

/** Reminders due before an instant are late: at most so many of them are filed. */
type Late = { before: Instant; most: number };

/**
 * Takes what is due: first all that is no reminder (somebody waits for it), then reminders, then late ones.
 * The oldest of each come first.
 */
async function takeDue(tx: Db, now: Instant, limit: number, late?: Late): Promise<Row[]> {
  const due = (kind: "=" | "!=", from: Instant | undefined, before: Instant, most: number) => {
    let query = tx
      .selectFrom("dues")
      .selectAll()
      // Written out, so that the engine knows the index of what is no reminder for the one to use.
      .where("kind", kind, sql.lit("reminder"))
      .where("at", "<=", before)
      .orderBy("at")
      .limit(most);
    if (from !== undefined) query = query.where("at", ">=", from);
    return claiming(tx, query).execute();
  };
  const rows = await due("!=", undefined, now, limit);
  if (rows.length < limit) rows.push(...(await due("=", late?.before, now, limit - rows.length)));
  if (!late) return rows;
  const most = Math.min(late.most, limit - rows.length);
  if (most > 0) rows.push(...(await due("=", undefined, instantOf(late.before - 1), most)));
  return rows;
}

/**
 * Turns up to `limit` dues at or before `now` into arrivals of their lanes: row gone and arrival stored in
 * one transaction, so a kill loses and doubles none. The key ends in the arrival that set the due: a step
 * may set the same due again, which is a new one. Returns how many were filed, and how many of them late.
 */
export async function fileDues(
  db: Db,
  now: Instant,
  limit = 100,
  how: { crash?: (point: string) => void; late?: Late } = {},
): Promise<{ filed: number; late: number }> {
  return within(db, async (tx) => {
    const rows = await takeDue(tx, now, limit, how.late);
    const done = { filed: 0, late: 0 };
    for (const row of rows) {
      const gone = await tx
        .deleteFrom("dues")
        .where("lane", "=", row.lane)
        .where("key", "=", row.key)
        .where("at", "=", row.at)
        .where("set_by", "=", row.set_by)
        .executeTakeFirst();
      if (Number(gone.numDeletedRows) === 0) continue;
      how.crash?.("dues: row gone");
      const arrival: Arrival = {
        key: `due:${row.lane}:${row.key}:${row.generation}:${row.set_by}`,
        lane: laneNamed(row.lane),
        receivedAt: now,
        body: {
          kind: "due",
          due: row.key,
          generation: row.generation,
          matter: JSON.parse(row.matter) as Matter,
        },
      };
      if ((await fileArrival(tx, arrival)) !== "new") continue;
      done.filed++;
      if (how.late && row.kind === "reminder" && row.at < how.late.before) done.late++;
    }
    return done;
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
