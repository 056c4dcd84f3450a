/** The store on SQLite: the contract, and what only this engine promises. */
import { spawnSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { sql } from "kysely";
import { afterEach, describe, expect, it } from "vitest";
import { projectFolder } from "../../src/knowledge/read.js";
import { fileArrival, nextWaiting } from "../../src/store/arrivals.js";
import { connectSqlite, sqlite } from "../../src/store/engines/sqlite.js";
import { migrate, migrations } from "../../src/store/migrations/run.js";
import { openStore, type Store } from "../../src/store/open.js";
import { firstInLine, heads as headsOf } from "../../src/store/shared/lines.js";
import { noon, said, tempFile } from "../kit/small-house.js";
import { storeContract } from "./store.contract.js";

const cleanups: (() => unknown)[] = [];
afterEach(async () => {
  for (const done of cleanups.splice(0).reverse()) await done();
});
function fresh(): string {
  const { file, remove } = tempFile();
  cleanups.push(remove);
  return file;
}
async function opened(file: string): Promise<Store> {
  const store = await openStore(file, noon);
  cleanups.push(() => store.close());
  return store;
}

storeContract("SQLite in memory", () => openStore(":memory:", noon));
storeContract("an SQLite file", () => opened(fresh()));

describe("an SQLite file", () => {
  it("is opened with write-ahead log, full sync, foreign keys and a busy timeout", async () => {
    const { db } = await opened(fresh());
    const pragma = async (name: string) =>
      Object.values((await sql.raw(`pragma ${name}`).execute(db)).rows[0] as object)[0];
    expect(await pragma("journal_mode")).toBe("wal");
    expect(await pragma("synchronous")).toBe(2); // https://www.sqlite.org/pragma.html#pragma_synchronous: FULL is 2
    expect(await pragma("foreign_keys")).toBe(1);
    expect(await pragma("busy_timeout")).toBe(5000);
    expect(await pragma("secure_delete")).toBe(1);
  });

  it("has only strict tables", async () => {
    const { db } = await opened(fresh());
    const { rows } = await sql<{
      name: string;
      strict: number;
    }>`select name, strict from pragma_table_list where schema = 'main' and name not like 'sqlite_%'`.execute(
      db,
    );
    expect(rows.length).toBeGreaterThan(10);
    expect(rows.filter((row) => row.strict !== 1)).toEqual([]);
  });

  it("finds due rows, waiting arrivals and waiting sends by index", async () => {
    const { db } = await opened(fresh());
    const plan = async (query: string) =>
      (await sql.raw<{ detail: string }>(`explain query plan ${query}`).execute(db)).rows
        .map((r) => r.detail)
        .join("; ");
    // As dues.ts asks: reminders, and all that must not wait behind them.
    expect(
      await plan("select * from dues where kind = 'reminder' and at <= 5 order by at limit 9"),
    ).toBe("SEARCH dues USING INDEX dues_at (at<?)");
    expect(
      await plan("select * from dues where kind != 'reminder' and at <= 5 order by at limit 9"),
    ).toBe("SEARCH dues USING INDEX dues_urgent (at<?)");
    expect(
      await plan("select * from replies where answered_at is null order by sent_at limit 9"),
    ).toContain("INDEX replies_open");
    expect(
      await plan("select seq, body from arrivals where state = 'waiting' order by seq + 0 limit 1"),
    ).toBe("SCAN arrivals USING INDEX arrivals_waiting");
    const { rows: heads } = await sql<{ detail: string }>`explain query plan
      select key from sends where state = 'waiting' and ${firstInLine}`.execute(db);
    const within =
      "SEARCH before USING COVERING INDEX sends_waiting (lane=? AND channel=? AND to_addr=?";
    expect(heads.map((r) => r.detail).filter((d) => d.includes("before"))).toEqual([
      `${within} AND safety=? AND seq<?)`,
      `${within} AND safety>?)`,
    ]);
    const { rows: leaps } = await sql<{ detail: string }>`explain query plan
      select key from sends where seq in (${headsOf})`.execute(db);
    expect(leaps.map((r) => r.detail).filter((d) => /next|SCAN sends|TEMP/.test(d))).toEqual([
      "SCAN sends USING COVERING INDEX sends_waiting",
      ...[
        "lane=? AND channel=? AND to_addr=? AND safety>?",
        "lane=? AND channel=? AND to_addr>?",
        "lane=? AND channel>?",
        "lane>?",
      ].map((columns) => `SEARCH next USING COVERING INDEX sends_waiting (${columns})`),
    ]);
    expect(
      await plan(
        "select key from sends where state = 'waiting' and +next_at <= 5 order by safety desc, seq limit 1",
      ),
    ).toBe("SCAN sends USING INDEX sends_order");
  });

  it("serves one store at a time, and says so", async () => {
    const file = fresh();
    const store = await opened(file);
    await expect(openStore(file, noon)).rejects.toMatchObject({
      code: "STORE_BUSY",
    });
    await store.close();
    await expect(opened(file)).resolves.toBeDefined();
  });

  it("refuses a second process while the first lives", async () => {
    const file = fresh();
    await opened(file);
    const program = `import { openStore } from ${JSON.stringify(pathToFileURL(join(projectFolder(), "src/store/open.ts")).href)};
      try { await openStore(${JSON.stringify(file)}, 0); console.log("open"); } catch (error) { console.log(error.code); }`;
    const other = spawnSync(
      process.execPath,
      ["--import", "tsx", "--input-type=module", "-e", program],
      {
        cwd: projectFolder(),
        encoding: "utf8",
        timeout: 30_000,
      },
    );
    expect(other.stdout.trim(), other.stderr).toBe("STORE_BUSY");
  });

  it("is refused plainly when it is no database or its folder cannot be made", async () => {
    const file = fresh();
    writeFileSync(
      file,
      "this is no database, and long enough to be read as a broken header ".repeat(50),
    );
    await expect(openStore(file, noon)).rejects.toMatchObject({
      code: "STORE_WRONG",
      message: expect.stringContaining("SQLITE_NOTADB"),
    });
    await expect(openStore(join(file, "below", "a.sqlite"), noon)).rejects.toMatchObject({
      code: "STORE_WRONG",
    });
  });

  it("keeps what it acknowledged when it is opened again", async () => {
    const file = fresh();
    const first = await opened(file);
    await fileArrival(first.db, said("say hello", 1));
    await first.close();
    const second = await opened(file);
    expect((await nextWaiting(second.db))?.arrival.key).toBe("test:h1:1");
  });
});

describe("migrations", () => {
  it("leave nothing behind when one fails", async () => {
    const { db } = await opened(":memory:");
    const engine = sqlite(connectSqlite(":memory:"));
    const broken = {
      name: "broken",
      up: async (tx: typeof db) => {
        await tx.schema.createTable("half").addColumn("a", "text").execute();
        throw new Error("broken");
      },
    };
    await expect(migrate(db, engine, noon, [...migrations, broken])).rejects.toThrow("broken");
    const left = await sql`select name from sqlite_master where name = 'half'`.execute(db);
    expect(left.rows).toEqual([]);
    expect(await migrate(db, engine, noon)).toEqual([]);
  });

  it("refuse a file that a newer version made", async () => {
    const { db } = await opened(":memory:");
    const engine = sqlite(connectSqlite(":memory:"));
    await db.insertInto("migrations").values({ name: "9999-later", at: noon }).execute();
    await expect(migrate(db, engine, noon)).rejects.toMatchObject({
      code: "STORE_WRONG",
      message: expect.stringContaining("9999-later"),
    });
  });
});
