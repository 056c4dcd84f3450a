/** Records of handover and return while they are written, and their photos; what a record keeps is projected from its hire. */
import type { Instant } from "../../calendar.js";
import { Fault } from "../../faults.js";
import type { HandoverRecord, Hire } from "../../hires/hire.js";
import type { Arrival } from "../../post.js";
import type { HandoverKind } from "../../vans/handover.js";
import type { Db, Tables } from "../tables.js";

type Draft = { fields: Record<string, string>; by: string; savedAt: Instant };

const rowOf = (db: Db, hire: string, kind: HandoverKind) =>
  db
    .selectFrom("record_drafts")
    .selectAll()
    .where("hire", "=", hire)
    .where("kind", "=", kind)
    .executeTakeFirst();

/** What was written so far; undefined where nothing was, or the record was kept since. */
export async function draftOf(
  db: Db,
  hire: string,
  kind: HandoverKind,
): Promise<Draft | undefined> {
  const row = await rowOf(db, hire, kind);
  return (
    row && {
      fields: JSON.parse(row.fields) as Record<string, string>,
      by: row.by,
      savedAt: row.saved_at as Instant,
    }
  );
}

/** So many writers at the same instant on one record would be no people at a van. */
const mostTries = 50;

/**
 * Puts these fields into the draft and leaves the others: two phones on one record lose nothing of each other,
 * whichever process each of them speaks to. @throws STORE_WRONG where others write without end
 */
export async function saveDraft(
  db: Db,
  hire: string,
  kind: HandoverKind,
  fields: Record<string, string>,
  by: string,
  now: Instant,
): Promise<Draft> {
  for (let n = 0; n < mostTries; n++) {
    const known = await rowOf(db, hire, kind);
    const merged = { ...(known && (JSON.parse(known.fields) as Draft["fields"])), ...fields };
    const row = { fields: JSON.stringify(merged), by, saved_at: now };
    // Only on what was read: what somebody else wrote in between is read again.
    const written = known
      ? await db
          .updateTable("record_drafts")
          .set(row)
          .where("hire", "=", hire)
          .where("kind", "=", kind)
          .where("fields", "=", known.fields)
          .executeTakeFirst()
          .then((r) => Number(r.numUpdatedRows))
      : await db
          .insertInto("record_drafts")
          .values({ hire, kind, ...row })
          .onConflict((c) => c.columns(["hire", "kind"]).doNothing())
          .executeTakeFirst()
          .then((r) => Number(r.numInsertedOrUpdatedRows ?? 0));
    if (written > 0) return { fields: merged, by, savedAt: now };
  }
  throw new Fault("STORE_WRONG", "others write in this record all the time; try again");
}

export type PhotoRow = Tables["record_photos"];

/** Enters a photo; false when its id is known. */
export async function addPhoto(db: Db, row: PhotoRow): Promise<boolean> {
  const result = await db
    .insertInto("record_photos")
    .values(row)
    .onConflict((c) => c.column("id").doNothing())
    .executeTakeFirst();
  return Number(result.numInsertedOrUpdatedRows ?? 0) > 0;
}

/** The photos of a hire's records, in order of arrival; of one kind of record, where `kind` is given. */
export async function photosOf(db: Db, hire: string, kind?: HandoverKind): Promise<PhotoRow[]> {
  let query = db
    .selectFrom("record_photos")
    .selectAll()
    .where("hire", "=", hire)
    .orderBy("received_at");
  if (kind) query = query.where("kind", "=", kind);
  return query.execute();
}

/** One photo by its id. */
export const photoById = (db: Db, id: string): Promise<PhotoRow | undefined> =>
  db.selectFrom("record_photos").selectAll().where("id", "=", id).executeTakeFirst();

