/** Records of handover and return: what is being written, and their photos. */
import { sql } from "kysely";
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  await engine
    .finish(
      db.schema
        .createTable("record_drafts")
        .addColumn("hire", "text", (c) => c.notNull())
        .addColumn("kind", "text", (c) => c.notNull())
        .addColumn("fields", "text", (c) => c.notNull())
        .addColumn("by", "text", (c) => c.notNull())
        .addColumn("saved_at", engine.whole, (c) => c.notNull())
        .addPrimaryKeyConstraint("record_drafts_key", ["hire", "kind"]),
    )
    .execute();
  await engine
    .finish(
      db.schema
        .createTable("record_photos")
        .addColumn("id", "text", (c) => c.primaryKey().notNull())
        .addColumn("hire", "text", (c) => c.notNull())
        .addColumn("kind", "text", (c) => c.notNull())
        .addColumn("registration", "text", (c) => c.notNull())
        .addColumn("side", "text", (c) => c.notNull())
        .addColumn("type", "text", (c) => c.notNull())
        .addColumn("bytes", engine.whole, (c) => c.notNull())
        .addColumn("sha256", "text", (c) => c.notNull())
        .addColumn("shown", engine.whole, (c) => c.notNull())
        .addColumn("taken_at", "text")
        .addColumn("received_at", engine.whole, (c) => c.notNull())
        .addColumn("by", "text", (c) => c.notNull())
        .addColumn("mark", "text")
        .addColumn("kept_at", engine.whole),
    )
    .execute();
  await db.schema
    .createIndex("record_photos_hire")
    .on("record_photos")
    .columns(["hire", "kind"])
    .execute();
  await db.schema
    .createIndex("record_photos_marks")
    .on("record_photos")
    .columns(["registration", "received_at"])
    .where(sql.ref("mark"), "is not", sql.lit(null))
    .execute();
}
