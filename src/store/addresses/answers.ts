/** What is answered to: the matter that staff mean in their own chat, the hire of whose message a button is. */
import { sql } from "kysely";
import { firmLane, hireIn, laneNamed } from "../../lanes.js";
import type { Address, LaneId, Send } from "../../post.js";
import type { Db } from "../tables.js";

/** Nobody answers to what lies further back. */
const lookBack = 300;

type StaffTarget = { lane: LaneId; by: string; callout?: number; person?: string };

/** A message to an address, as the channel numbers it; undefined where it is none of the last. */
async function sendOf(
  db: Db,
  address: Address,
  message: string,
): Promise<{ lane: string; send: Send } | undefined> {
  const rows = await db
    .selectFrom("sends")
    .select(["lane", "body", "outside_id"])
    .where("channel", "=", address.channel)
    .where("to_addr", "=", address.to)
    .where("outside_id", "is not", null)
    .orderBy("seq", "desc")
    .limit(lookBack)
    .execute();
  // One message of ours may go out as several.
  const row = rows.find((r) => r.outside_id?.split(" ").includes(message));
  return row && { lane: row.lane, send: JSON.parse(row.body) as Send };
}

/** The contact for whom a message to an address was, as the channel numbers it; undefined where it was for none. */
export const contactTold = async (
  db: Db,
  address: Address,
  message: string,
): Promise<string | undefined> => (await sendOf(db, address, message))?.send.contact;

/** The hire that wrote a message to an address, and who has joined it from there; undefined where that is nobody. */
export async function sentIn(
  db: Db,
  address: Address,
  message: string,
): Promise<{ lane: LaneId; person: string } | undefined> {
  const found = await sendOf(db, address, message);
  if (!found) return undefined;
  const row = await db
    .selectFrom("addresses")
    .select("person")
    .where("channel", "=", address.channel)
    .where("to_addr", "=", address.to)
    .where("lane", "=", found.lane)
    .executeTakeFirst();
  return row && { lane: laneNamed(found.lane), person: row.person };
}

/** The matter of the message that they reply to; undefined when it is none of a matter. */
async function repliedTo(
  db: Db,
  address: Address,
  message: string,
): Promise<StaffTarget | undefined> {
  const found = await sendOf(db, address, message);
  if (!found || hireIn(found.lane) === undefined) return undefined;
  const { contact: by, callout, about } = found.send;
  if (by === undefined || callout === undefined) return undefined;
  return {
    ...{ lane: laneNamed(found.lane), by, callout },
    ...(about === undefined ? {} : { person: about }),
  };
}

/** Whose the last message of a matter is that stands in a chat of staff: a hire's lane, or that of somebody without one. */
async function toldLast(db: Db, address: Address): Promise<string | undefined> {
  const rows = await db
    .selectFrom("sends")
    .select(["lane", "body", "seq", sql<number>`coalesce(sent_at, started_at, made_at)`.as("at")])
    .where("channel", "=", address.channel)
    .where("to_addr", "=", address.to)
    .where((q) =>
      q.or([q("state", "=", "sent"), q("started_at", "is not", null), q("unsure", ">", 0)]),
    )
    .orderBy("seq", "desc")
    .limit(lookBack)
    .execute();
  rows.sort((a, b) => b.at - a.at || b.seq - a.seq);
  return rows.find(({ lane, body }) => {
    const { contact, callout } = JSON.parse(body) as Send;
    const isOfStranger = hireIn(lane) === undefined && lane !== firmLane;
    return contact !== undefined && (callout !== undefined || isOfStranger);
  })?.lane;
}

/**
 * The only matter that one of these contacts has now; undefined when there is none, or more than one, or when
 * somebody else's stands last in their chat: they may mean that.
 */
async function onlyHeld(
  db: Db,
  address: Address,
  contacts: readonly string[],
): Promise<StaffTarget | undefined> {
  const held = await db
    .selectFrom("callouts")
    .innerJoin("hires", "hires.id", "callouts.hire")
    .select([
      "hires.lane",
      "callouts.n",
      "callouts.with_contact",
      "callouts.kind",
      "callouts.severity",
    ])
    .where("callouts.state", "=", "with")
    .where("callouts.with_contact", "in", [...contacts])
    .execute();
  // A task to ring is none to write about.
  const matters = held.filter((h) => h.kind !== "reading" || h.severity !== "note");
  const [only] = matters;
  if (!only?.with_contact || matters.length > 1) return undefined;
  const last = await toldLast(db, address);
  if (last !== undefined && last !== only.lane) return undefined;
  return { lane: laneNamed(only.lane), by: only.with_contact, callout: only.n };
}

/**
 * Whom words of a member of staff are for: whoever wrote what they reply to, else the hirer of the only
 * matter that they have, unless somebody else's stands last in their chat. `contacts`: whose chat it is.
 */
export async function staffTarget(
  db: Db,
  address: Address,
  contacts: readonly string[],
  repliesTo: string | undefined,
): Promise<StaffTarget | undefined> {
  if (contacts.length === 0) return undefined;
  return repliesTo === undefined
    ? onlyHeld(db, address, contacts)
    : repliedTo(db, address, repliesTo);
}
