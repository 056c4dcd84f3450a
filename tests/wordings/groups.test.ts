/** Grouping by likeness, what a wording changes, and the patch, on the real book. */
import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { after } from "../../src/calendar.js";
import { projectFolder, readBook } from "../../src/knowledge/read.js";
import { teach, unteach } from "../../src/matching/teach.js";
import type { LaneId } from "../../src/post.js";
import { nearest, vectorOf } from "../../src/wordings/alike.js";
import { changeOf, type Sample } from "../../src/wordings/changes.js";
import { groupsOf } from "../../src/wordings/groups.js";
import { leftOut, partOf, without } from "../../src/wordings/left-out.js";
import type { How, Missed } from "../../src/wordings/missed.js";
import { asPatch, asYaml } from "../../src/wordings/patch.js";
import { book, matcher } from "../kit/hire.js";
import { noon } from "../kit/small-house.js";

const message = (text: string, n: number, how: How = "person", chose?: string): Missed => ({
  lane: "hire:h1" as LaneId,
  n,
  at: after(noon, n),
  text,
  van: "curlew",
  how,
  ...(chose ? { chose } : {}),
});

describe("groups", () => {
  const texts = [
    "can i put glowsticks in the fridge",
    "where do the wellies dry",
    "glowsticks in the fridge ok?",
    "what about glowsticks in fridge freezer bit",
    "is there somewhere to dry wellies",
    "who won the football",
  ];
  it("put what is alike together, the most frequent first, whatever the order of the messages", () => {
    const groups = (all: readonly string[]) =>
      groupsOf(
        all.map((t, i) => message(t, i)),
        all.map((t) => vectorOf(matcher.index, t)),
      ).map((g) => g.members.map((m) => m.text).sort());
    const first = groups(texts);
    expect(first.slice(0, 2)).toEqual([
      [texts[0], texts[2], texts[3]].sort(),
      [texts[1], texts[4]].sort(),
    ]);
    expect(groups([...texts].reverse()).slice(0, 2)).toEqual(first.slice(0, 2));
  });
  it("count what became of their messages, and the entries that were chosen", () => {
    const all = [
      message("glowsticks fridge", 1, "chose", "fridge-use"),
      message("glowsticks fridge", 2, "chose", "fridge-use"),
      message("glowsticks fridge", 3, "chose", "rubbish"),
      message("glowsticks fridge", 4),
    ];
    const [group] = groupsOf(
      all,
      all.map((m) => vectorOf(matcher.index, m.text)),
    );
    expect(group?.chosen).toEqual([
      ["fridge-use", 2],
      ["rubbish", 1],
    ]);
    expect([...(group?.hows ?? [])]).toEqual([
      ["chose", 3],
      ["person", 1],
    ]);
  });
  it("nearest gives the likest first, and none without a word in common", () => {
    const vectors = texts.map((t) => vectorOf(matcher.index, t));
    const near = nearest(vectorOf(matcher.index, "dry the wellies"), vectors, 2);
    expect(near.map((i) => texts[i]).sort()).toEqual([texts[1], texts[4]].sort());
    expect(nearest(vectorOf(matcher.index, "zzyzx"), vectors, 5)).toEqual([]);
  });
});

describe("what a wording changes", () => {
  const wording = { entry: "first-aid", ask: "where did the flumsticks go" };
  const wiser = teach(matcher, wording);
  const on = (text: string, want?: string): Sample => ({
    text,
    van: "curlew",
    ...(want ? { want } : {}),
  });
  it("is told for the wording itself, and nothing for what reads as before", () => {
    expect(changeOf(matcher, wiser, on(wording.ask))?.after).toMatchObject({
      outcome: "answer",
      entries: ["first-aid"],
    });
    expect(changeOf(matcher, wiser, on("where is the jack"))).toBeUndefined();
  });
  it("is better where the wanted entry comes nearer, and worse the other way round", () => {
    const wanted = on(wording.ask, "first-aid");
    expect(changeOf(matcher, wiser, wanted)?.kind).toBe("better");
    expect(changeOf(wiser, matcher, wanted)?.kind).toBe("worse");
  });
  it("is unsafe where a danger is no longer met, whatever was wanted", () => {
    // Taught for "fire" and then taken back: the words alone are no danger.
    const alarmed = teach(matcher, { entry: "fire", ask: "the flumsticks do it again" });
    const sample = on("the flumsticks do it again");
    expect(changeOf(matcher, alarmed, sample)?.after.gravity).toBe(0);
    expect(changeOf(alarmed, matcher, sample)?.kind).toBe("unsafe");
    expect(changeOf(alarmed, matcher, { ...sample, want: "first-aid" })?.kind).toBe("unsafe");
  });
  it("many wordings are taken back in any order, and the matcher reads as trained", () => {
    const all = ["one zork", "two zork", "three zork"].map((ask) => ({ entry: "first-aid", ask }));
    const taught = all.reduce(teach, matcher);
    const bare = [...all].reverse().reduce(unteach, taught);
    for (const { ask } of all) {
      expect(changeOf(matcher, taught, on(ask))).toBeDefined();
      expect(changeOf(matcher, bare, on(ask))).toBeUndefined();
    }
  });
});

it("every ask falls into one part, and the book without it has all the others", () => {
  const asks = [...book.entries.values()].flatMap((e) => e.asks);
  const left = [...without(book).entries.values()].flatMap((e) => e.asks);
  expect(left).toEqual(asks.filter((a) => partOf(a) !== 0));
  const samples = leftOut(book);
  expect(samples.length).toBeGreaterThan(asks.length / 8);
  expect(samples.every((s) => partOf(s.text) === 0)).toBe(true);
});

describe("the patch", () => {
  const kept = [
    { entry: "first-aid", ask: 'where is the "first aid" box: in the back?' },
    { entry: "rubbish", ask: "# bin \\ bag" },
    { entry: "first-aid", ask: "plasters' home" },
  ];
  it("groups asks by entry", () => {
    expect(asYaml(kept)).toBe(
      'first-aid:\n  - "where is the \\"first aid\\" box: in the back?"\n  - "plasters\' home"\nrubbish:\n  - "# bin \\\\ bag"\n',
    );
  });
  it("is applied by git, and the book then has the asks", { timeout: 60_000 }, () => {
    const folder = mkdtempSync(join(tmpdir(), "passing-place-patch-"));
    try {
      cpSync(join(projectFolder(), "knowledge"), join(folder, "knowledge"), { recursive: true });
      writeFileSync(join(folder, "a.patch"), asPatch(kept, "knowledge/asks/desk-2026-06-03.yaml"));
      execFileSync("git", ["apply", "a.patch"], { cwd: folder });
      const { book: grown, problems } = readBook(join(folder, "knowledge"));
      expect(problems).toEqual([]);
      for (const { entry, ask } of kept) expect(grown.entries.get(entry)?.asks).toContain(ask);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