/** Photos of kept records that show a mark of this van, the latest first. */
export const marksOf = (db: Db, registration: string): Promise<PhotoRow[]> =>
  db
    .selectFrom("record_photos")
    .selectAll()
    .where("registration", "=", registration)
    .where("mark", "is not", null)
    .where("kept_at", "is not", null)
    .orderBy("received_at", "desc")
    .execute();

/** When a record was kept last. */
export const keptAtOf = (record: HandoverRecord | undefined): Instant | undefined =>
  record?.corrected?.at ?? record?.at;

/** By whom and when something was written or photographed for a record after it was kept, last; it is in no record. */
export async function writtenSince(
  db: Db,
  hire: Hire,
  kind: HandoverKind,
): Promise<{ by: string; at: Instant } | undefined> {
  const record = kind === "pickup" ? hire.pickup : hire.back;
  const keptAt = keptAtOf(record);
  if (!record || keptAt === undefined) return undefined;
  const draft = await draftOf(db, hire.id, kind);
  const photo = (await photosOf(db, hire.id, kind)).findLast(
    (p) => p.registration === record.registration && p.kept_at === null && p.received_at > keptAt,
  );
  if (photo && photo.received_at > (draft?.savedAt ?? 0))
    return { by: photo.by, at: photo.received_at as Instant };
  return draft && { by: draft.by, at: draft.savedAt };
}

/**
 * A return record was taken out: its photos show no mark of this van any more, and are left out of the next record
 * until somebody says otherwise.
 */
async function takeOut(
  tx: Db,
  hire: string,
  { registration }: HandoverRecord,
  { receivedAt, body }: Arrival,
): Promise<void> {
  const photos = await tx
    .updateTable("record_photos")
    .set({ kept_at: null, mark: null })
    .where("hire", "=", hire)
    .where("kind", "=", "return")
    .where("registration", "=", registration)
    .returning("id")
    .execute();
  await tx
    .deleteFrom("record_drafts")
    .where("hire", "=", hire)
    .where("kind", "=", "return")
    .execute();
  if (photos.length === 0) return;
  const fields = JSON.stringify(Object.fromEntries(photos.map(({ id }) => [`drop-${id}`, "yes"])));
  const row = { fields, by: "by" in body ? body.by : "", saved_at: receivedAt };
  await tx
    .insertInto("record_drafts")
    .values({ hire, kind: "return", ...row })
    .onConflict((c) => c.columns(["hire", "kind"]).doUpdateSet(row))
    .execute();
}

/**
 * A record that was kept takes its photos and marks with it and ends its draft, but for what was written after it
 * was sent; another van ends what was half written of the one before. Inside the turn's transaction.
 */
export async function projectRecords(
  tx: Db,
  arrival: Arrival,
  old: Hire | undefined,
  hire: Hire,
): Promise<void> {
  if (old && old.booking.van.registration !== hire.booking.van.registration)
    await tx.deleteFrom("record_drafts").where("hire", "=", hire.id).execute();
  for (const kind of ["pickup", "return"] as const) {
    const field = kind === "pickup" ? "pickup" : "back";
    const record = hire[field];
    const keptAt = keptAtOf(record);
    if (kind === "return" && old?.back && !record) await takeOut(tx, hire.id, old.back, arrival);
    if (!record || keptAt === undefined || keptAt === keptAtOf(old?.[field])) continue;
    await tx
      .deleteFrom("record_drafts")
      .where("hire", "=", hire.id)
      .where("kind", "=", kind)
      .where("saved_at", "<=", arrival.receivedAt)
      .execute();
    await tx
      .updateTable("record_photos")
      .set({ kept_at: null })
      .where("hire", "=", hire.id)
      .where("kind", "=", kind)
      // Those of a van that was given up stay with its own record.
      .where("registration", "=", record.registration)
      .execute();
    for (const photo of record.photos)
      await tx
        .updateTable("record_photos")
        .set({ kept_at: keptAt, mark: photo.mark ?? null })
        .where("id", "=", photo.id)
        .where("hire", "=", hire.id)
        .execute();
  }
}
