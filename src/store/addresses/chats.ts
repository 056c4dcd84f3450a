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
        .onConflict((c) => c.columns(["channel", "to_addr", "lane"]).doNothing())
        .execute();
    }
  }
}

/** A number of theirs that was put right is known as theirs no more. To be called where the booking's has changed. */
export async function dropNumbers(tx: Db, lane: string, old: Hire, hire: Hire): Promise<void> {
  for (const before of old.people) {
    const now = hire.people.find((p) => p.id === before.id);
    if (!now || now.phone === before.phone) continue;
    const gone = before.reached.filter(
      (a) => a.channel === "gateway" && !now.reached.some((b) => b.to === a.to),
    );
    if (gone.length === 0) continue;
    await tx
      .deleteFrom("addresses")
      .where("channel", "=", "gateway")
      .where(
        "to_addr",
        "in",
        gone.map((a) => a.to),
      )
      .where("lane", "=", lane)
      .where("person", "=", before.id)
      .execute();
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
