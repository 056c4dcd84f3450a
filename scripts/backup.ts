/** Copies the SQLite database while the service runs: npm run backup -- FILE. `--check [FILE]` says whether one is sound. */
import { statSync } from "node:fs";
import { Fault } from "../src/faults.js";
import { backUp, problemsOf } from "../src/store/engines/backup.js";
import { readArgs } from "./command/args.js";
import { databaseFile, give } from "./database/settings.js";

const usage = "usage: npm run backup -- FILE, or npm run backup -- --check [FILE]";

async function main(): Promise<void> {
  const { values, positionals } = readArgs(usage, {
    options: { check: { type: "boolean", default: false } },
    allowPositionals: true,
  });
  const [to, ...rest] = positionals;
  if (rest.length > 0 || (to === undefined && !values.check)) give(usage);
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

main().catch((error: unknown) => give(error instanceof Fault ? error.message : String(error)));
