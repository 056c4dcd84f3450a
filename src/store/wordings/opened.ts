/** Call-outs and reminders that need a reply, over all hires: for looking back. */
import type { Instant } from "../../calendar.js";
import type { Asked, Opened } from "../../numbers/week.js";
import type { EventMore } from "../events.js";
import type { Db } from "../tables.js";

/** Call-outs opened since an instant, with the first moment at which somebody had each. */
export async function openedSince(db: Db, since: Instant): Promise<Opened[]> {
  const rows = await db
    .selectFrom("callouts as c")
    .innerJoin("hires as h", "h.id", "c.hire")
    .select(["h.lane", "h.registration", "c.n", "c.severity", "c.opened_at"])
    .where("c.opened_at", ">=", since)
    .execute();
  const changes = await db
    .selectFrom("events")
    .select(["lane", "at", "more"])
    .where("kind", "=", "change")
    .where("at", ">=", since)
    .orderBy("at")
    .execute();
  const taken = new Map<string, Instant>();
  for (const { lane, at, more } of changes) {
    const { callout, state } = JSON.parse(more) as EventMore;
    const key = `${lane} ${callout}`;
    if (state === "with" && !taken.has(key)) taken.set(key, at as Instant);
  }
  return rows.map(({ lane, n, registration, severity, opened_at }) => {
    const takenAt = taken.get(`${lane} ${n}`);
    return {
      registration,
      severity,
      openedAt: opened_at as Instant,
      ...(takenAt === undefined ? {} : { takenAt }),
    };
  });
}

/** Reminders sent since an instant that need a reply. */
export async function askedSince(db: Db, since: Instant): Promise<Asked[]> {
  const rows = await db
    .selectFrom("replies as r")
    .innerJoin("hires as h", "h.id", "r.hire")
    .select(["h.registration", "r.sent_at", "r.answered_at"])
    .where("r.sent_at", ">=", since)
    .execute();
  return rows.map(({ registration, sent_at, answered_at }) => ({
    registration,
    sentAt: sent_at as Instant,
    ...(answered_at === null ? {} : { answeredAt: answered_at as Instant }),
  }));
}
