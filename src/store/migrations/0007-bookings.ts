/** Hires that booking programs push or files bring: their references, and the tokens of the programs. */
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  const { whole } = engine;
  // No reference to hires: a push is filed before the first turn of its hire.
  await engine
    .finish(
      db.schema
        .createTable("booking_refs")
        .addColumn("reference", "text", (c) => c.primaryKey().notNull())
        .addColumn("hire", "text", (c) => c.notNull().unique())
        .addColumn("content", "text", (c) => c.notNull())
        .addColumn("version", whole, (c) => c.notNull())
        .addColumn("pushed_by", "text", (c) => c.notNull())
        .addColumn("pushed_at", whole, (c) => c.notNull()),
    )
    .execute();
  await engine
    .finish(
      db.schema
        .createTable("program_tokens")
        .addColumn("id", "text", (c) => c.primaryKey().notNull())
        .addColumn("token_hash", "text", (c) => c.notNull().unique())
        .addColumn("name", "text", (c) => c.notNull())
        .addColumn("contact", "text", (c) => c.notNull())
        .addColumn("made_at", whole, (c) => c.notNull())
        .addColumn("used_at", whole)
        .addColumn("revoked_at", whole)
        .addColumn("revoked_by", "text"),
    )
    .execute();
}
