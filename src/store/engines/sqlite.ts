/** SQLite through better-sqlite3: one file, one process. */
import Database from "better-sqlite3";
import { SqliteDialect, sql } from "kysely";
import { Fault } from "../../faults.js";
import type { Engine } from "../dialect.js";

/** Pragmas of every connection: durable over power loss, references kept, a short wait for a reader's lock. */
const pragmas = [
  ["journal_mode", "wal"],
  ["synchronous", 2],
  ["foreign_keys", 1],
  ["busy_timeout", 5000],
] as const;

/** Why SQLite refused, without the path's contents: its code alone is safe to show and to log. */
export function sqliteCode(error: unknown): string {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  return code.startsWith("SQLITE_") ? code : "unknown";
}

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
    const code = sqliteCode(error);
    throw new Fault(
      "STORE_WRONG",
      `the database file ${file} cannot be opened (${code}); a writable place on a local disk is needed`,
      {
        details: { code },
      },
    );
  }
}

/** The engine on an open connection. */
export const sqlite = (raw: Database.Database): Engine => ({
  name: "sqlite",
  dialect: new SqliteDialect({ database: raw }),
  whole: "integer",
  fraction: "real",
  counts: (column) => column.primaryKey().autoIncrement(),
  finish: (table) => table.modifyEnd(sql`strict`),
  alone: (db, work) => work(db),
  settle: () => Promise.resolve(),
});

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
    const code = sqliteCode(error);
    if (code.startsWith("SQLITE_BUSY"))
      throw new Fault(
        "STORE_BUSY",
        `another process has the database file ${file}; one file serves one process: stop the other one first`,
        {
          again: "later",
        },
      );
    throw new Fault(
      "STORE_WRONG",
      `the database file ${file} cannot be locked (${code}); a writable place on a local disk is needed`,
      {
        details: { code },
      },
    );
  }
}
