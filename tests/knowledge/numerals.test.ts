import { describe, expect, it } from "vitest";
import { digits } from "../../src/knowledge/measures/numerals.js";
import { arrivalIn } from "../../src/reminders/arrival.js";
import { plain, quantities } from "../../src/sums/words/quantities.js";

describe("number words", () => {
  it.each([
    ["two amps", "2 amps"],
    ["twenty-five miles, ninety", "25 miles, 90"],
    ["ten thirty", "10 30"],
    ["two hundred and twenty grams", "220 grams"],
    ["a hundred watts", "100 watts"],
    ["one 220 g canister", "one 220 g canister"],
    ["two and a half hours", "2.5 hours"],
    ["three quarters and two thirds, a third", "three quarters and two thirds, a third"],
    ["someone often weighs a tent", "someone often weighs a tent"],
  ])("%s: %s", (words, figures) => {
    expect(digits(words)).toBe(figures);
  });

  it("mean the same in an arrival and in a quantity", () => {
    expect(arrivalIn("at twenty-five to three")).toEqual({ clock: "14:35" });
    expect(arrivalIn("in an hour and a half")).toEqual({ inMin: 90 });
    expect(arrivalIn("eleven fifteen")).toEqual({ clock: "11:15" });
    expect(quantities(plain("a hundred and twenty watts")).map((q) => q.value)).toEqual([120]);
  });
});
