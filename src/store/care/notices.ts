/** Notices to many hires: made once with all that is to come of them, joined later where staff said so, seen or not. */
import { concernsHire } from "../../bookings/audience.js";
import type { Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { laneOf } from "../../lanes.js";
import type { Audience, Notice } from "../../post.js";
import { sameJson } from "../../same-json.js";
import { fileArrival } from "../arrivals.js";
import { within } from "../open.js";
import type { Db, Tables } from "../tables.js";

export type NewNotice = Notice & { by: string; to: Audience; joiners: boolean };

/** Puts a notice into a hire's lane, once. */
async function give(
  tx: Db,
  notice: Notice & { by: string },
  hire: string,
  now: Instant,
): Promise<void> {
  const { by, ...given } = notice;
  const { id } = given;
  const added = await tx
    .insertInto("notice_hires")
    .values({ notice: id, hire, told_at: null, seen_at: null, seen_by: null })
    .onConflict((c) => c.columns(["notice", "hire"]).doNothing())
    .executeTakeFirst();
  if (Number(added.numInsertedOrUpdatedRows ?? 0) === 0) return;
  await fileArrival(tx, {
    key: `notice:${id}:${hire}`,
    lane: laneOf(hire),
    receivedAt: now,
    body: { kind: "desk", by, act: { do: "notice", notice: given } },
  });
}

/** Hires that a notice for joiners reaches: booked, not back, and picked up before its end. */
async function reached(tx: Db, { to, until }: NewNotice): Promise<string[]> {
  const rows = await tx
    .selectFrom("hires")
    .select(["id", "region", "van_type"])
    .where("status", "=", "booked")
    .where("return_record_at", "is", null)
    .where("pickup_at", "<", until ?? 0)
    .execute();
  return rows.filter((row) => concernsHire(to, row)).map((row) => row.id);
}

/**
 * Keeps a notice and puts it into the lanes of the `chosen` hires, all in one transaction. One for joiners also
 * goes to those whom it reaches and who were not `shown`, since they came after the list was made. "known": its
 * id was there already.
 */
export function makeNotice(
  db: Db,
  notice: NewNotice,
  hires: { chosen: readonly string[]; shown: readonly string[] },
  now: Instant,
): Promise<"new" | "known"> {
  return within(db, async (tx) => {
    const made = await tx
      .insertInto("notices")
      .values({
        id: notice.id,
        made_at: now,
        contact: notice.by,
        title: notice.title,
        text: notice.text,
        region: notice.to.region ?? null,
        van_type: notice.to.vanType ?? null,
        until_at: notice.until ?? null,
        joiners: notice.joiners ? 1 : 0,
      })
      .onConflict((c) => c.column("id").doNothing())
      .executeTakeFirst();
    if (Number(made.numInsertedOrUpdatedRows ?? 0) === 0) return "known";
    const late = notice.joiners ? await reached(tx, notice) : [];
    const all = [...hires.chosen, ...late.filter((id) => !hires.shown.includes(id))];
    const { to, joiners, ...words } = notice;
    const given = { ...words, ...(joiners ? { to } : {}) };
    for (const hire of all) await give(tx, given, hire, now);
    return "new";
  });
}

/**
 * Ends a notice: nobody who comes later gets it, and the hires where it waits for the pick-up hear so, all in one
 * transaction. False where it is unknown or over already.
 */
export const endNotice = (db: Db, id: string, by: string, now: Instant): Promise<boolean> =>
  within(db, async (tx) => {
    const ended = await tx
      .updateTable("notices")
      .set({ until_at: now })
      .where("id", "=", id)
      .where((q) => q.or([q("until_at", "is", null), q("until_at", ">", now)]))
      .executeTakeFirst();
    if (Number(ended.numUpdatedRows) === 0) return false;
    const waiting = await tx
      .selectFrom("notice_hires")
      .select("hire")
      .where("notice", "=", id)
      .where("told_at", "is", null)
      .execute();
    for (const { hire } of waiting)
      await fileArrival(tx, {
        key: `notice-end:${id}:${hire}`,
        lane: laneOf(hire),
        receivedAt: now,
        body: { kind: "desk", by, act: { do: "notice-end", id } },
      });
    return true;
  });

/** Whom a notice is about. */
export const audienceOf = (row: Pick<Tables["notices"], "region" | "van_type">): Audience => ({
  ...(row.region === null ? {} : { region: row.region }),
  ...(row.van_type === null ? {} : { vanType: row.van_type }),
});

/** A hire that was made or changed gets the notices that are still given to whoever comes. Inside a transaction. */
export async function joinNotices(tx: Db, hire: Hire, now: Instant): Promise<void> {
  const { booking, returnRecordAt } = hire;
  if (booking.status !== "booked" || returnRecordAt !== undefined) return;
  const rows = await tx
    .selectFrom("notices")
    .selectAll()
    .where("joiners", "=", 1)
    .where("until_at", ">", Math.max(now, booking.pickupAt))
    .execute();
  const columns = { region: booking.region, van_type: booking.van.type };
  for (const row of rows) {
    const to = audienceOf(row);
    if (concernsHire(to, columns))
      await give(
        tx,
        {
          by: row.contact,
          id: row.id,
          title: row.title,
          text: row.text,
          to,
          ...(row.until_at === null ? {} : { until: row.until_at as Instant }),
        },
        hire.id,
        now,
      );
  }
}

/** Writes who was told and who has seen it. Inside a transaction. */
export async function projectNotices(tx: Db, old: Hire | undefined, hire: Hire): Promise<void> {
  for (const notice of hire.notices ?? []) {
    const before = old?.notices?.find((n) => n.id === notice.id);
    if (before && sameJson(before, notice)) continue;
    const seen = Object.entries(notice.seen).sort((a, b) => a[1] - b[1]);
    const names = seen.map(([id]) => hire.people.find((p) => p.id === id)?.name ?? id);
    await tx
      .updateTable("notice_hires")
      .set({
        told_at: notice.toldAt ?? null,
        seen_at: seen[0]?.[1] ?? null,
        seen_by: names.length > 0 ? names.join(", ") : null,
      })
      .where("notice", "=", notice.id)
      .where("hire", "=", hire.id)
      .execute();
  }
}

export type NoticeRow = Tables["notices"] & { hires: number; told: number; seen: number };

const noticeRows = (db: Db) =>
  db
    .selectFrom("notices")
    .leftJoin("notice_hires", "notice_hires.notice", "notices.id")
    .selectAll("notices")
    .select((q) => [
      q.fn.count<number>("notice_hires.hire").as("hires"),
      q.fn.count<number>("notice_hires.told_at").as("told"),
      q.fn.count<number>("notice_hires.seen_at").as("seen"),
    ])
    .groupBy("notices.id");

/** The notices, the newest first, with how many hires they were given to, told and seen by. */
export async function noticesMade(db: Db, limit = 50): Promise<NoticeRow[]> {
  return noticeRows(db).orderBy("notices.made_at", "desc").limit(limit).execute();
}

/** One notice; undefined when unknown. */
export async function noticeRow(db: Db, id: string): Promise<NoticeRow | undefined> {
  return noticeRows(db).where("notices.id", "=", id).executeTakeFirst();
}

export type NoticeHire = Tables["notice_hires"] &
  Pick<
    Tables["hires"],
    | "registration"
    | "surname"
    | "zone"
    | "pickup_at"
    | "status"
    | "return_record_at"
    | "region"
    | "van_type"
  >;

/** The hires of a notice: those that have not seen it first. */
export async function noticeHires(db: Db, id: string): Promise<NoticeHire[]> {
  return db
    .selectFrom("notice_hires")
    .innerJoin("hires", "hires.id", "notice_hires.hire")
    .selectAll("notice_hires")
    .select(["registration", "surname", "zone", "pickup_at", "status", "return_record_at"])
    .select(["hires.region", "hires.van_type"])
    .where("notice", "=", id)
    .orderBy((q) => q.case().when("seen_at", "is", null).then(0).else(1).end())
    .orderBy("registration")
    .execute();
}
