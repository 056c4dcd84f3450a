/** Whose telephone a number is: the people of hires by their numbers, and which of their hires is meant now. */
import { after, type Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
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
  lane: string;
  person: string;
  pickup_at: number;
  return_at: number;
  return_record_at: number | null;
};

/** A hire that nobody closed does not stand before a later one for ever. */
const forgottenDays = 14;
const dayMin = 24 * 60;

/** On the road 0, back since a day at most 1, to come 2, over 3. */
function rank(hire: Candidate, now: Instant): number {
  const back = hire.return_record_at as Instant | null;
  if (back !== null) return now <= after(back, dayMin) ? 1 : 3;
  if (hire.pickup_at > now) return 2;
  return now <= after(hire.return_at as Instant, forgottenDays * dayMin) ? 0 : 3;
}

/** The hire that is meant: the current one, else the next, else the last; of two on the road the later one. */
function meant(hires: readonly Candidate[], now: Instant): Candidate | undefined {
  const soonest = (hire: Candidate) => (rank(hire, now) === 2 ? hire.pickup_at : -hire.pickup_at);
  return [...hires].sort((a, b) => rank(a, now) - rank(b, now) || soonest(a) - soonest(b))[0];
}

/**
 * Whose an address is by its number, in any of the ways in which it may stand in a booking, or by having
 * joined a hire before. Cancelled hires are nobody's.
 */
export async function whoseNumber(
  db: Db,
  address: Address,
  ways: readonly string[],
  now: Instant,
): Promise<{ lane: LaneId; person: string } | undefined> {
  const columns = ["hires.pickup_at", "hires.return_at", "hires.return_record_at"] as const;
  const byNumber = await db
    .selectFrom("phones")
    .innerJoin("hires", "hires.lane", "phones.lane")
    .select(["phones.lane", "phones.person", ...columns])
    .where("phones.number", "in", [...ways])
    .where("hires.status", "=", "booked")
    .orderBy("phones.person")
    .execute();
  const joined = await db
    .selectFrom("addresses")
    .innerJoin("hires", "hires.lane", "addresses.lane")
    .select(["addresses.lane", "addresses.person", ...columns])
    .where("addresses.channel", "=", address.channel)
    .where("addresses.to_addr", "=", address.to)
    .where("hires.status", "=", "booked")
    .execute();
  // Who joined by a link said who they are: that comes first within the same hire.
  const found = meant([...joined, ...byNumber], now);
  return found && { lane: found.lane as LaneId, person: found.person };
}
