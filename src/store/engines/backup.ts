/** Backup and restore of an SQLite file, and whether one is sound. */
import {
  closeSync,
  constants,
  copyFileSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  renameSync,
  rmSync,
} from "node:fs";
import { dirname, resolve } from "node:path";
import Database from "better-sqlite3";
import { Fault } from "../../faults.js";
import { migrations } from "../migrations/run.js";
import { connectSqlite, lockSqlite, realFile } from "./sqlite.js";
import { codeOf, sayCode } from "./why.js";

/** SQLite tells no more than so many of its findings. */
const findingsMost = 10;

/** What is wrong with a database file, one line each; none is sound. Reads all of it, beside a running service too. */
export function problemsOf(file: string): string[] {
  let raw: Database.Database | undefined;
  try {
    raw = new Database(file, { readonly: true, fileMustExist: true });
    const found = raw.pragma(`integrity_check(${findingsMost})`) as { integrity_check: string }[];
    const problems = found.map((row) => row.integrity_check).filter((line) => line !== "ok");
    for (const row of (raw.pragma("foreign_key_check") as { table: string }[]).slice(
      0,
      findingsMost,
    ))
      problems.push(`a row of ${row.table} refers to one that is not there`);
    if (problems.length > 0) return problems;
    if (!raw.prepare("select 1 from sqlite_master where name = 'migrations'").get())
      return ["it is a database, but not one of this service"];
    const names = raw.prepare("select name from migrations").pluck().all() as string[];
    const newer = names.filter((name) => !migrations.some((m) => m.name === name));
    return newer.length > 0 ? [`a newer version made it (it has had "${newer.join('", "')}")`] : [];
  } catch (error) {
    return [sayCode(codeOf(error))];
  } finally {
    raw?.close();
  }
}

/** On the disk, whatever the machine does next. */
function flush(path: string): void {
  const at = openSync(path, "r");
  fsyncSync(at);
  closeSync(at);
}

/** Makes a copy a single file: with a log of its own, whoever reads it would leave two more beside it. */
function closeIn(file: string): void {
  const raw = new Database(file, { fileMustExist: true });
  try {
    raw.pragma("journal_mode = delete");
  } finally {
    raw.close();
  }
}

/** A whole copy of a database under another name, one file, checked and on the disk. Nothing of it is left where that fails. */
async function copyTo(from: string, part: string): Promise<void> {
  rmSync(part, { force: true });
  let sound = false;
  try {
    const raw = new Database(from, { readonly: true, fileMustExist: true });
    try {
      // All pages in one go: a service that writes on meanwhile would make it begin again.
      await raw.backup(part, { progress: () => 0x7fffffff });
    } finally {
      raw.close();
    }
    closeIn(part);
    const problems = problemsOf(part);
    if (problems.length > 0)
      throw new Fault("STORE_WRONG", `the copy of ${from} is not sound: ${problems.join("; ")}`);
    flush(part);
    sound = true;
  } finally {
    if (!sound) rmSync(part, { force: true });
  }
}

/** Brings the log beside a database into it, so that the file is all of it. */
function foldLog(file: string): void {
  const raw = connectSqlite(file);
  try {
    raw.pragma("wal_checkpoint(TRUNCATE)");
  } finally {
    raw.close();
  }
}

/** A database, its log, and the log's index: what one must not take from another. */
const ends = ["", "-wal", "-shm"] as const;

/**
 * Keeps what stands at a path under a name of its own, a log without its database too: the next database there
 * would take it for its own. Returns the name of the first that was kept; undefined where nothing stood there.
 */
function keepAside(at: string): string | undefined {
  const standing = ends.find((end) => existsSync(at + end));
  if (standing === undefined) return undefined;
  let n = 1;
  while (ends.some((end) => existsSync(`${at}.before-restore-${n}${end}`))) n++;
  const kept = `${at}.before-restore-${n}`;
  if (standing === "") {
    try {
      foldLog(at);
    } catch {
      // Too damaged to be opened: its log goes with it.
    }
    copyFileSync(at, kept, constants.COPYFILE_EXCL | constants.COPYFILE_FICLONE);
    flush(kept);
  }
  for (const end of ["-wal", "-shm"]) if (existsSync(at + end)) renameSync(at + end, kept + end);
  return kept + standing;
}

/** Runs it with the engine's and the disk's errors told plainly. */
async function plainly<T>(what: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof Fault) throw error;
    // The library says by its kind, not by a code, that the folder is missing.
    const code = error instanceof TypeError ? "ENOENT" : codeOf(error);
    throw new Fault("STORE_WRONG", `${what} (${sayCode(code)})`);
  }
}

/**
 * Copies the database into a new file, its folder made too, while the service runs: all that was acknowledged before
 * it began.
 * @throws STORE_WRONG when the file exists, the database is not sound, or the disk refuses
 */
export const backUp = (file: string, to: string): Promise<void> =>
  plainly(`${file} cannot be backed up to ${to}`, async () => {
    if (existsSync(to))
      throw new Fault("STORE_WRONG", `${to} exists: name a new file for the backup`);
    mkdirSync(dirname(to), { recursive: true });
    await copyTo(file, `${to}.part`);
    renameSync(`${to}.part`, to);
    flush(dirname(resolve(to)));
  });

/**
 * Puts a backup in place of the database. What stood there, a stray log too, is kept beside it under the name that
 * is returned (undefined: nothing did).
 * @throws STORE_BUSY while the service has the database · STORE_WRONG when the backup is not sound
 */
export const restore = (from: string, file: string): Promise<string | undefined> =>
  plainly(`${from} cannot be restored to ${file}`, async () => {
    const problems = problemsOf(from);
    if (problems.length > 0)
      throw new Fault("STORE_WRONG", `${from} is not restored: ${problems.join("; ")}`);
    const at = realFile(file);
    const unlock = lockSqlite(at);
    try {
      // What stands there is replaced in one step: at no moment is there no database, or half of one.
      await copyTo(from, `${at}.part`);
      const kept = keepAside(at);
      renameSync(`${at}.part`, at);
      flush(dirname(at));
      return kept;
    } finally {
      unlock();
    }
  });
