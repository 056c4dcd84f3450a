/** Backup, restore, and an SQLite file on a disk that refuses. */
import { spawn, spawnSync } from "node:child_process";
import {
  appendFileSync,
  chmodSync,
  existsSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from "node:fs";
import { dirname, join } from "node:path";
import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";
import { sql } from "kysely";
import { afterEach, describe, expect, it } from "vitest";
import { type House, openHouse } from "../../src/house.js";
import { projectFolder } from "../../src/knowledge/read.js";
import { nextWaiting } from "../../src/store/arrivals.js";
import { backUp, problemsOf, restore } from "../../src/store/engines/backup.js";
import { eventsOf } from "../../src/store/events.js";
import { openStore } from "../../src/store/open.js";
import {
  booking,
  houseParts,
  lane,
  noon,
  said,
  scriptClock,
  scriptDoor,
  tempFile,
} from "../kit/small-house.js";

const cleanups: (() => unknown)[] = [];
afterEach(async () => {
  for (const done of cleanups.splice(0).reverse()) await done();
});
function fresh(): string {
  const { file, remove } = tempFile();
  cleanups.push(remove);
  return file;
}
const clock = scriptClock();
async function opened(file: string, doors = [scriptDoor().door]): Promise<House> {
  const house = await openHouse({ ...houseParts, clock, dbFile: file, doors });
  cleanups.push(() => house.close());
  return house;
}
async function toldOnce(file: string): Promise<House> {
  const house = await opened(file);
  await house.makeHire(booking());
  await house.file(said("say one", 1));
  await house.runUntilIdle();
  return house;
}
const textsIn = async (file: string): Promise<string[]> => {
  const store = await openStore(file, noon);
  const events = await eventsOf(store.db, lane());
  await store.close();
  return events.map((e) => e.text);
};

describe("a backup", () => {
  it("holds all that another process acknowledged before, and does not stop it", {
    timeout: 60_000,
  }, async () => {
    const file = fresh();
    const script = join(projectFolder(), "tests/kit/kill-child.ts");
    const child = spawn(
      process.execPath,
      ["--import", "tsx", script, file, `${file}.ledger`, "1", "200"],
      { cwd: projectFolder(), stdio: ["ignore", "pipe", "inherit"] },
    );
    cleanups.push(() => child.kill("SIGKILL"));
    const keys: string[] = [];
    let before: string[] = [];
    for await (const line of createInterface({ input: child.stdout })) {
      keys.push(line);
      if (keys.length === 60) {
        before = [...keys];
        await backUp(file, `${file}.copy`);
      }
      if (keys.length === 200) break;
    }
    const store = await openStore(`${file}.copy`, noon);
    const held = await store.db.selectFrom("arrivals").select("key").execute();
    await store.close();
    expect(before).toHaveLength(60);
    expect(held.map((row) => row.key)).toEqual(expect.arrayContaining(before));
  });

  it("is restored whole, and what stood there before is kept", async () => {
    const file = fresh();
    const house = await toldOnce(file);
    const copy = `${file}.copy`;
    await backUp(file, copy);
    expect(problemsOf(copy)).toEqual([]);
    // One file, however often it is read.
    const copies = () => readdirSync(dirname(copy)).filter((name) => /copy|part/.test(name));
    expect(copies()).toEqual(["test.sqlite.copy"]);
    await house.file(said("say two", 2));
    await house.runUntilIdle();
    await house.close();
    const kept = await restore(copy, file);
    expect(copies()).toEqual(["test.sqlite.copy"]);
    expect(await textsIn(file)).toEqual(["hire booked", "say one", "one"]);
    expect(await textsIn(kept ?? "")).toEqual(["hire booked", "say one", "one", "say two", "two"]);
  });

  it("makes the folder that it is put into", async () => {
    const file = fresh();
    await toldOnce(file);
    const copy = join(`${file}.backups`, "2026", "monday.sqlite");
    await backUp(file, copy);
    expect(problemsOf(copy)).toEqual([]);
  });

  it("never goes over a file that exists", async () => {
    const file = fresh();
    await toldOnce(file);
    writeFileSync(`${file}.copy`, "mine");
    await expect(backUp(file, `${file}.copy`)).rejects.toMatchObject({
      code: "STORE_WRONG",
      message: expect.stringContaining("exists: name a new file"),
    });
    expect(readFileSync(`${file}.copy`, "utf8")).toBe("mine");
  });

  it("is refused plainly where there is nothing to back up, or nowhere to put it", async () => {
    const file = fresh();
    await expect(backUp(file, `${file}.copy`)).rejects.toMatchObject({
      code: "STORE_WRONG",
      message: expect.stringContaining("it is not there"),
    });
    await toldOnce(file);
    await expect(backUp(file, join(file, "below", "copy"))).rejects.toMatchObject({
      message: expect.stringContaining("it is not there"),
    });
  });

  it("is not mixed with the log of a database that was moved away, and what was kept before stays as it was", async () => {
    const file = fresh();
    const house = await toldOnce(file);
    const copy = `${file}.copy`;
    await backUp(file, copy);
    await house.file(said("say two", 2));
    await house.runUntilIdle();
    // As a crash leaves it: a log that is not yet in the file.
    const log = readFileSync(`${file}-wal`);
    await house.close();
    expect(log.length).toBeGreaterThan(0);
    rmSync(file);
    writeFileSync(`${file}-wal`, log);
    const kept = (await restore(copy, file)) ?? "";
    expect(await textsIn(file)).toEqual(["hire booked", "say one", "one"]);
    expect(kept).toMatch(/-wal$/);
    expect(readFileSync(kept).equals(log)).toBe(true);
    const next = await restore(copy, file);
    expect(await textsIn(next ?? "")).toEqual(["hire booked", "say one", "one"]);
    expect(readFileSync(kept).equals(log)).toBe(true);
  });

  it("is not restored over a database that a service has open", async () => {
    const file = fresh();
    await toldOnce(file);
    await backUp(file, `${file}.copy`);
    await expect(restore(`${file}.copy`, file)).rejects.toMatchObject({ code: "STORE_BUSY" });
    expect(existsSync(`${file}.part`)).toBe(false);
  });

  it("is not restored when it is damaged, cut off, of something else or of a newer version", async () => {
    const file = fresh();
    const house = await toldOnce(file);
    for (let n = 2; n < 40; n++) await house.file(said(`say ${n}${"x".repeat(500)}`, n));
    await house.runUntilIdle();
    const copies = ["damaged", "cut", "newer"].map((name) => `${file}.${name}`);
    const [damaged = "", cut = "", newer = ""] = copies;
    for (const copy of copies) await backUp(file, copy);
    const bytes = readFileSync(damaged);
    for (let page = 2; page * 4096 < bytes.length; page += 2)
      bytes.fill(0x5a, page * 4096, page * 4096 + 2000);
    writeFileSync(damaged, bytes);
    truncateSync(cut, 4096 * 5);
    const store = await openStore(newer, noon);
    await store.db.insertInto("migrations").values({ name: "9999-later", at: noon }).execute();
    await store.close();
    const other = `${file}.other`;
    writeFileSync(other, "a letter ".repeat(1000));
    await house.close();
    const before = await textsIn(file);
    for (const bad of [damaged, cut, newer, other, `${file}.absent`]) {
      expect(problemsOf(bad), bad).not.toEqual([]);
      await expect(restore(bad, file), bad).rejects.toMatchObject({ code: "STORE_WRONG" });
    }
    expect(problemsOf(newer)[0]).toContain("9999-later");
    expect(problemsOf(other)).toEqual(["SQLITE_NOTADB: it is no database"]);
    expect(await textsIn(file)).toEqual(before);
  });

  it("takes the place of a damaged database, which is kept with its log", async () => {
    const file = fresh();
    const house = await toldOnce(file);
    await backUp(file, `${file}.copy`);
    await house.close();
    writeFileSync(file, "burnt ".repeat(2000));
    appendFileSync(`${file}-wal`, "log");
    const kept = await restore(`${file}.copy`, file);
    expect(await textsIn(file)).toEqual(["hire booked", "say one", "one"]);
    expect(readFileSync(kept ?? "", "utf8")).toContain("burnt");
    expect(existsSync(`${file}-wal`)).toBe(false);
  });
});

/** Files arrivals in a process of its own until one is refused; prints each that was acknowledged, then why. */
const program = (file: string) => `
  import { openStore } from ${JSON.stringify(pathToFileURL(join(projectFolder(), "src/store/open.ts")).href)};
  import { fileArrival } from ${JSON.stringify(pathToFileURL(join(projectFolder(), "src/store/arrivals.ts")).href)};
  try {
    const { db } = await openStore(${JSON.stringify(file)}, 0);
    for (let n = 0; n < 2000; n++) {
      await fileArrival(db, { key: "k" + n, lane: "hire:h1", receivedAt: n, body: { kind: "said", from: { person: "p1", via: { channel: "web", to: "p1" } }, text: "x".repeat(2000) } });
      console.log("k" + n);
    }
  } catch (error) { console.log("refused " + error.code + " " + error.message); }`;
const inShell = (limit: string, file: string) =>
  spawnSync(
    "sh",
    [
      "-c",
      `${limit}; exec "$@"`,
      "sh",
      process.execPath,
      "--import",
      "tsx",
      "--input-type=module",
      "-e",
      program(file),
    ],
    { cwd: projectFolder(), encoding: "utf8", timeout: 60_000 },
  );

describe("a disk that refuses", () => {
  it("when it is full, costs nothing that was acknowledged, is told plainly, and the service goes on once there is room", async () => {
    const file = fresh();
    const chat = scriptDoor();
    const house = await toldOnce(file);
    await house.close();
    const full = await opened(file, [chat.door]);
    const pages = async (most: number) =>
      sql.raw(`pragma max_page_count = ${most}`).execute(full.db);
    const [count] = (await sql.raw<{ page_count: number }>("pragma page_count").execute(full.db))
      .rows;
    await pages((count?.page_count ?? 0) + 2);
    const acknowledged: string[] = [];
    let refused: unknown;
    for (let n = 2; n < 200 && refused === undefined; n++)
      await full.file(said(`say ${n}${"x".repeat(1500)}`, n)).then(
        () => acknowledged.push(`test:h1:${n}`),
        (error: unknown) => {
          refused = error;
        },
      );
    expect(acknowledged.length).toBeGreaterThan(0);
    expect(refused).toMatchObject({
      code: "STORE_WRONG",
      message: "it could not be stored (SQLITE_FULL: the disk is full)",
    });
    await expect(full.runUntilIdle()).rejects.toMatchObject({ code: "SQLITE_FULL" });
    await pages(1_000_000);
    await full.runUntilIdle();
    expect(await nextWaiting(full.db)).toBeUndefined();
    expect(chat.tried).toHaveLength(acknowledged.length);
    expect(problemsOf(file)).toEqual([]);
  });

  it("when files may not grow, ends in an error and a sound file with all that was acknowledged", {
    timeout: 60_000,
  }, async () => {
    const file = fresh();
    // In blocks of 512 bytes or of 1024, as the shell has it.
    const { stdout, stderr } = inShell("ulimit -f 2500", file);
    const lines = stdout.trim().split("\n");
    expect(lines.at(-1), stderr).toMatch(/^refused (SQLITE_FULL|SQLITE_IOERR_WRITE|SQLITE_IOERR)/);
    const acknowledged = lines.filter((line) => line.startsWith("k"));
    expect(acknowledged.length).toBeGreaterThan(10);
    expect(problemsOf(file)).toEqual([]);
    const store = await openStore(file, noon);
    const keys = await store.db.selectFrom("arrivals").select("key").orderBy("seq").execute();
    await store.close();
    expect(keys.map((row) => row.key)).toEqual(acknowledged);
  });

  const isRoot = process.getuid?.() === 0;
  if (isRoot) console.log("read-only file skipped: root may write to it all the same");
  it.skipIf(isRoot)("when the file is read-only, is told at the start", async () => {
    const file = fresh();
    await (await toldOnce(file)).close();
    chmodSync(file, 0o400);
    await expect(openStore(file, noon)).rejects.toMatchObject({
      code: "STORE_WRONG",
      message: expect.stringContaining("SQLITE_READONLY: it may not be written to"),
    });
  });
});
