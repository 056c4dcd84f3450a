/** What was let go of hires, when and by whom; files that are to go from the disk. */
import { sql } from "kysely";
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  await engine
    .finish(
      db.schema
        .createTable("forgotten")
        .addColumn("key", "text", (c) => c.primaryKey().notNull())
        .addColumn("hire", "text", (c) => c.notNull())
        .addColumn("what", "text", (c) => c.notNull())
        .addColumn("person", "text")
        .addColumn("by", "text", (c) => c.notNull())
        .addColumn("at", engine.whole, (c) => c.notNull())
        .addColumn("files", "text", (c) => c.notNull())
        .addColumn("files_gone_at", engine.whole),
    )
    .execute();
  await db.schema.createIndex("arrivals_lane").on("arrivals").columns(["lane"]).execute();
  await db.schema.createIndex("forgotten_hire").on("forgotten").columns(["hire", "what"]).execute();
  await db.schema
    .createIndex("forgotten_files")
    .on("forgotten")
    .columns(["at"])
    .where(sql.ref("files_gone_at"), "is", sql.lit(null))
    .execute();
}
