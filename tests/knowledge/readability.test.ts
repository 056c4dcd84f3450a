import { describe, expect, it } from "vitest";
import { grade, readability, syllables } from "../../src/knowledge/checks/readability.js";
import { readBook } from "../../src/knowledge/read.js";

describe("the reading grade", () => {
  it("is that of two sentences whose grade is published", () => {
    // Kincaid et al. 1975: 0.39 × words/sentences + 11.8 × syllables/words − 15.59. The encyclopaedia's worked examples:
    // 6 words of one syllable, 0.39 × 6 + 11.8 − 15.59 = −1.45; 13 words and 24 syllables, 11.3.
    expect(grade(["The cat sat on the mat."])).toBeCloseTo(-1.45, 10);
    expect(
      grade(["The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."]),
    ).toBeCloseTo(0.39 * 13 + (11.8 * 24) / 13 - 15.59, 10);
  });
  it("counts syllables as they are spoken in the words of a van", () => {
    for (const [word, spoken] of [
      ["gas", 1],
      ["stove", 1],
      ["battery", 3],
      ["handbrake", 2],
      ["table", 2],
      ["kettle", 2],
      ["cartridge", 2],
      ["diesel", 2],
      ["electrician", 4],
      ["the", 1],
    ] as const)
      expect(syllables(word), word).toBe(spoken);
  });
  it("takes a line as a sentence, a decimal point as no end, and a number as no word", () => {
    expect(grade(["Stop here", "Stop here"])).toBeCloseTo(grade(["Stop here. Stop here."]), 10);
    expect(grade(["Tread 1.6 mm deep"])).toBeCloseTo(grade(["Tread mm deep"]), 10);
    expect(grade(["01632 960100"])).toBe(0);
  });
  it("rises with longer sentences and with longer words", () => {
    expect(grade(["Turn it off, go out and ring us."])).toBeGreaterThan(
      grade(["Turn it off. Go out. Ring us."]),
    );
    expect(grade(["Deactivate the appliance."])).toBeGreaterThan(grade(["Switch it off."]));
  });
});

describe("the knowledge base", () => {
  it("reads on the whole as a text for twelve-year-olds, and so does its hardest entry", () => {
    const { mean, hardest } = readability(readBook().book);
    expect(mean).toBeGreaterThan(0);
    expect(mean).toBeLessThanOrEqual(7);
    expect(hardest).toHaveLength(5);
    for (const entry of hardest) expect(entry.grade, entry.id).toBeLessThanOrEqual(7);
  });
});
