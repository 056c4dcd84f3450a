/** Why a database or the disk below it refused: a code that is safe to show and to log, and what it means. */

/** SQLite's result codes (https://www.sqlite.org/rescode.html), PostgreSQL's (its manual, appendix A), and the system's. */
const meanings: readonly [RegExp, string][] = [
  [/^(SQLITE_FULL|53100|ENOSPC|EDQUOT|EFBIG)/, "the disk is full"],
  [/^(SQLITE_READONLY|SQLITE_PERM|25006|EROFS|EACCES|EPERM)/, "it may not be written to"],
  [/^SQLITE_NOTADB/, "it is no database"],
  [/^(SQLITE_CORRUPT|XX001|XX002)/, "it is damaged: restore a backup"],
  [/^SQLITE_IOERR/, "the disk fails or is full"],
  [/^(SQLITE_CANTOPEN|ENOENT|ENOTDIR)/, "it is not there, or may not be opened"],
  [/^(SQLITE_BUSY|SQLITE_LOCKED|55P03)/, "another process has it"],
  [/^(ECONNREFUSED|ENOTFOUND|EAI_AGAIN|ETIMEDOUT|EHOSTUNREACH|57P)/, "the server does not answer"],
  [/^28/, "the server does not take this name and password"],
  [/^3D000/, "the server has no database of this name"],
  [/^42501/, "this name may not do that there"],
  [/^53300/, "the server has no connection left"],
];

/** The code of an error; its message may hold what somebody wrote, and goes nowhere. */
export function codeOf(error: unknown): string {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  return /^\w{1,40}$/.test(code) ? code : "unknown";
}

/** A code with its meaning, where it has one: "SQLITE_FULL: the disk is full". */
export function sayCode(code: string): string {
  const meaning = meanings.find(([pattern]) => pattern.test(code))?.[1];
  return meaning ? `${code}: ${meaning}` : code;
}
