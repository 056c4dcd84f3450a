/** The trip log of a lane: what was said and done, numbered from 1. Reads, and the one insert. */
import type { Instant } from "../calendar.js";
import { laneNamed } from "../lanes.js";
import type { Button, DeskAct, FileRef, LaneId, Reason } from "../post.js";
import type { Severity } from "../severity.js";
import type { Db } from "./tables.js";

/** What an event carries beside its text; which fields are there depends on its kind. */
export type EventMore = {
  /** Key of the arrival that caused it; a page finds its own queued message by it. */
  arrival?: string;
  /** Keys of the sends that carry an "out" event, one per address. */
  sends?: string[];
  buttons?: Button[];
  pictures?: string[];
  callout?: number;
  severity?: Severity;
  /** Of a call-out's change: its state now, and whose it is. */
  state?: string;
  with?: string;
  title?: string;
  because?: Reason[];
  tap?: string;
  file?: FileRef;
  lat?: number;
  lon?: number;
  accuracyM?: number;
  /** See Message. */
  askPlace?: string;
  edited?: boolean;
  writtenAt?: number;
  act?: DeskAct;
  /** The contact an "out" or "staff" event is of. */
  contact?: string;
};

/** How the text of a changed booking begins: what follows may be names and numbers. */
export const changesTheHire = "changes the hire: ";

export type TripEvent = {
  lane: LaneId;
  n: number;
  at: Instant;
  kind: "in" | "out" | "staff" | "change";
  person: string | null;
  channel: string | null;
  who: string;
  text: string;
  more: EventMore;
};
export type NewEvent = Omit<TripEvent, "lane" | "n" | "at">;

/** Adds events in order; returns the number of the lane's last event. To be called inside a transaction. */
export async function addEvents(
  tx: Db,
  lane: LaneId,
  at: Instant,
  events: readonly NewEvent[],
): Promise<number> {
  const row = await tx
    .selectFrom("events")
    .select("n")
    .where("lane", "=", lane)
    .orderBy("n", "desc")
    .limit(1)
    .executeTakeFirst();
  const last = row?.n ?? 0;
  if (events.length > 0)
    await tx
      .insertInto("events")
      .values(
        events.map((event, i) => ({
          ...event,
          lane,
          at,
          n: last + 1 + i,
          more: JSON.stringify(event.more),
        })),
      )
      .execute();
  return last + events.length;
}

type Row = {
  lane: string;
  n: number;
  at: number;
  kind: TripEvent["kind"];
  person: string | null;
  channel: string | null;
  who: string;
  text: string;
  more: string;
};
const read = (row: Row): TripEvent => ({
  ...row,
  lane: laneNamed(row.lane),
  at: row.at as Instant,
  more: JSON.parse(row.more) as EventMore,
});

const after = (db: Db, lane: LaneId, since: number) =>
  db.selectFrom("events").selectAll().where("lane", "=", lane).where("n", ">", since).orderBy("n");

/** The events of a lane after number `since`, in order: the whole trip log, for staff. */
export async function eventsOf(
  db: Db,
  lane: LaneId,
  since = 0,
  limit = 1000,
): Promise<TripEvent[]> {
  return (await after(db, lane, since).limit(limit).execute()).map(read);
}

/** The latest events of a lane, the newest first; with `before` only those of a lower number. */
export async function latestEvents(
  db: Db,
  lane: LaneId,
  limit: number,
  before = Number.MAX_SAFE_INTEGER,
): Promise<TripEvent[]> {
  const rows = await db
    .selectFrom("events")
    .selectAll()
    .where("lane", "=", lane)
    .where("n", "<", before)
    .orderBy("n", "desc")
    .limit(limit)
    .execute();
  return rows.map(read);
}

/** What came in a lane with a file, in order; with `person` what that one sent. */
export async function filesIn(db: Db, lane: LaneId, person?: string): Promise<TripEvent[]> {
  let query = db
    .selectFrom("events")
    .selectAll()
    .where("lane", "=", lane)
    .where("kind", "=", "in")
    // As JSON.stringify writes it; within a text of it the quotes would have backslashes.
    .where("more", "like", '%"file":{%')
    .orderBy("n");
  if (person !== undefined) query = query.where("person", "=", person);
  return (await query.execute()).map(read);
}

/** A file that came in this lane, by its id; with `person` one that they sent. */
export const fileOf = async (
  db: Db,
  lane: LaneId,
  id: string,
  person?: string,
): Promise<FileRef | undefined> =>
  (await filesIn(db, lane, person)).find((e) => e.more.file?.id === id)?.more.file;

/** All that one person of a hire said and was told after number `since`, in order; nothing of others or staff. */
export async function eventsOfPerson(
  db: Db,
  lane: LaneId,
  person: string,
  since = 0,
): Promise<TripEvent[]> {
  const rows = await after(db, lane, since)
    .where("person", "=", person)
    .where("kind", "in", ["in", "out"])
    .execute();
  return rows.map(read);
}

/** A button among the last 50 messages of a lane, the newest first. */
export async function findButton(
  db: Db,
  lane: LaneId,
  fits: (button: Button) => boolean,
): Promise<Button | undefined> {
  const rows = await db
    .selectFrom("events")
    .select("more")
    .where("lane", "=", lane)
    .where("kind", "=", "out")
    .orderBy("n", "desc")
    .limit(50)
    .execute();
  for (const row of rows) {
    const found = (JSON.parse(row.more) as EventMore).buttons?.find(fits);
    if (found) return found;
  }
  return undefined;
}

/** What people without a hire wrote since an instant, the newest first. */
export async function strangersSince(db: Db, since: Instant, limit = 20): Promise<TripEvent[]> {
  const rows = await db
    .selectFrom("events")
    .selectAll()
    .where("lane", "like", "chat:%")
    .where("kind", "=", "in")
    .where("at", ">=", since)
    .orderBy("at", "desc")
    .limit(limit)
    .execute();
  return rows.map(read);
}
