/** Calendars of hires as they were last read: what must be known to say what changed since. */
import type { Instant } from "../../calendar.js";
import type { HireId } from "../../post.js";
import type { Published } from "../../reminders/calendar/changes.js";
import { within } from "../open.js";
import type { Db } from "../tables.js";

/**
 * Revises a hire's published entries in one transaction and gives the new ones: of two readers at the same
 * time the later sees what the earlier has published.
 */
export function revisePublished(
  db: Db,
  hire: HireId,
  revise: (known: Published[]) => Published[],
): Promise<Published[]> {
  return within(db, async (tx) => {
    const rows = await tx
      .selectFrom("calendar_entries")
      .selectAll()
      .where("hire", "=", hire)
      .orderBy("due")
      .orderBy("uid")
      .execute();
    const known = rows.map((row) => ({
      uid: row.uid,
      due: row.due as Instant,
      title: row.title,
      text: row.text,
      sequence: row.sequence,
      changedAt: row.changed_at as Instant,
      cancelled: row.cancelled === 1,
    }));
    const next = revise(known);
    for (const entry of next) {
      const before = known.find((k) => k.uid === entry.uid);
      if (before?.sequence === entry.sequence) continue;
      const row = {
        due: entry.due,
        title: entry.title,
        text: entry.text,
        sequence: entry.sequence,
        changed_at: entry.changedAt,
        cancelled: entry.cancelled ? 1 : 0,
      };
      await tx
        .insertInto("calendar_entries")
        .values({ hire, uid: entry.uid, ...row })
        .onConflict((c) => c.columns(["hire", "uid"]).doUpdateSet(row))
        .execute();
    }
    return next;
  });
}
