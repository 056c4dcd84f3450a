/** Care on the road: which reminders were answered, notices to many hires, and calendars as they were last read. */
import { sql } from "kysely";
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  const { whole } = engine;
  const table = (name: string) => db.schema.createTable(name);

  await engine
    .finish(
      table("replies")
        .addColumn("hire", "text", (c) => c.notNull().references("hires.id"))
        .addColumn("key", "text", (c) => c.notNull())
        .addColumn("rule", "text", (c) => c.notNull())
        .addColumn("wants", "text", (c) => c.notNull())
        .addColumn("sent_at", whole, (c) => c.notNull())
        .addColumn("again_at", whole)
        .addColumn("answered_at", whole)
        .addPrimaryKeyConstraint("replies_key", ["hire", "key"]),
    )
    .execute();
  await db.schema
    .createIndex("replies_open")
    .on("replies")
    .columns(["sent_at"])
    .where(sql.ref("answered_at"), "is", sql.lit(null))
    .execute();

  await engine
    .finish(
      table("notices")
        .addColumn("id", "text", (c) => c.primaryKey().notNull())
        .addColumn("made_at", whole, (c) => c.notNull())
        .addColumn("contact", "text", (c) => c.notNull())
        .addColumn("title", "text", (c) => c.notNull())
        .addColumn("text", "text", (c) => c.notNull())
        .addColumn("region", "text")
        .addColumn("van_type", "text")
        .addColumn("until_at", whole)
        .addColumn("joiners", whole, (c) => c.notNull()),
    )
    .execute();
  await db.schema
    .createIndex("notices_joiners")
    .on("notices")
    .columns(["until_at"])
    .where(sql.ref("joiners"), "=", sql.lit(1))
    .execute();

  // No reference to hires: a notice may be filed before the first turn of a new hire.
  await engine
    .finish(
      table("notice_hires")
        .addColumn("notice", "text", (c) => c.notNull().references("notices.id"))
        .addColumn("hire", "text", (c) => c.notNull())
        .addColumn("told_at", whole)
        .addColumn("seen_at", whole)
        .addColumn("seen_by", "text")
        .addPrimaryKeyConstraint("notice_hires_key", ["notice", "hire"]),
    )
    .execute();

  await engine
    .finish(
      table("calendar_entries")
        .addColumn("hire", "text", (c) => c.notNull())
        .addColumn("uid", "text", (c) => c.notNull())
        .addColumn("due", whole, (c) => c.notNull())
        .addColumn("title", "text", (c) => c.notNull())
        .addColumn("text", "text", (c) => c.notNull())
        .addColumn("sequence", whole, (c) => c.notNull())
        .addColumn("changed_at", whole, (c) => c.notNull())
        .addColumn("cancelled", whole, (c) => c.notNull())
        .addPrimaryKeyConstraint("calendar_entries_key", ["hire", "uid"]),
    )
    .execute();
}
