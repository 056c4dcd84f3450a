/** Whose a telephone or chat is: the people of hires by their numbers or by having joined, and which of their hires is meant now. */
import { after, type Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { laneNamed } from "../../lanes.js";
import { numbersIn } from "../../phone.js";
import type { Address, LaneId } from "../../post.js";
import type { Db } from "../tables.js";

/** Writes the numbers of a hire's people anew. To be called inside a transaction. */
export async function savePhones(tx: Db, lane: string, people: Hire["people"]): Promise<void> {
  await tx.deleteFrom("phones").where("lane", "=", lane).execute();
  const rows = people.flatMap((person) =>
    numbersIn(person.phone ?? "").map((number) => ({ number, lane, person: person.id })),
  );
  if (rows.length > 0)
    await tx
      .insertInto("phones")
      .values(rows)
      .onConflict((c) => c.doNothing())
      .execute();
}

type Candidate = {
  id: string;
  lane: string;
  person: string;
  pickup_at: number;
  return_at: number;
  return_record_at: number | null;
  status: "booked" | "cancelled";
};
/** Of cancelled hires of which something is open: whether a sign of life of their people is awaited. */
type Open = ReadonlyMap<string, boolean>;

/** A hire that nobody closed does not stand before a later one for ever. */
const forgottenDays = 14;
const dayMin = 24 * 60;

/** Cancelled while a sign of life is awaited 0, on the road 1, back since a day at most 2, to come 3, over 4. */
function rank(hire: Candidate, open: Open, now: Instant): number {
  if (hire.status === "cancelled") return open.get(hire.id) ? 0 : 4;
  const back = hire.return_record_at as Instant | null;
  if (back !== null) return now <= after(back, dayMin) ? 2 : 4;
  if (hire.pickup_at > now) return 3;
  return now <= after(hire.return_at as Instant, forgottenDays * dayMin) ? 1 : 4;
}

/** The hire that is meant: the current one, else the next, else the last; of two on the road `last`, else the later one. */
function meant(
  hires: readonly Candidate[],
  open: Open,
  now: Instant,
  last?: string,
): Candidate | undefined {
  const of = (hire: Candidate) => rank(hire, open, now);
  const soonest = (hire: Candidate) => (of(hire) === 3 ? hire.pickup_at : -hire.pickup_at);
  const isLast = (hire: Candidate) => (of(hire) === 1 && hire.lane === last ? 0 : 1);
  return [...hires].sort(
    (a, b) => of(a) - of(b) || isLast(a) - isLast(b) || soonest(a) - soonest(b),
  )[0];
}

/** Of several hires within their times now, the lane that wrote to an address last: what comes from there answers it. */
async function lastTo(
  db: Db,
  address: Address,
  hires: readonly Candidate[],
  now: Instant,
): Promise<string | undefined> {
  const isNow = (h: Candidate) =>
    h.pickup_at <= now && now <= h.return_at && h.return_record_at === null;
  const lanes = [...new Set(hires.filter(isNow).map((h) => h.lane))];
  if (lanes.length < 2) return undefined;
  const row = await db
    .selectFrom("sends")
    .select("lane")
    .where("channel", "=", address.channel)
    .where("to_addr", "=", address.to)
    .where("lane", "in", lanes)
    .orderBy("seq", "desc")
    .limit(1)
    .executeTakeFirst();
  return row?.lane;
}

/** Those of these cancelled hires of which something is open. */
async function openOf(db: Db, hires: readonly string[]): Promise<Open> {
  if (hires.length === 0) return new Map();
  const rows = await db
    .selectFrom("callouts")
    .select((e) => ["hire", e.fn.max("hear_from_by").as("hear_from_by")])
    .where("hire", "in", [...hires])
    .where("state", "!=", "done")
    .groupBy("hire")
    .execute();
  return new Map(rows.map((row) => [row.hire, row.hear_from_by !== null]));
}

const times = ["hires.pickup_at", "hires.return_at", "hires.return_record_at"] as const;
const columns = ["hires.id", "hires.status", ...times] as const;

/** The hires that were joined from an address. */
const joinedFrom = (db: Db, address: Address): Promise<Candidate[]> =>
  db
    .selectFrom("addresses")
    .innerJoin("hires", "hires.lane", "addresses.lane")
    .select(["addresses.lane", "addresses.person", ...columns])
    .where("addresses.channel", "=", address.channel)
    .where("addresses.to_addr", "=", address.to)
    .execute();

type Owner = { lane: LaneId; person: string };
const ownerOf = ({ lane, person }: { lane: string; person: string }): Owner => ({
  lane: laneNamed(lane),
  person,
});

/** Whose of these is meant now. A cancelled hire is nobody's, unless something of it is open. */
async function ownerNow(
  db: Db,
  address: Address,
  all: readonly Candidate[],
  now: Instant,
): Promise<Owner | undefined> {
  const isOff = (hire: Candidate) => hire.status === "cancelled";
  const open = await openOf(
    db,
    all.filter(isOff).map((hire) => hire.id),
  );
  const hires = all.filter((hire) => !isOff(hire) || open.has(hire.id));
  const found = meant(hires, open, now, await lastTo(db, address, hires, now));
  return found && ownerOf(found);
}

/**
 * Whose an address is by its number, in any of the ways in which it may stand in a booking, or by having
 * joined a hire before. A cancelled hire is nobody's, unless something of it is open.
 */
export async function whoseNumber(
  db: Db,
  address: Address,
  ways: readonly string[],
  now: Instant,
): Promise<Owner | undefined> {
  const byNumber = await db
    .selectFrom("phones")
    .innerJoin("hires", "hires.lane", "phones.lane")
    .select(["phones.lane", "phones.person", ...columns])
    .where("phones.number", "in", [...ways])
    .orderBy("phones.person")
    .execute();
  // Who joined by a link said who they are: that comes first within the same hire.
  return ownerNow(db, address, [...(await joinedFrom(db, address)), ...byNumber], now);
}

/** Whose chat an address is: of the hires that it joined the one that is meant now; else one that is cancelled or not listed yet. */
export async function whoseChat(
  db: Db,
  address: Address,
  now: Instant,
): Promise<Owner | undefined> {
  const owner = await ownerNow(db, address, await joinedFrom(db, address), now);
  if (owner) return owner;
  const row = await db
    .selectFrom("addresses")
    .select(["lane", "person"])
    .where("channel", "=", address.channel)
    .where("to_addr", "=", address.to)
    .orderBy("lane")
    .limit(1)
    .executeTakeFirst();
  return row && ownerOf(row);
}
