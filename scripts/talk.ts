/**
 * Plays a script against the whole service in process with a script clock:
 *   npm run -s talk -- --script FILE.jsonl
 * In and out are JSON lines; README describes them.
 */
import { readFileSync } from "node:fs";
import { Fault } from "../src/faults.js";
import { bookOrExit } from "../src/knowledge/read.js";
import { openMatcher } from "../src/matcher-cache.js";
import { readArgs } from "./command/args.js";
import { play } from "./play/script.js";

const usage = "usage: npm run -s talk -- --script FILE.jsonl";
const { values: flags } = readArgs(usage, { options: { script: { type: "string" } } });
try {
  if (!flags.script) throw new Fault("INPUT_WRONG", usage);
  const script = readFileSync(flags.script, "utf8");
  const book = bookOrExit();
  for (const line of await play(script, book, openMatcher(book))) console.log(JSON.stringify(line));
} catch (error) {
  console.error(error instanceof Error ? error.message : String(error));
  process.exit(1);
}
