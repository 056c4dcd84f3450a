/** From every version that is kept under fixtures/, on both engines: nothing is lost, the tables are those of a fresh database, and the house goes on. */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { Kysely, sql } from "kysely";
import { afterAll, afterEach, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { openHouse } from "../../src/house.js";
import { fileArrival, nextWaiting } from "../../src/store/arrivals.js";
import { postgres } from "../../src/store/engines/postgres.js";
import { eventsOf } from "../../src/store/events.js";
import { migrate, migrations } from "../../src/store/migrations/run.js";
import { openStore, type Store } from "../../src/store/open.js";
import type { Db, Tables } from "../../src/store/tables.js";
import {
  houseParts,
  lane,
  noon,
  said,
  scriptClock,
  scriptDoor,
  tempFile,
} from "../kit/small-house.js";

const folder = join(import.meta.dirname, "fixtures");
const fixtures = readdirSync(folder).filter((name) => name.endsWith(".sql"));
const server = await openServer();
afterAll(() => server?.close());
const cleanups: (() => unknown)[] = [];
afterEach(async () => {
  for (const done of cleanups.splice(0).reverse()) await done();
});

type Row = Record<string, unknown>;
/** The rows of a dump by table. */
function rowsOf(dump: string): Map<string, Row[]> {
  const raw = new Database(":memory:").exec(dump);
  const names = raw
    .prepare("select name from sqlite_master where type = 'table' and name not like 'sqlite_%'")
    .pluck()
    .all() as string[];
  return new Map(
    names.map((name) => [name, raw.prepare(`select * from "${name}"`).all() as Row[]]),
  );
}

/** An SQLite file as the old version left it. */
function oldFile(dump: string): string {
  const { file, remove } = tempFile();
  cleanups.push(remove);
  new Database(file).exec(dump).close();
  return file;
}

/** The same on PostgreSQL: the old version's tables, with the same rows. */
async function oldDatabase(dump: string): Promise<string> {
  const url = (await server?.database()) ?? "";
  const rows = rowsOf(dump);
  const had = (rows.get("migrations") ?? []).map((row) => row["name"]);
  const engine = postgres(url);
  const db: Db = new Kysely<Tables>({ dialect: engine.dialect });
  await migrate(
    db,
    engine,
    noon,
    migrations.filter((m) => had.includes(m.name)),
  );
  // A row stands after the one that it refers to.
  const order = [
    "hires",
    ...[...rows.keys()].filter((name) => !["migrations", "hires"].includes(name)),
  ];
  for (const name of order)
    for (const row of rows.get(name) ?? [])
      await sql`insert into ${sql.table(name)} (${sql.join(Object.keys(row).map((c) => sql.ref(c)))}) values (${sql.join(Object.values(row))})`.execute(
        db,
      );
  for (const name of ["arrivals", "sends"])
    await sql`select setval(pg_get_serial_sequence(${name}, 'seq'), (select max(seq) from ${sql.table(name)}))`.execute(
      db,
    );
  await db.destroy();
  return url;
}

const shapeOnFile = async (db: Db) =>
  (
    await sql<Row>`select name, sql from sqlite_master where name not like 'sqlite_%' order by name`.execute(
      db,
    )
  ).rows;
const shapeOnServer = async (db: Db) => [
  ...(
    await sql<Row>`select table_name, column_name, data_type, is_nullable, collation_name from information_schema.columns where table_schema = 'public' order by 1, 2`.execute(
      db,
    )
  ).rows,
  ...(
    await sql<Row>`select indexname, indexdef from pg_indexes where schemaname = 'public' order by 1`.execute(
      db,
    )
  ).rows,
];

async function opened(where: string): Promise<Store> {
  const store = await openStore(where, noon);
  cleanups.push(() => store.close());
  return store;
}

const engines = [
  {
    name: "SQLite",
    there: true,
    old: async (dump: string) => oldFile(dump),
    fresh: async () => oldFile(""),
    shape: shapeOnFile,
  },
  {
    name: "PostgreSQL",
    there: server !== undefined,
    old: oldDatabase,
    fresh: async () => (await server?.database()) ?? "",
    shape: shapeOnServer,
  },
];

it("there is a fixture of the first version", () => {
  expect(fixtures).toContain("after-0001-first.sql");
});

for (const { name, there, old, fresh, shape } of engines)
  describe.skipIf(!there)(`migrations on ${name}`, () => {
    it.each(fixtures)(
      "bring %s up to date: the same tables as a fresh database, every row kept",
      async (fixture) => {
        const dump = readFileSync(join(folder, fixture), "utf8");
        const before = rowsOf(dump);
        const store = await opened(await old(dump));
        const anew = await opened(await fresh());
        expect(await shape(store.db)).toEqual(await shape(anew.db));
        for (const [table, rows] of before) {
          if (table === "migrations" || table === "instances" || rows.length === 0) continue;
          const columns = Object.keys(rows[0] ?? {});
          const now =
            await sql<Row>`select ${sql.join(columns.map((c) => sql.ref(c)))} from ${sql.table(table)}`.execute(
              store.db,
            );
          // 0012 adds the hires that a chat had joined before the one that its row named.
          if (table !== "addresses") expect(now.rows, table).toHaveLength(rows.length);
          expect(now.rows, table).toEqual(expect.arrayContaining(rows));
        }
        const names = await store.db.selectFrom("migrations").select("name").execute();
        expect(names.map((row) => row.name).sort()).toEqual(migrations.map((m) => m.name).sort());
      },
    );

    it.each(fixtures)("let the house go on where %s stopped", async (fixture) => {
      const chat = scriptDoor();
      const hook = scriptDoor("hook");
      const clock = scriptClock();
      const house = await openHouse({
        ...houseParts,
        clock,
        dbFile: await old(readFileSync(join(folder, fixture), "utf8")),
        doors: [chat.door, hook.door],
      });
      cleanups.push(() => house.close());
      await fileArrival(house.db, said("say new", 8));
      for (let n = 0; n < 10; n++) {
        await house.runUntilIdle();
        clock.move(5);
      }
      expect(chat.texts()).toEqual(
        expect.arrayContaining(["under way", "waiting", "new", "due later"]),
      );
      expect(new Set(chat.texts()).size).toBe(chat.texts().length);
      expect(await nextWaiting(house.db)).toBeUndefined();
      const events = await eventsOf(house.db, lane());
      expect(events.map((e) => e.n)).toEqual(events.map((_, i) => i + 1));
    });
  });
