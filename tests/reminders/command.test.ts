import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import ICAL from "ical.js";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { projectFolder } from "../../src/knowledge/read.js";

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "plan-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

const good = {
  van: "SX26 ABC",
  vanType: "curlew",
  pickup: "2026-06-03T10:00",
  return: "2026-06-05T16:00",
  zone: "Europe/London",
  region: "gb",
};
/** Runs the command as `npm run -s plan --` does, on the compiled script. */
function run(file: unknown, ...flags: string[]): { out: string; err: string; code: number | null } {
  const path = join(folder, "hire.json");
  writeFileSync(path, typeof file === "string" ? file : JSON.stringify(file));
  const { stdout, stderr, status } = spawnSync(
    process.execPath,
    ["dist/scripts/plan.js", "--hire", path, ...flags],
    { cwd: projectFolder(), encoding: "utf8" },
  );
  return { out: stdout, err: stderr, code: status };
}

// Each run starts a process and reads the whole knowledge base.
describe("the plan command", { timeout: 120_000 }, () => {
  it("prints one element a rule and occurrence, with exactly the agreed fields", () => {
    const { out, err, code } = run(good);
    expect([err, code]).toEqual(["", 0]);
    const rows = JSON.parse(out);
    expect(rows.map((r: { rule: string; due: string }) => `${r.rule} ${r.due}`)).toEqual([
      "welcome 2026-06-03T10:00:00+01:00",
      "first-evening 2026-06-03T17:30:00+01:00",
      "return-24h 2026-06-04T16:00:00+01:00",
      "return-morning 2026-06-05T13:00:00+01:00",
      "late 2026-06-05T16:30:00+01:00",
    ]);
    for (const row of rows) {
      expect(Object.keys(row)).toEqual(["rule", "due", "title", "needsReply"]);
      expect(row.title).not.toMatch(/[{}]/);
    }
  });

  it("leaves out rows before --now and rows already sent", () => {
    const rules = (file: unknown, ...flags: string[]): string[] =>
      JSON.parse(run(file, ...flags).out).map((r: { rule: string }) => r.rule);
    expect(rules(good, "--now", "2026-06-04T15:00:00Z")).toEqual([
      "return-24h",
      "return-morning",
      "late",
    ]);
    expect(rules(good, "--now", "2026-06-04T15:00:01Z")).toEqual(["return-morning", "late"]);
    expect(
      rules({
        ...good,
        sent: [
          { rule: "welcome", due: "2026-06-03T10:00:00+01:00" },
          { rule: "late", due: "2026-06-05T16:30:00+01:00" },
        ],
      }),
    ).toEqual(["first-evening", "return-24h", "return-morning"]);
    expect(rules(good, "--now", "2027-01-01T00:00:00Z")).toEqual([]);
  });

  it("takes readings in all their forms, and the language", () => {
    const readings = [
      { at: "2026-06-03T10:00", odometerKm: 50_000, oil: "between", fluid: 0.5, fuel: 1 },
      { at: "2026-06-04T09:00:00+01:00", oil: "just above the min mark", fluid: "3/4" },
    ];
    expect(run({ ...good, lang: "en", readings }).code).toBe(0);
  });

  it("says in one line on the error stream what is wrong, where, and what would be right, and ends with 1", () => {
    const wrong: [unknown, RegExp][] = [
      ["{", /hire\.json: not JSON/],
      [[], /hire\.json: the file: \[\] is not right/],
      [
        { ...good, van: undefined },
        /hire\.json: van: missing; a registration such as "SX26 ABC" is needed/,
      ],
      [{ ...good, vanType: "curlw" }, /vanType: unknown "curlw"; "curlew" is the nearest of/],
      [{ ...good, region: "uk" }, /region: unknown "uk"; "gb" is the nearest of/],
      [
        { ...good, zone: "Europe/Londn" },
        /zone: unknown time zone "Europe\/Londn"; one such as "Europe\/London" is needed/,
      ],
      [{ ...good, pickup: "3 June" }, /pickup: "3 June" is no local time; one such as/],
      [{ ...good, pickup: "2026-06-03T10:00Z" }, /pickup: .* without an offset, is needed/],
      [
        { ...good, pickup: "2026-03-29T01:30" },
        /pickup: 01:30 does not exist on 2026-03-29 in Europe\/London: the clocks go forward; 02:30 would be right/,
      ],
      [{ ...good, return: "2026-06-01T10:00" }, /return: "2026-06-01T10:00" is not after pickup/],
      [{ ...good, return: "2046-06-01T10:00" }, /return: a hire of \d+ nights; at most/],
      [
        { ...good, return: undefined, retrun: "2026-06-05T10:00" },
        /retrun: unknown field; "return" is probably meant/,
      ],
      [
        { ...good, readings: [{ at: "2026-06-03T10:00", odometerKm: "many" }] },
        /readings\[0\]\.odometerKm: "many" is not right; kilometres/,
      ],
      [
        { ...good, readings: [{ at: "2026-06-03T10:00", oil: "wet" }] },
        /readings\[0\]\.oil: "wet" is no oil mark/,
      ],
      [
        { ...good, sent: [{ rule: "welcom", due: "2026-06-03T10:00:00+01:00" }] },
        /sent\[0\]\.rule: unknown "welcom"; "welcome"/,
      ],
      [
        { ...good, sent: [{ rule: "welcome", due: "today" }] },
        /sent\[0\]\.due: "today" is no local time/,
      ],
    ];
    for (const [file, message] of wrong) {
      const { out, err, code } = run(file);
      expect([out, code], err).toEqual(["", 1]);
      expect(err.trimEnd(), err).toMatch(message);
      expect(err.trimEnd().split("\n"), err).toHaveLength(1);
    }
  });

  it("says so when the file, the flag or the time of --now is wrong", () => {
    const plain = (...flags: string[]) =>
      spawnSync(process.execPath, ["dist/scripts/plan.js", ...flags], {
        cwd: projectFolder(),
        encoding: "utf8",
      });
    for (const [flags, message] of [
      [["--hire", join(folder, "none.json")], /cannot be read \(ENOENT\)/],
      [[], /--hire is missing/],
      [["--hores", "x"], /Unknown option '--hores'/],
    ] as const) {
      const { stderr, status } = plain(...flags);
      expect(status).toBe(1);
      expect(stderr).toMatch(message);
      expect(stderr.trimEnd().split("\n")).toHaveLength(1);
    }
    expect(run(good, "--now", "yesterday").err).toMatch(/--now: "yesterday" is no local time/);
  });

  it("writes the same rows as a calendar", () => {
    const { out, code } = run(good, "--ics", "--now", "2026-06-04T00:00:00Z");
    expect(code).toBe(0);
    const events = new ICAL.Component(ICAL.parse(out))
      .getAllSubcomponents("vevent")
      .map((v) => new ICAL.Event(v).summary);
    expect(events).toEqual(
      JSON.parse(run(good, "--now", "2026-06-04T00:00:00Z").out).map(
        (r: { title: string }) => r.title,
      ),
    );
    expect(out).toMatch(/^DTSTAMP:20260604T000000Z\r$/m);
  });
});
