/** SQLite through better-sqlite3: one file, one process. */
import { existsSync, mkdirSync, realpathSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import Database from "better-sqlite3";
import { type Driver, SqliteDialect, sql } from "kysely";
import { Fault } from "../../faults.js";
import type { Engine } from "../dialect.js";
import { TogetherDriver } from "./together.js";
import { codeOf, sayCode } from "./why.js";

/**
 * Pragmas of every connection: durable over power loss, references kept, a short wait for a reader's lock, and what is
 * erased overwritten in the file, so that no backup has it.
 */
const pragmas = [
  ["journal_mode", "wal"],
  ["synchronous", 2],
  ["foreign_keys", 1],
  ["busy_timeout", 5000],
  ["secure_delete", 1],
] as const;

/** Sets the pragmas and reads each one back. @throws STORE_WRONG where the engine did not take one */
function assertPragmas(raw: Database.Database, file: string): void {
  for (const [name, wanted] of pragmas) {
    raw.pragma(`${name} = ${wanted}`);
    const got: unknown = raw.pragma(name, { simple: true });
    const fits =
      got === wanted || (file === ":memory:" && name === "journal_mode" && got === "memory");
    if (!fits)
      throw new Fault(
        "STORE_WRONG",
        `the database does not take ${name} = ${wanted}: it says ${String(got)}`,
      );
  }
}

/** Opens one connection on an SQLite file (or ":memory:") with the pragmas asserted. @throws STORE_WRONG */
export function connectSqlite(file: string): Database.Database {
  let raw: Database.Database | undefined;
  try {
    raw = new Database(file);
    assertPragmas(raw, file);
    return raw;
  } catch (error) {
    raw?.close();
    if (error instanceof Fault) throw error;
    const code = codeOf(error);
    throw new Fault(
      "STORE_WRONG",
      `the database file ${file} cannot be opened (${sayCode(code)}); a writable place on a local disk is needed`,
    );
  }
}

class ThisDialect extends SqliteDialect {
  readonly #driver: () => Driver;
  constructor(raw: Database.Database, driver: () => Driver) {
    super({ database: raw });
    this.#driver = driver;
  }
  override createDriver(): Driver {
    return this.#driver();
  }
}

/** The engine on an open connection, with another for what only reads (none: a database in memory). */
export const sqlite = (raw: Database.Database, reader?: Database.Database): Engine => ({
  name: "sqlite",
  dialect: new ThisDialect(raw, () => new TogetherDriver(raw, reader)),
  whole: "integer",
  fraction: "real",
  counts: (column) => column.primaryKey().autoIncrement(),
  finish: (table) => table.modifyEnd(sql`strict`),
  alone: (db, work) => work(db),
  settle: () => Promise.resolve(),
});

/** One name for one file, however it is spelt, so that the lock beside it is the same for everybody. */
export function realFile(file: string): string {
  if (file === ":memory:") return file;
  const at = resolve(file);
  if (existsSync(at)) return realpathSync(at);
  mkdirSync(dirname(at), { recursive: true });
  return join(realpathSync(dirname(at)), basename(at));
}

/**
 * Keeps other processes off the file as long as this one lives: an exclusive transaction held open on a
 * small file beside it. The operating system lets go of it when the process ends, however it ends; the
 * database file itself stays readable for a backup.
 * @throws STORE_BUSY when another process (or another store of this one) has it
 */
export function lockSqlite(file: string): () => void {
  if (file === ":memory:") return () => {};
  let lock: Database.Database | undefined;
  try {
    lock = new Database(`${file}-lock`, { timeout: 200 });
    lock.exec("begin exclusive");
    const held = lock;
    return () => held.close();
  } catch (error) {
    lock?.close();
    const code = codeOf(error);
    if (code.startsWith("SQLITE_BUSY"))
      throw new Fault(
        "STORE_BUSY",
        `another process has the database file ${file}; one file serves one process: stop the other one first`,
      );
    throw new Fault(
      "STORE_WRONG",
      `the database file ${file} cannot be locked (${sayCode(code)}); a writable place on a local disk is needed`,
    );
  }
}
