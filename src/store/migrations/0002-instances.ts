/** Several processes on one database: who they are, and which of them has a send under way. */
import { sql } from "kysely";
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  await engine
    .finish(
      db.schema
        .createTable("instances")
        .addColumn("id", "text", (c) => c.primaryKey().notNull())
        .addColumn("beat", engine.whole, (c) => c.notNull()),
    )
    .execute();
  await db.schema.alterTable("sends").addColumn("started_by", "text").execute();
  await db.schema
    .createIndex("sends_started")
    .on("sends")
    .columns(["started_by"])
    .where(sql.ref("started_at"), "is not", sql.lit(null))
    .execute();
  // What must not wait behind reminders that are late.
  await db.schema
    .createIndex("dues_urgent")
    .on("dues")
    .columns(["at"])
    .where(sql.ref("kind"), "!=", sql.lit("reminder"))
    .execute();
}
