/** What goes out: one row per message and address, drained in order per address, safety first. */
import {
  type Expression,
  type ExpressionBuilder,
  type RawBuilder,
  type Selectable,
  type SqlBool,
  sql,
} from "kysely";
import { type Instant, instantOf } from "../calendar.js";
import { laneNamed } from "../lanes.js";
import type { LaneId, Send } from "../post.js";
import { claiming, inQueue } from "./dialect.js";
import { within } from "./open.js";
import { firstInLineNow } from "./shared/lines.js";
import type { Db, Tables } from "./tables.js";

/** A send as its row stands; `tries` and `unsure` count what was tried before. */
export type StoredSend = {
  key: string;
  lane: LaneId;
  send: Send;
  madeAt: Instant;
  tries: number;
  unsure: number;
  /** Ids of the parts that went through in earlier tries. */
  went?: string;
};

/** A row of the table as the core knows it. */
export const readSend = (
  row: Pick<
    Selectable<Tables["sends"]>,
    "key" | "lane" | "body" | "made_at" | "tries" | "unsure" | "outside_id"
  >,
): StoredSend => ({
  key: row.key,
  lane: laneNamed(row.lane),
  send: JSON.parse(row.body) as Send,
  madeAt: row.made_at as Instant,
  tries: row.tries,
  unsure: row.unsure,
  ...(row.outside_id === null ? {} : { went: row.outside_id }),
});

/** Adds a turn's sends as `<arrival>#<n>`, n from 1. Channels in `atOnce` need no wire: the stored conversation is the delivery. */
export async function addSends(
  tx: Db,
  arrival: { key: string; lane: LaneId },
  sends: readonly Send[],
  now: Instant,
  atOnce: ReadonlySet<string>,
): Promise<void> {
  if (sends.length === 0) return;
  const rows = sends.map((send, i) => {
    const there = atOnce.has(send.to.channel);
    return {
      key: `${arrival.key}#${i + 1}`,
      lane: arrival.lane,
      channel: send.to.channel,
      to_addr: send.to.to,
      body: JSON.stringify(send),
      safety: send.safety ? 1 : 0,
      state: there ? ("sent" as const) : ("waiting" as const),
      made_at: now,
      tries: 0,
      unsure: 0,
      next_at: now,
      started_at: null,
      started_by: null,
      sent_at: there ? now : null,
      error: null,
      outside_id: null,
    };
  });
  await tx
    .insertInto("sends")
    .values(rows)
    .onConflict((c) => c.column("key").doNothing())
    .execute();
}

/** A message made within this time answers somebody who may still look at the screen. */
const freshMs = 60_000;
/** No try is put off for longer (see deliveries.ts): a time further ahead means that the clock was set back. */
const furthestMs = 60 * 60_000;

type Which = (q: ExpressionBuilder<Tables, "sends">) => Expression<SqlBool>;

type Taking = {
  now: Instant;
  limit: number;
  by: string;
  held: readonly string[];
  firstInLine: RawBuilder<boolean>;
};

async function takeSome(
  tx: Db,
  { now, limit, by, held, firstInLine }: Taking,
  which?: Which,
): Promise<StoredSend[]> {
  let query = tx
    .selectFrom("sends")
    .select(["key", "lane", "body", "made_at", "tries", "unsure", "outside_id"])
    .where("state", "=", "waiting")
    // "+" keeps the engine from walking by time: in this order it stops at the limit.
    .where(sql<boolean>`(+next_at <= ${now} or +next_at > ${now + furthestMs})`)
    .where("started_at", "is", null)
    .where(firstInLine)
    .orderBy("safety", "desc")
    .orderBy("seq")
    .limit(limit);
  if (which) query = query.where(which);
  if (held.length > 0)
    query = query.where((q) => q.or([q("safety", "=", 1), q("channel", "not in", [...held])]));
  const rows = await claiming(tx, query).execute();
  if (rows.length > 0)
    await tx
      .updateTable("sends")
      .set({ started_at: now, started_by: by })
      .where(
        "key",
        "in",
        rows.map((row) => row.key),
      )
      .execute();
  return rows.map(readSend);
}

