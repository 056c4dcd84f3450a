/** Plays every script of this folder; each line that comes out must stand in it, and nothing else may come. */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { play } from "../../scripts/play-script.js";
import { openBook } from "../../src/knowledge/read.js";
import { openMatcher } from "../../src/matcher-cache.js";
import { fits, parseScript, show } from "../kit/conversation.js";

const folder = import.meta.dirname;
const files = readdirSync(folder).filter((f) => f.endsWith(".txt"));
const book = openBook();
const matcher = openMatcher(book);

describe("conversation scripts", () => {
  it("are all found", () => expect(files.length).toBeGreaterThan(0));
  it.each(files)("%s", async (file) => {
    const script = parseScript(readFileSync(join(folder, file), "utf8"));
    const shown = (await play(script.jsonl, book, matcher)).map(show);
    for (const [i, line] of shown.entries()) {
      const wanted = script.expected[i];
      const context = shown.slice(Math.max(0, i - 1), i + 2).join("\n  ");
      if (!wanted) expect.fail(`${file}: not in the script: ${line}`);
      if (!fits(wanted.text, line))
        expect.fail(`${file}:${wanted.line}: expected\n  ${wanted.text}\ncame\n  ${context}`);
    }
    const missing = script.expected[shown.length];
    if (missing) expect.fail(`${file}:${missing.line}: never came: ${missing.text}`);
    expect(shown.length).toBe(script.expected.length);
  });
});
