/** Opens the store: lock, connection, pragmas, migrations. */
import { existsSync, mkdirSync, realpathSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { Kysely } from "kysely";
import type { Instant } from "../calendar.js";
import { Fault } from "../faults.js";
import { connectSqlite, lockSqlite, sqlite, sqliteCode } from "./dialect.js";
import { migrate } from "./migrations/run.js";
import type { Db, Tables } from "./tables.js";

export type Store = {
  db: Db /** Lets go of connection and lock; safe to call twice. */;
  close(): Promise<void>;
};

/** One name for one file, however it is spelt, so that the lock beside it is the same for everybody. */
function realFile(file: string): string {
  if (file === ":memory:") return file;
  const at = resolve(file);
  if (existsSync(at)) return realpathSync(at);
  mkdirSync(dirname(at), { recursive: true });
  return join(realpathSync(dirname(at)), basename(at));
}

/**
 * Opens (and where needed makes) the database file; ":memory:" lives as long as the store.
 * `now` dates the migrations done.
 * @throws STORE_BUSY another process has the file · STORE_WRONG it cannot be opened, or is no database
 */
export async function openStore(file: string, now: Instant): Promise<Store> {
  let at: string;
  try {
    at = realFile(file);
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : "unknown";
    throw new Fault(
      "STORE_WRONG",
      `the folder of the database file ${file} cannot be used (${code}); a writable one is needed`,
    );
  }
  const unlock = lockSqlite(at);
  let db: Db | undefined;
  try {
    const engine = sqlite(connectSqlite(at));
    db = new Kysely<Tables>({ dialect: engine.dialect });
    await migrate(db, engine, now);
  } catch (error) {
    await db?.destroy();
    unlock();
    if (error instanceof Fault) throw error;
    const code = sqliteCode(error);
    throw new Fault(
      "STORE_WRONG",
      `the tables in ${file} cannot be made or brought up to date (${code})`,
      { details: { code } },
    );
  }
  let open = true;
  const held = db;
  return {
    db: held,
    async close() {
      if (!open) return;
      open = false;
      await held.destroy();
      unlock();
    },
  };
}

/** Runs inside one transaction: the given one, or a new one on a plain connection. */
export function within<T>(db: Db, work: (tx: Db) => Promise<T>): Promise<T> {
  return db.isTransaction ? work(db) : db.transaction().execute(work);
}
