/** What went to one address: for what its reader answers to, and for what a provider says of it afterwards. */
import { sql } from "kysely";
import type { Instant } from "../../calendar.js";
import { laneNamed } from "../../lanes.js";
import type { Address, LaneId, Message, Send } from "../../post.js";
import { readSend, type StoredSend } from "../sends.js";
import type { Db } from "../tables.js";

/** Nobody answers to, or reports on, what lies further back. */
const lookBack = 200;

const to = (db: Db, address: Address) =>
  db
    .selectFrom("sends")
    .where("channel", "=", address.channel)
    .where("to_addr", "=", address.to)
    .orderBy("seq", "desc")
    .limit(lookBack);

/** The last sends to an address, the newest first. */
export async function sendsTo(
  db: Db,
  address: Address,
): Promise<(StoredSend & { state: "waiting" | "sent" | "undelivered" })[]> {
  const rows = await to(db, address)
    .select(["key", "lane", "body", "made_at", "tries", "unsure", "outside_id", "state"])
    .execute();
  return rows.map((row) => ({ ...readSend(row), state: row.state }));
}

/** Clocks of providers differ, and tell whole seconds: a reply this much before its question still answers it. */
const clocksMs = 2_000;

/** Nobody answers by number to what came longer ago: a check is asked once more next morning. */
const answeredMs = 36 * 60 * 60_000;

/** What a reader at an address had before them at an instant, in a lane: the last that arrived or may have, newest first. */
export async function readAt(
  db: Db,
  lane: LaneId,
  address: Address,
  at: Instant,
): Promise<Message[]> {
  const rows = await to(db, address)
    .select(["body", "seq", sql<number>`coalesce(sent_at, started_at, made_at)`.as("read_at")])
    .where("lane", "=", lane)
    .where((q) =>
      q.or([q("state", "=", "sent"), q("started_at", "is not", null), q("unsure", ">", 0)]),
    )
    .execute();
  return rows
    .filter((row) => row.read_at <= at + clocksMs && row.read_at >= at - answeredMs)
    .sort((a, b) => b.read_at - a.read_at || b.seq - a.seq)
    .map((row) => (JSON.parse(row.body) as Send).message);
}

/** The last alert to a contact at the desk that rings wherever a channel can; `seq` is higher with each. */
export async function lastRung(
  db: Db,
  contact: string,
): Promise<{ seq: number; lane: LaneId; send: Send } | undefined> {
  const row = await to(db, { channel: "desk", to: contact })
    .select(["seq", "lane", "body"])
    // Within a text the quotes would be escaped.
    .where("body", "like", '%"ring":true%')
    .limit(1)
    .executeTakeFirst();
  return row && { seq: row.seq, lane: laneNamed(row.lane), send: JSON.parse(row.body) as Send };
}

/** What a contact was told at the desk from an instant on, the newest first; `n` is higher with each. */
export async function toldAtDesk(
  db: Db,
  contact: string,
  from: Instant,
): Promise<{ n: number; at: Instant; lane: LaneId; send: Send }[]> {
  const rows = await to(db, { channel: "desk", to: contact })
    .select(["seq", "lane", "body", "made_at"])
    .execute();
  // Not asked of the store: no index has the time, and it would look through all that the contact was ever told.
  const lately = rows.filter((row) => row.made_at >= from);
  return lately.map(({ seq, lane, body, made_at }) => ({
    n: seq,
    at: made_at as Instant,
    lane: laneNamed(lane),
    send: JSON.parse(body) as Send,
  }));
}

/** Lets a send that a channel had taken be marked anew. */
export async function reopenSend(db: Db, key: string): Promise<void> {
  await db
    .updateTable("sends")
    .set({ state: "waiting" })
    .where("key", "=", key)
    .where("state", "=", "sent")
    .execute();
}
