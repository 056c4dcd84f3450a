/** A chat or number may belong to several hires: which of them is meant is found when something comes from it. */
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  await engine
    .finish(
      db.schema
        .createTable("addresses_anew")
        .addColumn("channel", "text", (c) => c.notNull())
        .addColumn("to_addr", "text", (c) => c.notNull())
        .addColumn("lane", "text", (c) => c.notNull())
        .addColumn("person", "text", (c) => c.notNull())
        .addPrimaryKeyConstraint("addresses_by_lane", ["channel", "to_addr", "lane"]),
    )
    .execute();
  const columns = ["channel", "to_addr", "lane", "person"] as const;
  await db
    .insertInto("addresses_anew" as "addresses")
    .columns([...columns])
    .expression((q) => q.selectFrom("addresses").select([...columns]))
    .execute();
  await db.schema.dropTable("addresses").execute();
  await db.schema.alterTable("addresses_anew").renameTo("addresses").execute();
}
