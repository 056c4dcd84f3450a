/** Call-outs and reminders that need a reply, over all hires: for looking back. */
import type { Instant } from "../../calendar.js";
import type { LaneState } from "../../hires/hire.js";
import type { Asked, Opened } from "../../numbers/week.js";
import type { EventMore } from "../events.js";
import type { Db } from "../tables.js";

/** The van that the hire of this state had at an instant, where it gave that up since. */
function vanAt(state: string | null, at: number): string | undefined {
  const lane = state === null ? null : (JSON.parse(state) as LaneState | null);
  const { vansBefore = [] } = lane?.kind === "hire" ? lane.hire : {};
  return vansBefore.find((van) => van.until !== undefined && at < van.until)?.registration;
}

/**
 * Call-outs opened since an instant but tasks of staff's own, each with the van that the hire had then and the first
 * moment at which somebody of staff had it, joined it to another or ended it.
 */
export async function openedSince(db: Db, since: Instant): Promise<Opened[]> {
  const rows = await db
    .selectFrom("callouts as c")
    .innerJoin("hires as h", "h.id", "c.hire")
    // Only a hire that gave a van up has to be looked into.
    .leftJoin("lanes as l", (on) =>
      on.onRef("l.lane", "=", "h.lane").on("l.state", "like", '%"vansBefore"%'),
    )
    .select(["h.lane", "h.registration", "l.state", "c.n", "c.severity", "c.opened_at"])
    .where("c.opened_at", ">=", since)
    .where((q) => q.or([q("c.kind", "!=", "reading"), q("c.severity", "!=", "note")]))
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
    if ((state === "with" || state === "done") && !taken.has(key)) taken.set(key, at as Instant);
  }
  return rows.map(({ lane, n, registration, state, severity, opened_at }) => {
    const takenAt = taken.get(`${lane} ${n}`);
    return {
      registration: vanAt(state, opened_at) ?? registration,
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