/**
 * Takes up to `limit` sends whose turn it is and marks them as started by this process in the same
 * transaction: no two processes take the same one, and what a kill leaves started is known to be in doubt (see
 * `startedSends`). Safety and fresh answers to people come before reminders and what has waited for long, of
 * which some are taken once none of those is left to take.
 * Of the channels in `held` only safety is taken.
 */
export async function takeSends(
  db: Db,
  now: Instant,
  limit: number,
  by = "",
  held: readonly string[] = [],
): Promise<StoredSend[]> {
  const taking = { now, limit, by, held, firstInLine: await firstInLineNow(db, now) };
  return within(db, async (tx) => {
    const first = await takeSome(tx, taking, (q) =>
      q.or([
        q("safety", "=", 1),
        q.and([q("made_at", ">=", instantOf(now - freshMs)), q("key", "not like", "due:%")]),
      ]),
    );
    return first.length > 0 ? first : takeSome(tx, taking);
  });
}

/** What is known of a send after a try. */
export type Mark = {
  state: "waiting" | "sent" | "undelivered";
  tries: number;
  unsure: number;
  nextAt: Instant;
  sentAt: Instant | null;
  error: string | null;
  outsideId: string | null;
};

/**
 * Writes down what became of a try. False when this try no longer counts: the send was taken for in doubt
 * meanwhile. That it was sent counts always.
 */
export async function markSend(db: Db, key: string, mark: Mark): Promise<boolean> {
  let query = db
    .updateTable("sends")
    .set({
      state: mark.state,
      tries: mark.tries,
      unsure: mark.unsure,
      next_at: mark.nextAt,
      started_at: null,
      started_by: null,
      sent_at: mark.sentAt,
      error: mark.error,
      outside_id: mark.outsideId,
    })
    .where("key", "=", key)
    .where("state", "=", "waiting");
  if (mark.state !== "sent") query = query.where("tries", "=", mark.tries - 1);
  return Number((await query.executeTakeFirst()).numUpdatedRows) > 0;
}

/** The sends that were under way in a process that lives no more: nobody knows whether they arrived. */
export async function startedSends(db: Db): Promise<StoredSend[]> {
  const rows = await db
    .selectFrom("sends")
    .selectAll()
    .where("state", "=", "waiting")
    .where("started_at", "is not", null)
    .where((q) =>
      q.not(
        q.exists(
          q.selectFrom("instances").select("id").whereRef("instances.id", "=", "sends.started_by"),
        ),
      ),
    )
    .orderBy("seq")
    .execute();
  return rows.map(readSend);
}

/** When the next send may be tried; undefined when none waits for its time. */
export async function nextSendAt(
  db: Db,
  now: Instant,
  onlySafety = false,
): Promise<Instant | undefined> {
  const row = await db
    .selectFrom("sends")
    .select("next_at")
    .where("state", "=", "waiting")
    .where("started_at", "is", null)
    .where(await firstInLineNow(db, now))
    .$if(onlySafety, (q) => q.where("safety", "=", 1))
    .orderBy("next_at")
    .limit(1)
    .executeTakeFirst();
  return row?.next_at as Instant | undefined;
}

type Undelivered = { key: string; lane: LaneId; send: Send; madeAt: Instant; error: string };

/** What could not be delivered, the newest first: shown at the desk as "not delivered". */
export async function notDelivered(db: Db, lane?: LaneId, limit = 100): Promise<Undelivered[]> {
  let query = db
    .selectFrom("sends")
    .select(["key", "lane", "body", "made_at", "error"])
    .where("state", "=", "undelivered");
  if (lane) query = query.where("lane", "=", lane);
  const rows = await query.orderBy(inQueue, "desc").limit(limit).execute();
  return rows.map((row) => ({
    key: row.key,
    lane: laneNamed(row.lane),
    send: JSON.parse(row.body) as Send,
    madeAt: row.made_at as Instant,
    error: row.error ?? "",
  }));
}
