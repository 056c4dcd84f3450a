/** The floor under matching and triage: floor.json may only be tightened. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { type Line, quality } from "../../scripts/evaluation/figures.js";
import { judge } from "../../scripts/evaluation/judge.js";
import { readMessages } from "../../scripts/evaluation/messages.js";
import { projectFolder, readBook } from "../../src/knowledge/read.js";
import { build } from "../../src/matching/matcher.js";

const folder = join(projectFolder(), "tests/evaluation");
type Floor = Record<"atLeast" | "atMost" | "unseenAtMost", Record<string, number>>;
const floor = JSON.parse(readFileSync(join(folder, "floor.json"), "utf8")) as Floor;
const samples = readMessages(folder);
const unseen = readMessages(folder, "unseen");
let own: Line[] = [];
let ofUnseen: Line[] = [];

beforeAll(() => {
  const { book } = readBook();
  const matcher = build(book);
  own = quality(samples.map((s) => judge(matcher, s)));
  ofUnseen = quality(unseen.map((s) => judge(matcher, s)));
}, 600_000);

function lineOf(lines: readonly Line[], name: string): Line {
  const line = lines.find((l) => l.name === name);
  if (!line) throw new Error(`no figure "${name}"`);
  return line;
}

/** A figure of all messages in percent, printed so that CI shows it. */
function figure(name: string): number {
  const line = lineOf(own, name);
  const percent = (100 * line.share.right) / line.share.of;
  console.log(`${name}: ${percent.toFixed(1)} % of ${line.share.of}`);
  return percent;
}

describe("the project's own messages", () => {
  it("are many, and three in ten of them are the final test", () => {
    expect(samples.length).toBeGreaterThanOrEqual(1200);
    const share = samples.filter((s) => s.final).length / samples.length;
    expect(share).toBeGreaterThan(0.25);
    expect(share).toBeLessThan(0.35);
  });
  it("have ids of their own and wanted entries that exist", () => {
    const { book } = readBook();
    const all = [...samples, ...unseen];
    expect(new Set(all.map((s) => s.id)).size).toBe(all.length);
    const unknown = all.flatMap((s) =>
      s.want.filter((id) => !book.entries.has(id)).map((id) => `${s.id}: ${id}`),
    );
    expect(unknown).toEqual([]);
  });
  it.each(Object.entries(floor.atLeast))("keep %s at %d percent or more", (name, least) => {
    expect(figure(name)).toBeGreaterThanOrEqual(least);
  });
  it.each(Object.entries(floor.atMost))("keep %s at %d percent or less", (name, most) => {
    expect(figure(name)).toBeLessThanOrEqual(most);
  });
});

describe("the messages of later writers", () => {
  it("are enough of each sort for the counts to mean something", () => {
    const of = (name: string) => lineOf(ofUnseen, name).share.of;
    expect(of("dangers missed")).toBeGreaterThanOrEqual(900);
    expect(of("false alarms on decoys")).toBeGreaterThanOrEqual(970);
    expect(of("severity understated")).toBeGreaterThanOrEqual(290);
  });
  it.each(Object.entries(floor.unseenAtMost))("keep %s at %d of all or fewer", (name, most) => {
    const { right, of } = lineOf(ofUnseen, name).share;
    console.log(`unseen, ${name}: ${right} of ${of}`);
    expect(right).toBeLessThanOrEqual(most);
  });
});
