import { describe, expect, it } from "vitest";
import { forbiddenIn } from "../../src/knowledge/forbidden.js";
import { fill, named, placeholders } from "../../src/knowledge/placeholders.js";
import { readBook } from "../../src/knowledge/read.js";
import { wants } from "../../src/knowledge/schema.js";
import { wordsFor } from "../../src/reminders/plan.js";

const { book, problems } = readBook();
const file = book.reminders;
const places = [...book.vans.values()].flatMap((van) =>
  [...book.regions.values()].flatMap((region) =>
    Object.keys(region.nations).map((nation) => ({
      van,
      values: placeholders(van, region, nation, book.firm),
    })),
  ),
);
/** Every rule as each van that it reaches hears it, in every nation. */
const told = Object.entries(file.rules).flatMap(([id, rule]) =>
  places
    .filter(({ van }) => !rule.only.features || rule.only.features.some((f) => van.has.includes(f)))
    .map(({ van, values }) => ({ id, van: van.id, rule, values, ...wordsFor(rule, van.has) })),
);

describe("the reminders file", () => {
  it("has no problems, and the rules of the table in its order", () => {
    expect(problems.filter((p) => p.file === "reminders.yaml")).toEqual([]);
    expect(Object.keys(file.rules)).toEqual([
      "welcome",
      "first-evening",
      "first-check",
      "oil-check",
      "tyre-check",
      "water-gas-waste",
      "exhaust-fluid",
      "return-48h",
      "return-24h",
      "return-morning",
      "clock-change",
      "frost",
      "late",
      "after",
    ]);
  });

  it("asks for a reply exactly where the table does, and then says what the reply carries", () => {
    const asks = Object.entries(file.rules)
      .filter(([, rule]) => rule.needsReply)
      .map(([id]) => id);
    expect(asks).toEqual([
      "welcome",
      "first-check",
      "oil-check",
      "tyre-check",
      "exhaust-fluid",
      "return-24h",
      "late",
    ]);
    for (const { id, rule, wants: carried } of told)
      expect(carried.length > 0, id).toBe(rule.needsReply);
  });

  it("asks engine vans for the oil mark, and an electric van never", () => {
    for (const { id, van, wants: carried } of told)
      if (carried.includes("oil"))
        expect(book.vans.get(van)?.has, `${id} ${van}`).toContain("engine");
    expect(told.find((t) => t.id === "first-check" && t.van === "plover")?.wants).toEqual([
      "tyres",
    ]);
  });
});

describe("a reminder's text", () => {
  it("has every placeholder filled for every van that it reaches, in every nation", () => {
    for (const { id, van, title, text, values } of told)
      for (const name of [...named(title), ...named(text)])
        expect(values.has(name), `${id} for ${van}: {${name}}`).toBe(true);
    for (const { values } of places)
      for (const want of wants)
        for (const name of named(file.replies[want].name))
          expect(values.has(name), `${want}: {${name}}`).toBe(true);
  });

  it("promises nothing and never calls anything safe", () => {
    const all = [
      ...told.map((t) => `${t.title}\n${t.text}`),
      ...Object.values(file.doubts),
      ...Object.values(file.replies).map((r) => r.name),
    ];
    for (const text of all) {
      expect(forbiddenIn(text), text).toEqual([]);
      expect(text).not.toMatch(/\bsafe(ly)?\b|\bguarantee|\bpromise|\binsured\b|\bcovered\b/i);
    }
  });

  it("fits a phone screen, and three joined ones fit one message of a channel", () => {
    for (const { id, van, title, text, values } of told) {
      const whole = fill(`${title}\n${text}`, values);
      expect(whole.length, `${id} for ${van}`).toBeLessThanOrEqual(700);
      expect(title.length, id).toBeLessThanOrEqual(45);
    }
    // Telegram Bot API, sendMessage: 1 to 4,096 characters.
    const longest = [...new Set(told.map((t) => t.id))].map((id) =>
      Math.max(
        ...told
          .filter((t) => t.id === id)
          .map((t) => fill(`${t.title}\n${t.text}`, t.values).length),
      ),
    );
    expect(
      longest
        .sort((a, b) => b - a)
        .slice(0, 5)
        .reduce((sum, n) => sum + n, 0),
    ).toBeLessThan(4096);
  });

  it("says how to answer, or that no answer is needed", () => {
    for (const { id, rule, text } of told)
      expect(text, id).toMatch(rule.needsReply ? /tap|write/i : /No answer needed/);
  });

  it("names a danger's number and the firm's in the welcome, before anything else", () => {
    for (const { values, text } of told.filter((t) => t.id === "welcome"))
      expect(fill(text, values).split("\n")[1]).toContain(
        `${values.get("region.emergency")} first`,
      );
  });
});
