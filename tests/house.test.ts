/** What holds code and pages together: faults, decisions, commands, settings. */
import { spawnSync } from "node:child_process";
import {
  copyFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { faultCodes } from "../src/faults.js";
import { readBook } from "../src/knowledge/read.js";

const root = join(import.meta.dirname, "..");
const read = (file: string) => readFileSync(join(root, file), "utf8");
const developers = read("DEVELOPERS.md");
const files = (dir: string): string[] =>
  readdirSync(join(root, dir), { withFileTypes: true }).flatMap((e) =>
    e.isDirectory() ? files(join(dir, e.name)) : e.name.endsWith(".ts") ? [join(dir, e.name)] : [],
  );

describe("the pages", () => {
  it("explain every fault code, and no code that does not exist", () => {
    const explained = [...developers.matchAll(/^\| `([A-Z_]+)` \|/gm)].map((m) => m[1]);
    expect(explained.sort()).toEqual(Object.keys(faultCodes).sort());
  });
  it("number the decisions in order, and code names only decisions that stand there", () => {
    const numbers = [...developers.matchAll(/^(\d+)\. \*\*/gm)].map((m) => Number(m[1]));
    expect(numbers).toEqual(numbers.map((_, i) => i + 1));
    for (const file of files("src"))
      for (const m of read(file).matchAll(/\bdecision (\d+)/g))
        expect(numbers, file).toContain(Number(m[1]));
  });
  it("draw a map that names every file and folder of src, and the folders in them but the desk's", () => {
    const map = developers.slice(0, developers.indexOf("## House rules"));
    const shown = (dir: string, deeper: boolean): string[] =>
      readdirSync(join(root, dir), { withFileTypes: true }).flatMap((e) => {
        if (!e.isDirectory()) return deeper ? [e.name] : [];
        const inside = deeper && e.name !== "desk" ? shown(join(dir, e.name), false) : [];
        return [`${e.name}/`, ...inside];
      });
    expect(shown("src", true).filter((name) => !map.includes(name))).toEqual([]);
  });
  it("name every command of package.json that people call", () => {
    const { scripts } = JSON.parse(read("package.json")) as { scripts: Record<string, string> };
    const readme = read("README.md");
    for (const name of Object.keys(scripts))
      if (name !== "build")
        expect(`${readme}${developers}`, name).toMatch(new RegExp(`npm (run (-s )?)?${name}\\b`));
    // What somebody who runs the service needs stands where they look.
    for (const name of ["demo", "start", "account", "backup", "restore"])
      expect(readme, name).toMatch(new RegExp(`^\\| \`npm (run )?${name}\\b`, "m"));
  });
  it("list every setting that the service reads in .env.example", () => {
    const example = read(".env.example");
    const named = [...read("src/settings.ts").matchAll(/^ {2}([A-Z][A-Z_]+): \{$/gm)].map(
      (m) => m[1] ?? "",
    );
    expect(named.length).toBeGreaterThan(5);
    for (const name of named) expect(example, name).toContain(name);
  });
});

const built = existsSync(join(root, "dist", "scripts", "check-house.js"));
if (!built) console.log("house rules skipped: the project is not built");

describe.skipIf(!built)("the check of the house rules", { timeout: 60_000 }, () => {
  /** What it says of a copy of the project that has one file more, and how it ends. */
  function said(file: string, text: string) {
    const folder = mkdtempSync(join(tmpdir(), "passing-place-house-"));
    try {
      const script = join("dist", "scripts", "check-house.js");
      mkdirSync(join(folder, "dist", "scripts"), { recursive: true });
      copyFileSync(join(root, script), join(folder, script));
      copyFileSync(join(root, "package.json"), join(folder, "package.json"));
      symlinkSync(join(root, "dist", "pages"), join(folder, "dist", "pages"));
      for (const dir of ["tests", "scripts"]) symlinkSync(join(root, dir), join(folder, dir));
      cpSync(join(root, "src"), join(folder, "src"), { recursive: true });
      writeFileSync(join(folder, file), text);
      const { stdout, stderr, status } = spawnSync(process.execPath, [join(folder, script)], {
        encoding: "utf8",
      });
      return { out: stdout + stderr, status };
    } finally {
      rmSync(folder, { recursive: true });
    }
  }
  it("finds nothing in a file that keeps them", () => {
    expect(said("src/place/right.ts", "/** A figure. */\nexport const right = 1;\n")).toEqual({
      ...{ out: expect.stringContaining(" 0 problem(s)"), status: 0 },
    });
  });
  it.each([
    ['import { openStore } from "../store/open.js";\nexport const a = openStore;\n', "store"],
    ["export const a = () => Date.now();\n", "clock"],
  ])("finds a pure file that breaks one: %s", (text, word) => {
    const { out, status } = said("src/place/wrong.ts", text);
    expect(status).toBe(1);
    expect(out).toMatch(new RegExp(`place/wrong\\.ts.*${word}`));
  });
});

describe("the knowledge base", () => {
  const { book, problems } = readBook();
  it("is sound, and has every id of its contract: 174 answers, 34 lights, 36 faults, 16 dangers", () => {
    expect(problems).toEqual([]);
    const count = (kind: string) =>
      [...book.entries.values()].filter((e) => e.kind === kind).length;
    expect([count("answer"), count("light"), count("fault"), count("danger")]).toEqual([
      174, 34, 36, 16,
    ]);
  });
  it("uses only Ofcom's drama numbers for the firm and its people", () => {
    // Ofcom, numbers for drama: 01632 960000–960999 and 07700 900000–900999.
    for (const number of [
      book.firm.phone,
      ...Object.values(book.firm.contacts).map((c) => c.phone),
    ])
      expect(number).toMatch(/^(01632 960\d{3}|07700 900\d{3})$/);
  });
  it("reports each fault of a broken file with file, line, field and the nearest valid value", () => {
    const broken = readBook(join(root, "tests", "knowledge", "broken")).problems.map(
      (p) => `${p.file}:${p.line} ${p.message}`,
    );
    expect(
      broken.some(
        (p) =>
          p.startsWith("firm.yaml:") &&
          p.includes('unknown contact "moragg"; the nearest is "morag"'),
      ),
    ).toBe(true);
    expect(
      broken.some(
        (p) =>
          p.startsWith("answers/fridge.yaml:") &&
          p.includes('unknown placeholder "van.fridge-swich"'),
      ),
    ).toBe(true);
    expect(broken).toContain(
      "topics.yaml:6 until_checked danger: needs danger_until_checked, the danger it is told as",
    );
    expect(broken).toContain('topics.yaml:7 unknown danger "fier"; the nearest is "fire"');
    expect(broken.some((p) => p.includes('forbidden wording "you are covered"'))).toBe(true);
    expect(broken.some((p) => p.includes("tagged gas but carries no caution"))).toBe(true);
    expect(broken.length).toBeGreaterThan(10);
  });
});
