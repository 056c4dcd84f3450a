/** Accounts of staff, tries to sign in, and who did what at the desk. */
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  const { whole } = engine;
  const table = (name: string) => db.schema.createTable(name);
  await engine
    .finish(
      table("accounts")
        .addColumn("contact", "text", (c) => c.primaryKey().notNull())
        .addColumn("role", "text", (c) => c.notNull())
        .addColumn("hash", "text", (c) => c.notNull())
        .addColumn("made_at", whole, (c) => c.notNull())
        .addColumn("made_by", "text", (c) => c.notNull())
        .addColumn("ended_at", whole),
    )
    .execute();
  await engine
    .finish(
      table("sign_ins")
        .addColumn("n", whole, (c) => engine.counts(c))
        .addColumn("at", whole, (c) => c.notNull())
        .addColumn("contact", "text", (c) => c.notNull())
        .addColumn("address", "text", (c) => c.notNull())
        .addColumn("fits", whole, (c) => c.notNull()),
    )
    .execute();
  await db.schema
    .createIndex("sign_ins_contact")
    .on("sign_ins")
    .columns(["contact", "at"])
    .execute();
  await db.schema
    .createIndex("sign_ins_address")
    .on("sign_ins")
    .columns(["address", "at"])
    .execute();
  await engine
    .finish(
      table("trail")
        .addColumn("n", whole, (c) => engine.counts(c))
        .addColumn("at", whole, (c) => c.notNull())
        .addColumn("contact", "text", (c) => c.notNull())
        .addColumn("what", "text", (c) => c.notNull())
        .addColumn("about", "text", (c) => c.notNull()),
    )
    .execute();
  await db.schema.createIndex("trail_time").on("trail").columns(["at"]).execute();
}
