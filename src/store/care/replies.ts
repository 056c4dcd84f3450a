/** Which reminders were answered, for the desk; the truth is the lane's state. */
import type { Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { sameJson } from "../../same-json.js";
import type { Db, Tables } from "../tables.js";

/** Writes what changed of a hire's replies. To be called inside a transaction. */
export async function projectReplies(
  tx: Db,
  old: Hire | undefined,
  hire: Hire,
  now: Instant,
): Promise<void> {
  for (const sent of hire.sentReminders) {
    if (sent.wants === undefined) continue;
    const before = old?.sentReminders.find((s) => s.key === sent.key);
    if (before && sameJson(before, sent)) continue;
    const row = {
      rule: sent.rule,
      wants: JSON.stringify(sent.wants),
      sent_at: sent.sentAt,
      again_at: sent.againAt ?? null,
      answered_at: sent.answered ? now : null,
    };
    await tx
      .insertInto("replies")
      .values({ hire: hire.id, key: sent.key, ...row })
      .onConflict((c) => c.columns(["hire", "key"]).doUpdateSet(row))
      .execute();
  }
}

type HireColumns = Pick<Tables["hires"], "registration" | "surname" | "zone" | "return_at">;
export type OpenReply = Tables["replies"] & HireColumns;

/** Reminders of hires under way that nobody has answered, whole or in part, the oldest first. */
export async function openReplies(db: Db, limit = 500): Promise<OpenReply[]> {
  return db
    .selectFrom("replies")
    .innerJoin("hires", "hires.id", "replies.hire")
    .selectAll("replies")
    .select(["hires.registration", "hires.surname", "hires.zone", "hires.return_at"])
    .where("replies.answered_at", "is", null)
    .where("hires.status", "=", "booked")
    .where("hires.return_record_at", "is", null)
    .orderBy("replies.sent_at")
    .limit(limit)
    .execute();
}
