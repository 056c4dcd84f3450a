import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { correct, edits, speller } from "../../src/matching/reading/speller.js";

const vocabulary = new Map([
  ["awning", 40],
  ["brake", 30],
  ["battery", 50],
  ["exhaust", 12],
  ["fridge", 20],
  ["hook", 20],
  ["windscreen", 9],
  ["toilet", 15],
]);

/** Plain optimal string alignment with unit costs, written out as the textbook has it. */
function naive(a: string, b: string): number {
  const d = Array.from({ length: a.length + 1 }, (_, i) =>
    Array.from({ length: b.length + 1 }, (_, j) => (i === 0 ? j : j === 0 ? i : 0)),
  );
  const at = (i: number, j: number) => d[i]?.[j] ?? 0;
  for (let i = 1; i <= a.length; i++)
    for (let j = 1; j <= b.length; j++) {
      let least = Math.min(
        at(i - 1, j) + 1,
        at(i, j - 1) + 1,
        at(i - 1, j - 1) + (a[i - 1] === b[j - 1] ? 0 : 1),
      );
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        least = Math.min(least, at(i - 2, j - 2) + 1);
      const row = d[i];
      if (row) row[j] = least;
    }
  return at(a.length, b.length);
}

describe("the speller", () => {
  it.each([
    ["awnign", "awning"],
    ["batery", "battery"],
    ["exaust", "exhaust"],
    ["frigde", "fridge"],
    ["windcsreen", "windscreen"],
    ["toiket", "toilet"],
    ["braek", "brake"],
  ])("takes %s for %s", (typed, meant) => {
    expect(correct(speller(vocabulary), typed)).toBe(meant);
  });
  it("never touches words of three letters: a hob is no job", () => {
    expect(
      correct(
        speller(
          new Map([
            ["job", 9],
            ["hob", 1],
          ]),
        ),
        "hab",
      ),
    ).toBeNull();
  });
  it.each([
    ["abeg", "abs"],
    ["nigel", "niggle"],
    ["robert", "robbery"],
    ["derek", "deer"],
    ["netflix", "nettles"],
  ])("leaves %s, which is no %s, as it is", (typed, known) => {
    expect(correct(speller(new Map([[known, 99]])), typed)).toBeNull();
  });
  it("takes a letter left out for likelier than a neighbouring key, where the word is used far more", () => {
    const words = new Map([
      ["light", 859],
      ["lift", 116],
    ]);
    expect(correct(speller(words), "ligt")).toBe("light");
  });
  it("finds nothing for a word that resembles none", () => {
    expect(correct(speller(vocabulary), "xylophone")).toBeNull();
  });
  it("gives the same correction from its memory as at first", () => {
    const s = speller(vocabulary);
    expect(correct(s, "awnign")).toBe(correct(s, "awnign"));
    expect(s.cache.size).toBe(1);
  });
  it("weighs no word further away than the naive distance with its dearest edit, nor nearer than with its cheapest", () => {
    const word = fc.stringMatching(/^[a-e]{1,7}$/);
    fc.assert(
      fc.property(word, word, (a, b) => {
        const steps = naive(a, b);
        const weighed = edits(a, b, 99);
        expect(weighed).toBeLessThanOrEqual(steps * 1.3 + 1e-9);
        expect(weighed).toBeGreaterThanOrEqual(steps * 0.5 - 1e-9);
      }),
    );
  });
});
