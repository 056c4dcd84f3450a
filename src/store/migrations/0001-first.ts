/** The first tables: lanes, what came in, what goes out, dues, the trip log, the desk's lists, links. */
import { sql } from "kysely";
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

export async function up(db: Db, engine: Engine): Promise<void> {
  const { whole, fraction, counts } = engine;
  const table = (name: string) => db.schema.createTable(name);

  await engine
    .finish(
      table("lanes")
        .addColumn("lane", "text", (c) => c.primaryKey().notNull())
        .addColumn("version", whole, (c) => c.notNull())
        .addColumn("state", "text", (c) => c.notNull()),
    )
    .execute();

  await engine
    .finish(
      table("arrivals")
        .addColumn("seq", whole, counts)
        .addColumn("key", "text", (c) => c.notNull().unique())
        .addColumn("lane", "text", (c) => c.notNull())
        .addColumn("received_at", whole, (c) => c.notNull())
        .addColumn("body", "text", (c) => c.notNull())
        .addColumn("state", "text", (c) => c.notNull())
        .addColumn("done_at", whole)
        .addColumn("because", "text"),
    )
    .execute();
  await db.schema
    .createIndex("arrivals_waiting")
    .on("arrivals")
    .columns(["seq", "lane"])
    .where(sql.ref("state"), "=", sql.lit("waiting"))
    .execute();
  await db.schema
    .createIndex("arrivals_failed")
    .on("arrivals")
    .columns(["seq"])
    .where(sql.ref("state"), "=", sql.lit("failed"))
    .execute();

  await engine
    .finish(
      table("sends")
        .addColumn("seq", whole, counts)
        .addColumn("key", "text", (c) => c.notNull().unique())
        .addColumn("lane", "text", (c) => c.notNull())
        .addColumn("channel", "text", (c) => c.notNull())
        .addColumn("to_addr", "text", (c) => c.notNull())
        .addColumn("body", "text", (c) => c.notNull())
        .addColumn("safety", whole, (c) => c.notNull())
        .addColumn("state", "text", (c) => c.notNull())
        .addColumn("made_at", whole, (c) => c.notNull())
        .addColumn("tries", whole, (c) => c.notNull())
        .addColumn("unsure", whole, (c) => c.notNull())
        .addColumn("next_at", whole, (c) => c.notNull())
        .addColumn("started_at", whole)
        .addColumn("sent_at", whole)
        .addColumn("error", "text")
        .addColumn("outside_id", "text"),
    )
    .execute();
  await db.schema
    .createIndex("sends_waiting")
    .on("sends")
    .columns(["lane", "channel", "to_addr", "safety", "seq"])
    .where(sql.ref("state"), "=", sql.lit("waiting"))
    .execute();
  await db.schema
    .createIndex("sends_order")
    .on("sends")
    .columns(["safety desc", "seq"])
    .where(sql.ref("state"), "=", sql.lit("waiting"))
    .execute();
  await db.schema
    .createIndex("sends_next")
    .on("sends")
    .columns(["next_at"])
    .where(sql.ref("state"), "=", sql.lit("waiting"))
    .execute();
  await db.schema
    .createIndex("sends_undelivered")
    .on("sends")
    .columns(["seq"])
    .where(sql.ref("state"), "=", sql.lit("undelivered"))
    .execute();

  await engine
    .finish(
      table("dues")
        .addColumn("lane", "text", (c) => c.notNull())
        .addColumn("key", "text", (c) => c.notNull())
        .addColumn("at", whole, (c) => c.notNull())
        .addColumn("generation", whole, (c) => c.notNull())
        .addColumn("kind", "text", (c) => c.notNull())
        .addColumn("matter", "text", (c) => c.notNull())
        .addColumn("set_by", whole, (c) => c.notNull())
        .addPrimaryKeyConstraint("dues_key", ["lane", "key"]),
    )
    .execute();
  await db.schema.createIndex("dues_at").on("dues").columns(["at"]).execute();

  await engine
    .finish(
      table("events")
        .addColumn("lane", "text", (c) => c.notNull())
        .addColumn("n", whole, (c) => c.notNull())
        .addColumn("at", whole, (c) => c.notNull())
        .addColumn("kind", "text", (c) => c.notNull())
        .addColumn("person", "text")
        .addColumn("channel", "text")
        .addColumn("who", "text", (c) => c.notNull())
        .addColumn("text", "text", (c) => c.notNull())
        .addColumn("more", "text", (c) => c.notNull())
        .addPrimaryKeyConstraint("events_key", ["lane", "n"]),
    )
    .execute();

  await engine
    .finish(
      table("hires")
        .addColumn("id", "text", (c) => c.primaryKey().notNull())
        .addColumn("lane", "text", (c) => c.notNull().unique())
        .addColumn("registration", "text", (c) => c.notNull())
        .addColumn("van_type", "text", (c) => c.notNull())
        .addColumn("surname", "text", (c) => c.notNull())
        .addColumn("booker", "text", (c) => c.notNull())
        .addColumn("pickup_at", whole, (c) => c.notNull())
        .addColumn("return_at", whole, (c) => c.notNull())
        .addColumn("zone", "text", (c) => c.notNull())
        .addColumn("region", "text", (c) => c.notNull())
        .addColumn("status", "text", (c) => c.notNull())
        .addColumn("return_record_at", whole),
    )
    .execute();
  await db.schema.createIndex("hires_pickup").on("hires").columns(["pickup_at"]).execute();

  await engine
    .finish(
      table("callouts")
        .addColumn("hire", "text", (c) => c.notNull().references("hires.id"))
        .addColumn("n", whole, (c) => c.notNull())
        .addColumn("state", "text", (c) => c.notNull())
        .addColumn("severity", "text", (c) => c.notNull())
        .addColumn("kind", "text", (c) => c.notNull())
        .addColumn("title", "text", (c) => c.notNull())
        .addColumn("with_contact", "text")
        .addColumn("opened_at", whole, (c) => c.notNull())
        .addColumn("answer_by", whole, (c) => c.notNull())
        .addColumn("promised_at", whole)
        .addColumn("hear_from_by", whole)
        .addPrimaryKeyConstraint("callouts_key", ["hire", "n"]),
    )
    .execute();
  await db.schema
    .createIndex("callouts_open")
    .on("callouts")
    .columns(["answer_by"])
    .where(sql.ref("state"), "!=", sql.lit("done"))
    .execute();

  await engine
    .finish(
      table("readings")
        .addColumn("hire", "text", (c) => c.notNull().references("hires.id"))
        .addColumn("n", whole, (c) => c.notNull())
        .addColumn("registration", "text", (c) => c.notNull())
        .addColumn("at", whole, (c) => c.notNull())
        .addColumn("by", "text", (c) => c.notNull())
        .addColumn("odometer_km", fraction)
        .addColumn("oil", "text")
        .addColumn("fluid", fraction)
        .addColumn("fuel", fraction)
        .addColumn("note", "text")
        .addPrimaryKeyConstraint("readings_key", ["hire", "n"]),
    )
    .execute();
  await db.schema
    .createIndex("readings_van")
    .on("readings")
    .columns(["registration", "at"])
    .execute();

  await engine
    .finish(
      table("vans")
        .addColumn("registration", "text", (c) => c.primaryKey().notNull())
        .addColumn("type", "text", (c) => c.notNull())
        .addColumn("odometer_km", fraction),
    )
    .execute();

  await engine
    .finish(
      table("addresses")
        .addColumn("channel", "text", (c) => c.notNull())
        .addColumn("to_addr", "text", (c) => c.notNull())
        .addColumn("lane", "text", (c) => c.notNull())
        .addColumn("person", "text", (c) => c.notNull())
        .addPrimaryKeyConstraint("addresses_key", ["channel", "to_addr"]),
    )
    .execute();

  await engine
    .finish(
      table("links")
        .addColumn("token_hash", "text", (c) => c.primaryKey().notNull())
        .addColumn("hire", "text", (c) => c.notNull())
        .addColumn("person", "text", (c) => c.notNull())
        .addColumn("kind", "text", (c) => c.notNull())
        .addColumn("made_at", whole, (c) => c.notNull())
        .addColumn("revoked_at", whole),
    )
    .execute();
  await db.schema.createIndex("links_hire").on("links").columns(["hire", "person"]).execute();

  await engine
    .finish(
      table("desk_sessions")
        .addColumn("token_hash", "text", (c) => c.primaryKey().notNull())
        .addColumn("contact", "text", (c) => c.notNull())
        .addColumn("csrf", "text", (c) => c.notNull())
        .addColumn("made_at", whole, (c) => c.notNull())
        .addColumn("seen_at", whole, (c) => c.notNull()),
    )
    .execute();
  await db.schema
    .createIndex("desk_sessions_seen")
    .on("desk_sessions")
    .columns(["seen_at"])
    .execute();
}
