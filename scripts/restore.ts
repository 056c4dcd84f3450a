/** Puts a backup in place of the SQLite database, with the service stopped: npm run restore -- FILE. `--check`: only says whether it could. */
import { Fault } from "../src/faults.js";
import { problemsOf, restore } from "../src/store/engines/backup.js";
import { readArgs } from "./command/args.js";
import { databaseFile, give } from "./database/settings.js";

const usage = "usage: npm run restore -- FILE [--check], where FILE was made by npm run backup";

async function main(): Promise<void> {
  const { values, positionals } = readArgs(usage, {
    options: { check: { type: "boolean", default: false } },
    allowPositionals: true,
  });
  const [from, ...rest] = positionals;
  if (from === undefined || rest.length > 0) give(usage);
  if (values.check) {
    const problems = problemsOf(from);
    if (problems.length > 0) give(problems.map((line) => `${from}: ${line}`).join("\n"));
    console.log(`${from} is sound and could be restored`);
    return;
  }
  const file = databaseFile();
  const kept = await restore(from, file);
  console.log(
    `${file} is what ${from} held${kept ? `; what was there before is kept as ${kept}` : ""}`,
  );
}

main().catch((error: unknown) => give(error instanceof Fault ? error.message : String(error)));
