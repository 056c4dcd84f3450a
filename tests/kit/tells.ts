/** Plays a conversation script and holds what comes out against every line of it. */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect } from "vitest";
import { play } from "../../scripts/play/script.js";
import { readIso } from "../../src/calendar.js";
import { openBook, projectFolder } from "../../src/knowledge/read.js";
import { openMatcher } from "../../src/matcher-cache.js";
import { fits, parseScript, show } from "./conversation.js";

const folder = join(projectFolder(), "tests", "conversations");
export const scripts = readdirSync(folder).filter((f) => f.endsWith(".txt"));
export const linesOf = (file: string): string => readFileSync(join(folder, file), "utf8");
const book = openBook();
const matcher = openMatcher(book);

/** In a database of its own, or in the one given, which is empty. */
export async function tells(file: string, database?: string): Promise<void> {
  const script = parseScript(linesOf(file));
  const outs = await play(script.jsonl, book, matcher, database);
  const shown = outs.map(show);
  for (const [i, line] of shown.entries()) {
    const wanted = script.expected[i];
    const context = shown.slice(Math.max(0, i - 1), i + 2).join("\n  ");
    if (!wanted) expect.fail(`${file}: not in the script: ${line}`);
    if (!fits(wanted.text, line))
      expect.fail(`${file}:${wanted.line}: expected\n  ${wanted.text}\ncame\n  ${context}`);
    const since = wanted.since === "" ? Number.NEGATIVE_INFINITY : readIso(wanted.since);
    const at = readIso(wanted.at);
    const came = readIso(outs[i]?.at ?? "");
    const inTime = since === at ? came === at : since < came && came <= at;
    if (!inTime)
      expect.fail(
        `${file}:${wanted.line}: came at ${outs[i]?.at}, not ${wanted.since === wanted.at ? "at" : `after ${wanted.since}, by`} ${wanted.at}: ${line}`,
      );
  }
  const missing = script.expected[shown.length];
  if (missing) expect.fail(`${file}:${missing.line}: never came: ${missing.text}`);
  expect(shown.length).toBe(script.expected.length);
}
