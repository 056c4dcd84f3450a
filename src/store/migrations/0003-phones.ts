/** Telephone numbers of the people of hires, so that a text message finds its hire; sends by their address. */
import type { LaneState } from "../../hires/hire.js";
import { numbersIn } from "../../phone.js";
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  await engine
    .finish(
      db.schema
        .createTable("phones")
        .addColumn("number", "text", (c) => c.notNull())
        .addColumn("lane", "text", (c) => c.notNull())
        .addColumn("person", "text", (c) => c.notNull())
        .addPrimaryKeyConstraint("phones_key", ["number", "lane", "person"]),
    )
    .execute();
  await db.schema.createIndex("phones_lane").on("phones").columns(["lane"]).execute();
  await db.schema
    .createIndex("sends_to")
    .on("sends")
    .columns(["channel", "to_addr", "seq"])
    .execute();
  const lanes = await db.selectFrom("lanes").select(["lane", "state"]).execute();
  for (const { lane, state } of lanes) {
    const read = JSON.parse(state) as LaneState;
    for (const person of read.kind === "hire" ? read.hire.people : [])
      for (const number of numbersIn(person.phone ?? ""))
        await db
          .insertInto("phones")
          .values({ number, lane, person: person.id })
          .onConflict((c) => c.doNothing())
          .execute();
  }
}
