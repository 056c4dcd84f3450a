/** A chat or number may belong to several hires: which of them is meant is found when something comes from it. */
import type { LaneState } from "../../hires/hire.js";
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
  // Of several hires that a chat had joined there was a row of the last one only: the others know it themselves.
  const lanes = await db.selectFrom("lanes").select(["lane", "state"]).execute();
  for (const { lane, state } of lanes) {
    const read = JSON.parse(state) as LaneState;
    for (const { id, reached } of read.kind === "hire" ? read.hire.people : [])
      for (const { channel, to } of reached.filter((way) => way.channel === "telegram"))
        await db
          .insertInto("addresses_anew" as "addresses")
          .values({ channel, to_addr: to, lane, person: id })
          .onConflict((c) => c.doNothing())
          .execute();
  }
  await db.schema.dropTable("addresses").execute();
  await db.schema.alterTable("addresses_anew").renameTo("addresses").execute();
}
