/** How the store stands: what has waited longest, what failed, and whether it takes a write. */
import { randomBytes } from "node:crypto";
import type { Instant } from "../../calendar.js";
import { failedShownMs, oldestWaitingAt } from "../arrivals.js";
import { nextDueAt } from "../dues.js";
import { within } from "../open.js";
import type { Db } from "../tables.js";

export type Standing = {
  /** When the oldest arrival that waits for its turn came in. */
  arrivalAt?: Instant;
  /** When the earliest due is due: past, it is overdue. */
  dueAt?: Instant;
  /** When the oldest message that waits to go out was made. */
  sendAt?: Instant;
  /** Arrivals of the last week whose step threw; the desk lists the latest of them. */
  failed: number;
};

/** Reads all of it. @throws what the store throws */
export async function standingOf(db: Db, now: Instant): Promise<Standing> {
  const [arrivalAt, dueAt] = [await oldestWaitingAt(db), await nextDueAt(db)];
  const send = await db
    .selectFrom("sends")
    .select((q) => q.fn.min("made_at").as("at"))
    .where("state", "=", "waiting")
    .executeTakeFirst();
  const { failed } = await db
    .selectFrom("arrivals")
    .select((q) => q.fn.countAll<number>().as("failed"))
    .where("state", "=", "failed")
    .where("received_at", ">", now - failedShownMs)
    .executeTakeFirstOrThrow();
  return {
    ...(arrivalAt === undefined ? {} : { arrivalAt }),
    ...(dueAt === undefined ? {} : { dueAt }),
    ...(typeof send?.at === "number" ? { sendAt: send.at as Instant } : {}),
    failed: Number(failed),
  };
}

/**
 * Writes a row, reads it, takes it out and commits, so that a full disk or a file that may not be written
 * shows; nobody else ever sees the row. @throws what the store throws
 */
export const tryWriting = (db: Db): Promise<void> =>
  within(db, async (tx) => {
    const id = `probe:${randomBytes(9).toString("base64url")}`;
    await tx.insertInto("instances").values({ id, beat: 0 }).execute();
    await tx.selectFrom("instances").select("id").where("id", "=", id).executeTakeFirstOrThrow();
    await tx.deleteFrom("instances").where("id", "=", id).execute();
  });
