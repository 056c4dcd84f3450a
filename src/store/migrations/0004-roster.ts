/** Roster and contacts as they are changed at the desk: one row a version, none is ever taken away. */
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  await engine
    .finish(
      db.schema
        .createTable("rosters")
        .addColumn("version", engine.whole, (c) => c.primaryKey().notNull())
        .addColumn("at", engine.whole, (c) => c.notNull())
        .addColumn("contact", "text", (c) => c.notNull())
        .addColumn("says", "text", (c) => c.notNull())
        .addColumn("body", "text", (c) => c.notNull()),
    )
    .execute();
}
