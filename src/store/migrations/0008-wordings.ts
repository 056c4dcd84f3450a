/** New wordings that the desk keeps and takes back, one row an act; and what came in or was done by time, for looking back. */
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  const { whole } = engine;
  await engine
    .finish(
      db.schema
        .createTable("wordings")
        .addColumn("version", whole, (c) => c.primaryKey().notNull())
        .addColumn("at", whole, (c) => c.notNull())
        .addColumn("contact", "text", (c) => c.notNull())
        .addColumn("does", "text", (c) => c.notNull())
        .addColumn("entry", "text", (c) => c.notNull())
        .addColumn("ask", "text", (c) => c.notNull()),
    )
    .execute();
  await db.schema.createIndex("events_time").on("events").columns(["kind", "at"]).execute();
}
