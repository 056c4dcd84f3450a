/** Brings the tables up to date at start: forward only, each change in a transaction of its own. */
import type { Instant } from "../../calendar.js";
import { Fault } from "../../faults.js";
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";
import { up as first } from "./0001-first.js";
import { up as instances } from "./0002-instances.js";
import { up as phones } from "./0003-phones.js";
import { up as roster } from "./0004-roster.js";
import { up as records } from "./0005-records.js";
import { up as care } from "./0006-care.js";
import { up as bookings } from "./0007-bookings.js";
import { up as wordings } from "./0008-wordings.js";
import { up as accounts } from "./0009-accounts.js";
import { up as forgotten } from "./0010-forgotten.js";
import { up as queues } from "./0011-queues.js";
import { up as addresses } from "./0012-addresses.js";

type Migration = { name: string; up(db: Db, engine: Engine): Promise<void> };

/** In the order in which they are done; a name never changes once released. */
export const migrations: readonly Migration[] = [
  { name: "0001-first", up: first },
  { name: "0002-instances", up: instances },
  { name: "0003-phones", up: phones },
  { name: "0004-roster", up: roster },
  { name: "0005-records", up: records },
  { name: "0006-care", up: care },
  { name: "0007-bookings", up: bookings },
  { name: "0008-wordings", up: wordings },
  { name: "0009-accounts", up: accounts },
  { name: "0010-forgotten", up: forgotten },
  { name: "0011-queues", up: queues },
  { name: "0012-addresses", up: addresses },
];

/**
 * Does what is missing; a change that fails leaves nothing behind. Returns the names of those done now.
 * Processes that start at the same time on one database do it one after another.
 * @throws STORE_WRONG when the database was made by a newer version
 */
export const migrate = (
  db: Db,
  engine: Engine,
  now: Instant,
  all: readonly Migration[] = migrations,
): Promise<string[]> => engine.alone(db, (one) => bringUpToDate(one, engine, now, all));

async function bringUpToDate(
  db: Db,
  engine: Engine,
  now: Instant,
  all: readonly Migration[],
): Promise<string[]> {
  await engine
    .finish(
      db.schema
        .createTable("migrations")
        .ifNotExists()
        .addColumn("name", "text", (c) => c.primaryKey().notNull())
        .addColumn("at", engine.whole, (c) => c.notNull()),
    )
    .execute();
  const done = new Set(
    (await db.selectFrom("migrations").select("name").execute()).map((row) => row.name),
  );
  const unknown = [...done].filter((name) => !all.some((m) => m.name === name));
  if (unknown.length > 0)
    throw new Fault(
      "STORE_WRONG",
      `the database was made by a newer version (it has had "${unknown.join('", "')}"); start that version`,
    );
  const fresh: string[] = [];
  for (const migration of all) {
    if (done.has(migration.name)) continue;
    await db.transaction().execute(async (tx) => {
      await migration.up(tx, engine);
      await engine.settle(tx);
      await tx.insertInto("migrations").values({ name: migration.name, at: now }).execute();
    });
    fresh.push(migration.name);
  }
  return fresh;
}
