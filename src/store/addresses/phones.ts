/** Whose telephone a number is: the people of hires by their numbers, and which of their hires is meant now. */
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

/** The hire that is meant: the current one, else the next, else the last; of two on the road the later one. */
function meant(hires: readonly Candidate[], open: Open, now: Instant): Candidate | undefined {
  const of = (hire: Candidate) => rank(hire, open, now);
  const soonest = (hire: Candidate) => (of(hire) === 3 ? hire.pickup_at : -hire.pickup_at);
  return [...hires].sort((a, b) => of(a) - of(b) || soonest(a) - soonest(b))[0];
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

/**
 * Whose an address is by its number, in any of the ways in which it may stand in a booking, or by having
 * joined a hire before. A cancelled hire is nobody's, unless something of it is open.
 */
export async function whoseNumber(
  db: Db,
  address: Address,
  ways: readonly string[],
  now: Instant,
): Promise<{ lane: LaneId; person: string } | undefined> {
  const times = ["hires.pickup_at", "hires.return_at", "hires.return_record_at"] as const;
  const columns = ["hires.id", "hires.status", ...times] as const;
  const byNumber = await db
    .selectFrom("phones")
    .innerJoin("hires", "hires.lane", "phones.lane")
    .select(["phones.lane", "phones.person", ...columns])
    .where("phones.number", "in", [...ways])
    .orderBy("phones.person")
    .execute();
  const joined = await db
    .selectFrom("addresses")
    .innerJoin("hires", "hires.lane", "addresses.lane")
    .select(["addresses.lane", "addresses.person", ...columns])
    .where("addresses.channel", "=", address.channel)
    .where("addresses.to_addr", "=", address.to)
    .execute();
  // Who joined by a link said who they are: that comes first within the same hire.
  const all = [...joined, ...byNumber];
  const isOff = (hire: Candidate) => hire.status === "cancelled";
  const open = await openOf(
    db,
    all.filter(isOff).map((hire) => hire.id),
  );
  const found = meant(
    all.filter((hire) => !isOff(hire) || open.has(hire.id)),
    open,
    now,
  );
  return found && { lane: laneNamed(found.lane), person: found.person };
}
