/** Copies the SQLite database while the service runs: npm run backup -- FILE. `--check [FILE]` says whether one is sound. */
import { statSync } from "node:fs";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { Fault } from "../src/faults.js";
import { readDatabase } from "../src/settings.js";
import { backUp, problemsOf } from "../src/store/engines/backup.js";

/** Says what is wrong in one line, and ends. */
export function give(line: string): never {
  console.error(line);
  process.exit(1);
}

/** The database file of the settings; a server has its own tools. */
export function databaseFile(): string {
  const env = join(process.cwd(), ".env");
  if (statSync(env, { throwIfNoEntry: false })) process.loadEnvFile(env);
  const { file, url } = readDatabase(process.env);
  if (url !== undefined)
    give("DATABASE_URL is set: back up and restore that database with pg_dump and pg_restore");
  return file;
}

async function main(): Promise<void> {
  const { values, positionals } = parseArgs({
    options: { check: { type: "boolean", default: false } },
    allowPositionals: true,
  });
  const [to, ...rest] = positionals;
  if (rest.length > 0 || (to === undefined && !values.check))
    give("usage: npm run backup -- FILE, or npm run backup -- --check [FILE]");
  if (values.check) {
    const file = to ?? databaseFile();
    const problems = problemsOf(file);
    if (problems.length > 0) give(problems.map((line) => `${file}: ${line}`).join("\n"));
    console.log(`${file} is sound`);
    return;
  }
  if (to === undefined) return;
  const file = databaseFile();
  await backUp(file, to);
  console.log(
    `${file} is backed up to ${to} (${statSync(to).size.toLocaleString("en-GB")} bytes, checked)`,
  );
}

if (process.argv[1]?.endsWith("backup.js"))
  main().catch((error: unknown) => give(error instanceof Fault ? error.message : String(error)));
