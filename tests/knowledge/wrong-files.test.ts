/** A slip in a file of the firm's own is named with file, line and what would be right. */
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, describe, expect, it } from "vitest";
import { projectFolder, readBook, tell } from "../../src/knowledge/read.js";

const folder = mkdtempSync(join(tmpdir(), "passing-place-test-"));
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** The problems of the knowledge base where one file says something else. */
function problems(file: string, change: (text: string) => string): string[] {
  cpSync(join(projectFolder(), "knowledge"), folder, { recursive: true });
  const path = join(folder, file);
  const text = file.endsWith(".DS_Store") ? "" : readFileSync(path, "utf8");
  writeFileSync(path, change(text));
  return readBook(folder).problems.map(tell);
}

describe("the check of the knowledge base", () => {
  it("names a time zone that there is not", () => {
    expect(problems("firm.yaml", (t) => t.replace("Europe/London", "Europe/Londn"))).toContainEqual(
      expect.stringMatching(
        /^knowledge\/firm\.yaml:\d+ zone: a time zone such as "Europe\/London" is needed/,
      ),
    );
  });
  it("names a nation of a region that there is not", () => {
    const found = problems("regions/gb.yaml", (t) =>
      t.replace("defaultNation: gb-sct", "defaultNation: gb-scot"),
    );
    expect(found).toContainEqual(
      expect.stringMatching(/^knowledge\/regions\/gb\.yaml:\d+ defaultNation: /),
    );
  });
  it("passes over a file among the vans' folders", () => {
    expect(problems("vans/.DS_Store", () => "x")).toEqual([]);
  });
});
