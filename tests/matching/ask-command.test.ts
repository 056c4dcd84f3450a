/** The lines that programs outside read from `npm run -s ask -- --jsonl`, as the compiled script prints them. */
import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { projectFolder, readBook } from "../../src/knowledge/read.js";

const script = join(projectFolder(), "dist", "scripts", "ask.js");
const built = existsSync(script);
if (!built) console.log("ask command skipped: the project is not built");

type Out = {
  id: string;
  outcome: string;
  entries: { id: string; p: number }[];
  answered: number;
  severity: string | null;
  first: string;
  doubt: boolean;
  reply: string;
  ms: number;
};
const asked = [
  { id: "bed", text: "how do I fold the bench into a bed", van: "wren" },
  { id: "oil", text: "red oil can light came on", van: "curlew" },
  { id: "fire", text: "the van is on fire", van: "curlew" },
  { id: "irish", text: "the van is on fire", van: "curlew", region: "ie" },
  { id: "german", text: "the van is on fire", van: "curlew", lang: "de" },
  { id: "amber", text: "the amber abs light is on", van: "curlew" },
  { id: "shower", text: "how do I use the shower", van: "wren" },
  { id: "thanks", text: "thank you", van: "wren" },
  { id: "doubt", text: "it smells odd in here, not sure if it's burning", van: "wren" },
  { id: "odd", text: "zzyx qwerty", van: "wren" },
];
const run = (input: string) =>
  spawnSync(process.execPath, [script, "--jsonl"], {
    ...{ cwd: projectFolder(), encoding: "utf8", input },
  });

describe.skipIf(!built)("the ask command, many at once", { timeout: 300_000 }, () => {
  let lines: Out[] = [];
  const line = (id: string): Out => {
    const found = lines.find((l) => l.id === id);
    if (!found) throw new Error(`no line "${id}"`);
    return found;
  };
  beforeAll(() => {
    // An empty line is passed over.
    const { stdout, stderr, status } = run(asked.map((a) => `${JSON.stringify(a)}\n`).join("\n"));
    expect([stderr, status]).toEqual(["", 0]);
    lines = stdout
      .trim()
      .split("\n")
      .map((l) => JSON.parse(l) as Out);
  }, 300_000);

  it("gives one line for each, in order, with exactly the agreed fields", () => {
    expect(lines.map((l) => l.id)).toEqual(asked.map((a) => a.id));
    for (const l of lines) {
      expect(Object.keys(l)).toEqual(
        "id outcome entries answered severity first doubt reply ms".split(" "),
      );
      expect(l.entries.length, l.id).toBeLessThanOrEqual(3);
      for (const e of l.entries) expect(Object.keys(e), l.id).toEqual(["id", "p"]);
      expect(l.ms).toBeGreaterThan(0);
      expect(l.reply).not.toBe("");
    }
  });
  it.each([
    ["bed", "answer", 1, null, "none"],
    ["oil", "triage", 1, "stop", "firm"],
    ["fire", "triage", 1, "danger", "emergency"],
    ["irish", "triage", 1, "danger", "emergency"],
    ["german", "triage", 1, "danger", "emergency"],
    ["amber", "triage", 1, "soon", "firm"],
    ["shower", "lacks", 0, null, "none"],
    ["thanks", "courtesy", 0, null, "none"],
    ["odd", "person", 0, null, "none"],
  ])("%s: %s, %d told, acts on %s, first %s", (id, outcome, answered, severity, first) => {
    expect(line(id)).toMatchObject({ outcome, answered, severity, first, doubt: false });
  });
  it("says by `first` and `doubt` what the reply does: the emergency number, or our own", () => {
    const { book } = readBook();
    for (const { id, first, doubt, reply } of lines) {
      const emergency = /\b(999|112)\b/.test(reply.split("\n")[0] ?? "");
      expect(emergency, id).toBe(first === "emergency" || doubt);
      if (first === "firm") expect(reply, id).toContain(book.firm.phone);
    }
    expect(line("doubt")).toMatchObject({ doubt: true, answered: 0 });
    expect(line("irish").reply).toContain("112 or 999");
    expect(line("fire").reply).toContain("999 or 112");
    expect(line("german").reply).not.toBe(line("fire").reply);
  });
  it("ends at a line that does not fit, naming it, with what came before it told", () => {
    const good = JSON.stringify(asked[0]);
    for (const [bad, why] of [
      ["{", ""],
      ['{"id":"1","text":"hello"}', "van"],
      ['{"id":"1","text":"hello","van":"gull"}', 'unknown van "gull"'],
    ] as const) {
      const { stdout, stderr, status } = run(`${good}\n${bad}\n${good}\n`);
      expect(status).toBe(1);
      expect(stdout.trim().split("\n")).toHaveLength(1);
      expect(stderr).toMatch(/^line 2: /);
      expect(stderr).toContain(why);
      expect(stderr.trim().split("\n")).toHaveLength(1);
    }
  });
});
