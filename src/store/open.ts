/** Opens the store: lock, connection, settings of the engine, migrations. */
import { randomBytes } from "node:crypto";
import { Kysely } from "kysely";
import type { Instant } from "../calendar.js";
import { Fault } from "../faults.js";
import { isAddress } from "./dialect.js";
import { examineServer, placeOf, postgres } from "./engines/postgres.js";
import { connectSqlite, lockSqlite, realFile, sqlite } from "./engines/sqlite.js";
import { codeOf, sayCode } from "./engines/why.js";
import { migrate } from "./migrations/run.js";
import { type Nudges, noNudges, postgresNudges } from "./shared/nudges.js";
import type { Db, Tables } from "./tables.js";

export type Store = {
  db: Db;
  /** This process among those that share the database. */
  instance: string;
  /** Word to and from the others. */
  nudges: Nudges;
  /** Turns of different lanes that pay to be taken at the same time. */
  turnsAtOnce: number;
  /** What a person should know, one line each; the store works all the same. */
  doubts: readonly string[];
  /** Lets go of connection and lock; safe to call twice. */
  close(): Promise<void>;
};

/** Turns under way at the same time: they wait for the server or the disk together. */
const turnsMost = 4;

const instanceName = (): string => randomBytes(9).toString("base64url");

/** Closes once. */
function once(close: () => Promise<void>): () => Promise<void> {
  let closing: Promise<void> | undefined;
  return () => (closing ??= close());
}

async function openSqlite(file: string, now: Instant): Promise<Store> {
  let at: string;
  try {
    at = realFile(file);
  } catch (error) {
    throw new Fault(
      "STORE_WRONG",
      `the folder of the database file ${file} cannot be used (${sayCode(codeOf(error))}); a writable one is needed`,
    );
  }
  const unlock = lockSqlite(at);
  let db: Db | undefined;
  try {
    const writer = connectSqlite(at);
    const engine = sqlite(writer, at === ":memory:" ? undefined : connectSqlite(at));
    db = new Kysely<Tables>({ dialect: engine.dialect });
    await migrate(db, engine, now);
    // The lock says that nobody else lives: whoever stands there was killed.
    await db.deleteFrom("instances").execute();
  } catch (error) {
    await db?.destroy();
    unlock();
    if (error instanceof Fault) throw error;
    const code = codeOf(error);
    throw new Fault(
      "STORE_WRONG",
      `the tables in ${file} cannot be made or brought up to date (${sayCode(code)})`,
    );
  }
  const held = db;
  return {
    db: held,
    instance: instanceName(),
    nudges: noNudges,
    turnsAtOnce: turnsMost,
    doubts: [],
    close: once(async () => {
      await held.destroy();
      unlock();
    }),
  };
}

async function openPostgres(url: string, now: Instant): Promise<Store> {
  const engine = postgres(url);
  const db = new Kysely<Tables>({ dialect: engine.dialect });
  try {
    const doubts = await examineServer(db, now);
    await migrate(db, engine, now);
    const instance = instanceName();
    const nudges = postgresNudges(db, url, instance);
    const close = once(async () => {
      await nudges.close();
      await db.destroy();
    });
    return { db, instance, nudges, turnsAtOnce: turnsMost, doubts, close };
  } catch (error) {
    await db.destroy();
    if (error instanceof Fault) throw error;
    const code = codeOf(error);
    throw new Fault(
      "STORE_WRONG",
      `the database at ${placeOf(url)} cannot be used (${sayCode(code)})`,
    );
  }
}

/**
 * Opens (and where needed makes) the store: the path of an SQLite file, ":memory:" for one that lives as
 * long as the store, or the address `postgres://…` of a database that several processes may share.
 * `now` dates the migrations done.
 * @throws STORE_BUSY another process has the file · STORE_WRONG it cannot be opened, or is no database
 */
export const openStore = (where: string, now: Instant): Promise<Store> =>
  isAddress(where) ? openPostgres(where, now) : openSqlite(where, now);

/** Runs inside one transaction: the given one, or a new one on a plain connection. */
export function within<T>(db: Db, work: (tx: Db) => Promise<T>): Promise<T> {
  return db.isTransaction ? work(db) : db.transaction().execute(work);
}
