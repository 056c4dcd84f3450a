/** Hires and lanes: making one with its links, its state, and the lists of the desk. */

import type { Instant } from "../calendar.js";
import type { Callout } from "../callouts/callout.js";
import type { LaneState } from "../hires/hire.js";
import { laneOf } from "../lanes.js";
import type { Arrival, Booking, HireId, LaneId } from "../post.js";
import { gravity } from "../severity.js";
import { dropChats } from "./addresses/chats.js";
import { fileArrival } from "./arrivals.js";
import { within } from "./open.js";
import type { Db, Tables } from "./tables.js";
import { makeLink, newLink } from "./tokens.js";

/** A lane's state with the version that a commit must find. Version 0: the lane is new. */
export type Loaded = { version: number; state: LaneState | undefined };

/** What a row holds; "null" until the lane has a state. */
export const loaded = (row: { version: number; state: string }): Loaded => ({
  version: row.version,
  state: (JSON.parse(row.state) as LaneState | null) ?? undefined,
});

/** Reads a lane. */
export async function loadLane(db: Db, lane: LaneId): Promise<Loaded> {
  const row = await db
    .selectFrom("lanes")
    .select(["version", "state"])
    .where("lane", "=", lane)
    .executeTakeFirst();
  return row ? loaded(row) : { version: 0, state: undefined };
}

/**
 * Stores a new booking as an arrival of its lane, with a chat link for each of its people, in one
 * transaction. `key` makes asking twice harmless: the second time no links come back.
 */
export async function makeHire(
  db: Db,
  booking: Booking,
  now: Instant,
  key = `booked:${booking.hire}:${now}`,
): Promise<{ lane: LaneId; links: { person: string; token: string }[] }> {
  const lane = laneOf(booking.hire);
  return within(db, async (tx) => {
    const filed = await fileArrival(tx, {
      key,
      lane,
      receivedAt: now,
      body: { kind: "booked", booking },
    });
    const links: { person: string; token: string }[] = [];
    if (filed === "new")
      for (const person of booking.people)
        links.push({
          person: person.id,
          token: await makeLink(tx, { hire: booking.hire, person: person.id, kind: "chat" }, now),
        });
    return { lane, links };
  });
}

/**
 * A new chat link for a person, in one transaction with `told`, by which the hire hears of it: whoever used the one
 * before, in a browser or a chat, is cut off from then on.
 */
export const relink = (
  db: Db,
  { hire, person }: { hire: HireId; person: string },
  told: Arrival,
  now: Instant,
): Promise<string> =>
  within(db, async (tx) => {
    await fileArrival(tx, told);
    await dropChats(tx, told.lane, [person]);
    return newLink(tx, hire, person, now);
  });

export type HireRow = Tables["hires"] & { next_reminder_at: number | null; open_callouts: number };

const hireRows = (db: Db) =>
  db
    .selectFrom("hires")
    .selectAll("hires")
    .select((q) => [
      q
        .selectFrom("dues")
        .select((e) => e.fn.min("dues.at").as("at"))
        .whereRef("dues.lane", "=", "hires.lane")
        .where("dues.kind", "=", "reminder")
        .as("next_reminder_at"),
      q
        .selectFrom("callouts")
        .select((e) => e.fn.countAll<number>().as("open"))
        .whereRef("callouts.hire", "=", "hires.id")
        .where("callouts.state", "!=", "done")
        .$asScalar()
        .$notNull()
        .as("open_callouts"),
    ]);

/** Hires picked up and not yet back, the earliest return first; one past its return is still on the road. */
export async function hiresOnRoad(db: Db, now: Instant): Promise<HireRow[]> {
  return hireRows(db)
    .where("status", "=", "booked")
    .where("pickup_at", "<=", now)
    .where("return_record_at", "is", null)
    .orderBy("return_at")
    .execute();
}

/** Hires whose pick-up is still to come, the next first. */
export async function hiresToCome(db: Db, now: Instant, limit = 100): Promise<HireRow[]> {
  return hireRows(db)
    .where("status", "=", "booked")
    .where("pickup_at", ">", now)
    .orderBy("pickup_at")
    .limit(limit)
    .execute();
}

/** How many hires on the road or to come are of none of these van types. */
export async function hiresOfOtherTypes(db: Db, types: readonly string[]): Promise<number> {
  const { count } = await db
    .selectFrom("hires")
    .select((q) => q.fn.countAll<number>().as("count"))
    .where("status", "=", "booked")
    .where("return_record_at", "is", null)
    .where("van_type", "not in", [...types])
    .executeTakeFirstOrThrow();
  return Number(count);
}

/** Hires with a return record, the latest first. */
export async function hiresBack(db: Db, limit = 50): Promise<HireRow[]> {
  return hireRows(db)
    .where("return_record_at", "is not", null)
    .orderBy("return_record_at", "desc")
    .limit(limit)
    .execute();
}

/** All hires, the latest first, cancelled ones too. */
export const allHires = (db: Db): Promise<Tables["hires"][]> =>
  db.selectFrom("hires").selectAll().orderBy("pickup_at", "desc").execute();

export type CalloutRow = Tables["callouts"] &
  Pick<Tables["hires"], "lane" | "registration" | "van_type" | "surname" | "zone">;

/** The vans that were given up since a call-out of these lanes was opened for them, by hire and number. */
async function vansGivenUp(
  db: Db,
  lanes: readonly string[],
): Promise<Map<string, NonNullable<Callout["van"]>>> {
  if (lanes.length === 0) return new Map();
  const rows = await db
    .selectFrom("lanes")
    .select(["version", "state"])
    .where("lane", "in", [...new Set(lanes)])
    .where("state", "like", '%"vansBefore":%')
    .execute();
  const hires = rows.map((row) => loaded(row).state).filter((s) => s?.kind === "hire");
  return new Map(
    hires.flatMap(({ hire }) =>
      hire.callouts.flatMap(({ n, van }) => (van ? [[`${hire.id}:${n}`, van] as const] : [])),
    ),
  );
}

/** Call-outs that are not done, with the van of each: the worst first, then the one that must be answered first. */
export async function openCallouts(db: Db): Promise<CalloutRow[]> {
  const rows = await db
    .selectFrom("callouts")
    .innerJoin("hires", "hires.id", "callouts.hire")
    .selectAll("callouts")
    .select(["hires.lane", "hires.registration", "hires.van_type", "hires.surname", "hires.zone"])
    .where("callouts.state", "!=", "done")
    .execute();
  const given = await vansGivenUp(
    db,
    rows.map((row) => row.lane),
  );
  return rows
    .map((row) => {
      const { registration, type } = given.get(`${row.hire}:${row.n}`) ?? {};
      return registration && type ? { ...row, registration, van_type: type } : row;
    })
    .sort(
      (a, b) =>
        gravity(a.severity) - gravity(b.severity) ||
        a.answer_by - b.answer_by ||
        a.opened_at - b.opened_at,
    );
}

/** The vans that hires or readings named, with their latest odometer in kilometres. */
export async function vansKnown(db: Db): Promise<Tables["vans"][]> {
  return db.selectFrom("vans").selectAll().orderBy("registration").execute();
}
