/** What came in: stored once per key before it is acknowledged, handed out oldest first. */
import { type Instant, minuteMs } from "../calendar.js";
import { chatLane, laneNamed } from "../lanes.js";
import type { Arrival, LaneId, Reason } from "../post.js";
import { inQueue } from "./dialect.js";
import { within } from "./open.js";
import type { Db } from "./tables.js";

/** A stored arrival; `seq` counts over all lanes in the order of storing. */
export type Waiting = { seq: number; arrival: Arrival };

/**
 * Stores an arrival unless its key is known; durable once it returns outside a transaction. A chat that
 * joins a hire belongs to it from that moment: its next words may come before this arrival has its turn. The lane that
 * it had of its own hears of it, where it has one.
 */
export async function fileArrival(db: Db, arrival: Arrival): Promise<"new" | "known"> {
  const { body, lane } = arrival;
  if (body.kind !== "joined" || body.from.person === undefined || body.from.via.channel === "web")
    return insert(db, arrival);
  const { via, person } = body.from;
  return within(db, async (tx) => {
    const filed = await insert(tx, arrival);
    if (filed === "known") return filed;
    await tx
      .insertInto("addresses")
      .values({ channel: via.channel, to_addr: via.to, lane, person })
      .onConflict((c) => c.columns(["channel", "to_addr", "lane"]).doUpdateSet({ person }))
      .execute();
    const left = chatLane(via);
    if (await isKnown(tx, left))
      await insert(tx, {
        ...arrival,
        key: `${arrival.key} left`,
        lane: left,
        body: { ...body, to: lane },
      });
    return filed;
  });
}

/** Whether anything ever came into a lane. */
async function isKnown(tx: Db, lane: LaneId): Promise<boolean> {
  const came = tx.selectFrom("arrivals").select("seq").where("lane", "=", lane).limit(1);
  return (await came.executeTakeFirst()) !== undefined;
}

async function insert(db: Db, arrival: Arrival): Promise<"new" | "known"> {
  const result = await db
    .insertInto("arrivals")
    .values({
      key: arrival.key,
      lane: arrival.lane,
      received_at: arrival.receivedAt,
      body: JSON.stringify(arrival),
      state: "waiting",
      done_at: null,
      because: null,
    })
    .onConflict((c) => c.column("key").doNothing())
    .executeTakeFirst();
  return Number(result.numInsertedOrUpdatedRows ?? 0) > 0 ? "new" : "known";
}

/** What was stored under a key; undefined where nothing was, or it is no longer kept. */
export async function arrivalOf(db: Db, key: string): Promise<Arrival | undefined> {
  const row = await db
    .selectFrom("arrivals")
    .select("body")
    .where("key", "=", key)
    .executeTakeFirst();
  const stored = row && (JSON.parse(row.body) as Partial<Arrival>);
  return stored?.body && (stored as Arrival);
}

/** The oldest waiting arrival of all lanes but those named; within a lane this is always its oldest. */
export async function nextWaiting(
  db: Db,
  notOf: readonly LaneId[] = [],
): Promise<Waiting | undefined> {
  let query = db
    .selectFrom("arrivals")
    .select(["seq", "body"])
    .where("state", "=", "waiting")
    .orderBy(inQueue)
    .limit(1);
  if (notOf.length > 0) query = query.where("lane", "not in", [...notOf]);
  const row = await query.executeTakeFirst();
  return row && { seq: row.seq, arrival: JSON.parse(row.body) as Arrival };
}

/** Marks a waiting arrival as handled, with the reasons. False when it was already. */
export async function closeArrival(
  db: Db,
  key: string,
  how: { state: "done" | "failed"; at: Instant; because: readonly Reason[] },
): Promise<boolean> {
  const result = await db
    .updateTable("arrivals")
    .set({ state: how.state, done_at: how.at, because: JSON.stringify(how.because) })
    .where("key", "=", key)
    .where("state", "=", "waiting")
    .executeTakeFirst();
  return Number(result.numUpdatedRows) > 0;
}

/** Why what it did was done, once it has had its turn; undefined while it waits, empty where its step failed. */
export async function outcomeOf(db: Db, key: string): Promise<readonly Reason[] | undefined> {
  const row = await db
    .selectFrom("arrivals")
    .select(["state", "because"])
    .where("key", "=", key)
    .executeTakeFirst();
  if (!row || row.state === "waiting") return undefined;
  return row.state === "failed" ? [] : (JSON.parse(row.because ?? "[]") as Reason[]);
}

/** When the oldest waiting arrival came in; undefined when none waits. */
export async function oldestWaitingAt(db: Db): Promise<Instant | undefined> {
  const row = await db
    .selectFrom("arrivals")
    .select("received_at")
    .where("state", "=", "waiting")
    .orderBy(inQueue)
    .limit(1)
    .executeTakeFirst();
  return row?.received_at as Instant | undefined;
}

/** An arrival whose step threw is shown and counted for a week. */
export const failedShownMs = 7 * 24 * 60 * minuteMs;

/** Arrivals whose step threw, the newest first: a person must look at them. */
export async function failedArrivals(
  db: Db,
  limit = 50,
): Promise<{ key: string; lane: LaneId; receivedAt: Instant }[]> {
  const rows = await db
    .selectFrom("arrivals")
    .select(["key", "lane", "received_at"])
    .where("state", "=", "failed")
    .orderBy(inQueue, "desc")
    .limit(limit)
    .execute();
  return rows.map((row) => ({
    key: row.key,
    lane: laneNamed(row.lane),
    receivedAt: row.received_at as Instant,
  }));
}
