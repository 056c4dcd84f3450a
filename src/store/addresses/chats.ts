/** Chats and numbers from which the people of hires write: whoever joined a hire from one is known by it. */
import type { Hire } from "../../hires/hire.js";
import type { Db } from "../tables.js";

/** Keeps those by which people are reached since `old`. Whoever joined later from one keeps it (see fileArrival). */
export async function joinChats(
  tx: Db,
  lane: string,
  old: Hire | undefined,
  hire: Hire,
): Promise<void> {
  for (const person of hire.people) {
    const before = old?.people.find((p) => p.id === person.id)?.reached ?? [];
    for (const { channel, to } of person.reached) {
      if (channel !== "telegram" && channel !== "gateway") continue;
      if (before.some((a) => a.channel === channel && a.to === to)) continue;
      await tx
        .insertInto("addresses")
        .values({ channel, to_addr: to, lane, person: person.id })
        .onConflict((c) => c.columns(["channel", "to_addr"]).doNothing())
        .execute();
    }
  }
}

/** None of them is known as one of these people's any more. */
export async function dropChats(tx: Db, lane: string, people: readonly string[]): Promise<void> {
  if (people.length === 0) return;
  await tx
    .deleteFrom("addresses")
    .where("lane", "=", lane)
    .where("person", "in", [...people])
    .execute();
}
