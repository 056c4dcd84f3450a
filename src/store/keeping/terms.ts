/** What has had its time: hires whose talk, photos or names go, strangers' words, and files to take from the disk. */
import { randomBytes } from "node:crypto";
import { sql } from "kysely";
import type { Instant } from "../../calendar.js";
import type { Keeping } from "../../knowledge/firm/keeping.js";
import { laneNamed } from "../../lanes.js";
import type { FileRef, LaneId } from "../../post.js";
import { claiming } from "../dialect.js";
import type { EventMore } from "../events.js";
import { within } from "../open.js";
import type { Db, Tables } from "../tables.js";
import type { GoneFile } from "./forget.js";

/** The arrival by which something of a hire is to go, tried once a local day. */
export const keepingKey = (what: Keeping, hire: string, day: string): string =>
  `keeping:${what}:${hire}:${day}`;

/** Hires that ended before an instant, of which this has not gone yet and was not tried on this day, the earliest first. */
export async function hiresEnded(
  db: Db,
  { what, before, day }: { what: Keeping; before: Instant; day: string },
  limit: number,
): Promise<string[]> {
  const [head, tail] = keepingKey(what, "|", day).split("|");
  const rows = await db
    .selectFrom("hires")
    .select("id")
    .where((q) =>
      q.or([
        q("return_record_at", "<", before),
        q.and([q("status", "=", "cancelled"), q("return_at", "<", before)]),
      ]),
    )
    .where((q) =>
      q.not(
        q.exists(
          q
            .selectFrom("forgotten")
            .select("key")
            .whereRef("forgotten.hire", "=", "hires.id")
            .where("what", "=", what)
            .where("person", "is", null)
            // What was erased by hand says nothing of what came after it.
            .where("by", "=", "keeping"),
        ),
      ),
    )
    // What stands against one hire must not keep those behind it waiting.
    .where(
      sql<boolean>`not exists (select 1 from arrivals where arrivals.key = ${head} || hires.id || ${tail})`,
    )
    .orderBy("return_at")
    .limit(limit)
    .execute();
  return rows.map((row) => row.id);
}

/** Lanes of people without a hire in which nothing happened since an instant. */
export async function strangersQuiet(db: Db, since: Instant, limit: number): Promise<LaneId[]> {
  const rows = await db
    .selectFrom("lanes")
    .select("lane")
    .where("lane", ">=", "chat:")
    .where("lane", "<", "chat;")
    .where((q) =>
      q.not(
        q.exists(
          q
            .selectFrom("events")
            .select("n")
            .whereRef("events.lane", "=", "lanes.lane")
            .where("at", ">=", since),
        ),
      ),
    )
    .limit(limit)
    .execute();
  return rows.map((row) => laneNamed(row.lane));
}

/** Files of ours that came in a stranger's lane are to go from the disk; nothing of who it was stays with them. */
async function dropFiles(tx: Db, files: readonly FileRef[], now: Instant): Promise<void> {
  const gone: GoneFile[] = files
    .filter((file) => file.telegram === undefined)
    .map(({ id }) => ({ of: "chat", id }));
  if (gone.length === 0) return;
  const key = `stranger:${randomBytes(12).toString("base64url")}`;
  const row = { key, hire: "", what: "stranger", by: "keeping", person: null, at: now };
  await tx
    .insertInto("forgotten")
    .values({ ...row, files: JSON.stringify(gone), files_gone_at: null })
    .execute();
}

/** Parameters of one statement, far below what either engine takes (SQLite 32,766). */
const keysAtOnce = 1000;

/** Takes a stranger's lane out with all that is in it. False where it moves just now, or something waits in it. */
export const dropStranger = (db: Db, lane: LaneId, now: Instant): Promise<boolean> =>
  within(db, async (tx) => {
    const row = tx.selectFrom("lanes").select("lane").where("lane", "=", lane);
    const busy = await tx
      .selectFrom("arrivals")
      .select("seq")
      .where("lane", "=", lane)
      .where("state", "=", "waiting")
      .executeTakeFirst();
    if (busy || !(await claiming(tx, row).executeTakeFirst())) return false;
    const events = await tx.selectFrom("events").select("more").where("lane", "=", lane).execute();
    const told = events.map(({ more }) => JSON.parse(more) as EventMore);
    const files = told.flatMap((more) => more.file ?? []);
    await dropFiles(tx, files, now);
    const keys = told.flatMap((more) => more.sends ?? []);
    for (let i = 0; i < keys.length; i += keysAtOnce)
      await tx
        .deleteFrom("sends")
        .where("key", "in", keys.slice(i, i + keysAtOnce))
        .execute();
    for (const table of ["arrivals", "dues", "events", "lanes"] as const)
      await tx.deleteFrom(table).where("lane", "=", lane).execute();
    return true;
  });

/** Files that are still to go, by the key under which they were let go. */
export async function filesToGo(
  db: Db,
  limit: number,
): Promise<{ key: string; files: GoneFile[] }[]> {
  const rows = await db
    .selectFrom("forgotten")
    .select(["key", "files"])
    .where("files_gone_at", "is", null)
    .orderBy("at")
    .limit(limit)
    .execute();
  return rows.map(({ key, files }) => ({ key, files: JSON.parse(files) as GoneFile[] }));
}

/** They are gone: their names go too. */
export async function filesGone(db: Db, key: string, now: Instant): Promise<void> {
  await db
    .updateTable("forgotten")
    .set({ files: "[]", files_gone_at: now })
    .where("key", "=", key)
    .execute();
}

/** What was let go of a hire, the latest first. */
export const forgottenOf = (db: Db, hire: string): Promise<Tables["forgotten"][]> =>
  db.selectFrom("forgotten").selectAll().where("hire", "=", hire).orderBy("at", "desc").execute();
