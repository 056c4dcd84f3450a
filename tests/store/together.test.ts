/** Writers of an SQLite file that share one commit: nobody goes on before the disk, and none spoils another's. */
import Database from "better-sqlite3";
import { Kysely } from "kysely";
import { afterEach, describe, expect, it } from "vitest";
import { connectSqlite, sqlite } from "../../src/store/engines/sqlite.js";
import { tempFile } from "../kit/small-house.js";

type Words = { words: { n: number } };
const cleanups: (() => unknown)[] = [];
afterEach(async () => {
  for (const done of cleanups.splice(0).reverse()) await done();
});

/** A file with one table, the store's way of using it, and what stands on the disk as another process sees it. */
async function opened() {
  const { file, remove } = tempFile();
  const raw = connectSqlite(file);
  const commits: string[] = [];
  const exec = raw.exec.bind(raw);
  raw.exec = (source) => {
    if (source === "commit") commits.push(source);
    return exec(source);
  };
  const db = new Kysely<Words>({ dialect: sqlite(raw, connectSqlite(file)).dialect });
  const other = new Database(file, { readonly: true });
  cleanups.push(
    remove,
    () => other.close(),
    () => db.destroy(),
  );
  await db.schema
    .createTable("words")
    .addColumn("n", "integer", (c) => c.unique())
    .execute();
  commits.length = 0;
  return {
    ...{ db, raw, commits },
    onDisk: () => other.prepare("select n from words order by n").pluck().all(),
    add: (n: number) => db.insertInto("words").values({ n }).execute(),
    /** In a transaction, which fails at its end where `fails`. */
    addInOne: (n: number, fails = false) =>
      db.transaction().execute(async (tx) => {
        await tx.insertInto("words").values({ n }).execute();
        if (fails) throw new Error(`not ${n}`);
      }),
  };
}

describe("writers of an SQLite file", () => {
  it("that are ready at the same moment share one commit, in or outside a transaction", async () => {
    const { add, addInOne, commits, onDisk } = await opened();
    await Promise.all([add(1), addInOne(2), add(3), addInOne(4)]);
    expect(commits).toHaveLength(1);
    expect(onDisk()).toEqual([1, 2, 3, 4]);
    await add(5);
    expect(commits).toHaveLength(2);
  });

  it("go on only when what they wrote is on the disk", async () => {
    const { add, addInOne, onDisk } = await opened();
    const seen: unknown[] = [];
    await Promise.all([
      add(1).then(() => seen.push(onDisk())),
      addInOne(2).then(() => seen.push(onDisk())),
    ]);
    expect(seen).toEqual([
      [1, 2],
      [1, 2],
    ]);
  });

  it("read, outside a transaction, only what is on the disk, and wait for nobody", async () => {
    const { db, add } = await opened();
    const read = () => db.selectFrom("words").select("n").execute();
    let during: unknown;
    await Promise.all([
      add(1),
      db.transaction().execute(async (tx) => {
        await tx.insertInto("words").values({ n: 2 }).execute();
        during = await read();
      }),
    ]);
    expect(during).toEqual([]);
    expect(await read()).toEqual([{ n: 1 }, { n: 2 }]);
  });

  it("lose nothing when one of them takes back its own", async () => {
    const { add, addInOne, onDisk } = await opened();
    const results = await Promise.allSettled([add(1), addInOne(2, true), add(1), addInOne(3)]);
    expect(results.map((r) => r.status)).toEqual([
      "fulfilled",
      "rejected",
      "rejected",
      "fulfilled",
    ]);
    expect(onDisk()).toEqual([1, 3]);
  });

  it("all hear when the commit fails, and the next ones are stored again", async () => {
    const { add, addInOne, raw, onDisk } = await opened();
    const exec = raw.exec;
    raw.exec = (source) => {
      if (source === "commit") throw new Error("the disk fails");
      return exec(source);
    };
    const results = await Promise.allSettled([add(1), addInOne(2)]);
    expect(results.map((r) => r.status)).toEqual(["rejected", "rejected"]);
    raw.exec = exec;
    await add(3);
    expect(onDisk()).toEqual([3]);
  });

  it("all hear when the engine undoes everything under way, and what goes on in it is refused", async () => {
    const { add, addInOne, db, raw, onDisk } = await opened();
    const undone = () =>
      db.transaction().execute(async (tx) => {
        await tx.insertInto("words").values({ n: 2 }).execute();
        // As SQLite does by itself on a full disk (https://www.sqlite.org/lang_transaction.html, "Response To Errors").
        raw.prepare("rollback").run();
        await tx.insertInto("words").values({ n: 3 }).execute();
      });
    const results = await Promise.allSettled([add(1), undone(), addInOne(4)]);
    expect(results.map((r) => r.status)).toEqual(["rejected", "rejected", "fulfilled"]);
    await add(5);
    expect(onDisk()).toEqual([4, 5]);
  });

  it("that come while the store closes are stored or refused, never kept waiting", async () => {
    for (const before of [0, 1, 2]) {
      const { db, add, addInOne, onDisk } = await opened();
      const writes = [() => add(1), () => addInOne(2), () => add(3)];
      const early = writes.slice(0, before).map((write) => write());
      const closing = db.destroy();
      const all = [...early, ...writes.slice(before).map((write) => write())];
      const [closed, ...results] = await Promise.allSettled([closing, ...all]);
      expect(closed.status).toBe("fulfilled");
      const acknowledged = results.flatMap((r, i) => (r.status === "fulfilled" ? [i + 1] : []));
      expect(onDisk()).toEqual(acknowledged);
    }
  });
});
