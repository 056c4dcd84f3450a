import { describe, expect, it } from "vitest";
import { checkOf, optionIn } from "../../src/triage/check.js";
import { book } from "../kit/hire.js";

/** The label that words choose at the first question of an entry's check. */
function chosen(entry: string, words: string, strictly = false): string | undefined {
  const check = checkOf(book.entries.get(entry));
  if (!check) throw new Error(`${entry} has no check`);
  return check.options[optionIn(check, words, strictly) ?? -1]?.say;
}

describe("words that answer a guided check", () => {
  it.each([
    ["engine-steady", "it is steady", "Steady"],
    ["engine-steady", "looks solid to me", "Steady"],
    ["engine-steady", "blinking", "It flashes"],
    ["unknown-light", "orange", "Amber, yellow or orange"],
    ["unknown-light", "yellowish, flashing", "It flashes, or there are several"],
    ["coolant-hot", "lots of steam coming out", "Steam, or liquid running out"],
    ["tyre-pressure-light", "the front left is flat", "One is flat, low or much warmer"],
    ["oil-level", "between the two marks", "Between the two marks"],
    ["oil-level", "below the lower mark", "At or below the lower mark, or dry"],
    ["brake-pads", "a horrible grinding", "Grinding or scraping"],
    ["unknown-beep", "4", "From the dash or parking aid, all well"],
  ])("%s: “%s” is “%s”", (entry, words, label) => expect(chosen(entry, words)).toBe(label));
  it.each([
    // What clears a van is said in full, and nothing that denies is guessed at.
    ["tyre-pressure-light", "they look a bit low or full I guess, not sure"],
    ["tyre-pressure-light", "all good"],
    ["engine-steady", "it is not steady"],
    ["brake-pads", "unusual noise"],
    ["oil-level", "where is the dipstick"],
    ["flat-tyre", "on a country road"],
  ])("%s: “%s” chooses nothing", (entry, words) => expect(chosen(entry, words)).toBeUndefined());
  it.each([
    ["collision", "no, all are well", "No, all are well"],
    ["collision", "No but we're in the traffic", "No, but we are in the traffic"],
    ["collision", "yes", "Yes, or I am not sure"],
    ["out-of-fuel", "yes it runs again", "Yes, and it runs again"],
    ["out-of-fuel", "no", "No"],
    ["hv-battery", "nope", "No, nothing"],
    ["water-leak-inside", "Yes, near the electrics", "Yes, and near electrics"],
  ])("%s: where labels begin alike, “%s” is “%s” by what sets it apart", (entry, words, label) =>
    expect(chosen(entry, words)).toBe(label),
  );
  it.each([
    ["collision", "no"],
    ["collision", "No."],
    ["collision", "no, all ok"],
    ["collision", "no one is hurt"],
    ["out-of-fuel", "yes"],
    ["out-of-fuel", "yes, still nothing"],
    ["out-of-fuel", "yes but it will not run again"],
    ["exhaust-fluid-no-restart", "no"],
    ["exhaust-fluid-no-restart", "no it starts not"],
    ["water-leak-inside", "yes"],
    ["theft-break-in", "no"],
    ["out-of-charge", "it does not"],
    ["stuck-in-mud", "not sure"],
    ["stuck-in-mud", "no idea"],
  ])("%s: “%s” chooses none of the labels that begin so", (entry, words) =>
    expect(chosen(entry, words)).toBeUndefined(),
  );
  it.each([
    ["hv-battery", "not sure", "Yes, or I am not sure"],
    ["low-charge", "I don't know", "No, or I don't know"],
    ["oil-pressure", "can't tell", undefined],
    ["unknown-light", "no idea, sorry", "I can't tell"],
  ])("%s: who is not sure (“%s”) has said “%s”", (entry, words, label) =>
    expect(chosen(entry, words)).toBe(label),
  );
  it("are for whoever has the matter once somebody has it, unless they name an option", () => {
    expect(chosen("oil-pressure", "yes a small puddle", true)).toBeUndefined();
    expect(chosen("oil-pressure", "Nothing", true)).toBe("Nothing");
  });
});
