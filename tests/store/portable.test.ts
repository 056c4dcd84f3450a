/** Nothing outside store/engines knows an engine: no library of one, no SQL that only one understands. */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { projectFolder } from "../../src/knowledge/read.js";

const src = join(projectFolder(), "src");
const files = readdirSync(src, { recursive: true, encoding: "utf8" })
  .filter((name) => name.endsWith(".ts") && !name.startsWith(join("store", "engines")))
  .map((name) => ({ name, text: readFileSync(join(src, name), "utf8") }));
/** SQLite's own, then PostgreSQL's own; both clocks. */
const ownWords =
  /json_|strftime|julianday|datetime\(|unixepoch|\bor (ignore|replace)\b|\browid\b|\bglob\b|\bpragma\b|::|\bilike\b|\bnow\(|current_timestamp|clock_timestamp|\bany\(|\barray\b|\bjsonb?\b|\breturning\b/i;

/** What stands in sql`…` templates; `shared/nudges.ts` speaks to PostgreSQL alone. */
const templates = (text: string): string[] =>
  [...text.matchAll(/\bsql(?:<[^`]*>)?`([^`]*)`/g)].map(([, body = ""]) => body);

describe("the source", () => {
  it("imports the engines' libraries in their own files only", () => {
    const library = /from "(better-sqlite3|pg)"/;
    expect(files.filter(({ text }) => library.test(text)).map((f) => f.name)).toEqual([]);
    // The control: it is found where it is.
    const own = ["sqlite.ts", "postgres.ts"].map((name) => join(src, "store", "engines", name));
    for (const file of own) expect(library.test(readFileSync(file, "utf8"))).toBe(true);
  });

  it("opens the SQLite file in use for writing in one place only, which asserts the pragmas", () => {
    const opened = ["sqlite.ts", "backup.ts"].flatMap((name) => [
      ...readFileSync(join(src, "store", "engines", name), "utf8").matchAll(
        /new Database\(([^;]*)\);/g,
      ),
    ]);
    const writing = opened
      .map(([, how = ""]) => how)
      .filter((how) => !how.includes("readonly: true"));
    // The database itself, the small file that keeps other processes off, and a copy that is made one file.
    expect(writing).toHaveLength(3);
    expect(writing[0]).toBe("file");
    expect(writing[1]).toContain("-lock");
    const backup = readFileSync(join(src, "store", "engines", "backup.ts"), "utf8");
    expect(backup.match(/closeIn\(\w+\)/g)).toEqual(["closeIn(part)"]);
  });

  it("has no SQL of one engine alone", () => {
    const found = files.flatMap(({ name, text }) =>
      templates(text)
        .filter((body) => ownWords.test(body))
        .map((body) => `${name}: ${body.trim()}`),
    );
    expect(found).toEqual([]);
    expect(files.flatMap(({ text }) => templates(text)).length).toBeGreaterThan(3);
    // The control: the words are found where they are.
    expect(ownWords.test("select strftime('%s', 'now')")).toBe(true);
    expect(ownWords.test("select state::text")).toBe(true);
  });
});
