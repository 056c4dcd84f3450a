import { describe, expect, it } from "vitest";
import { stem } from "../../src/matching/reading/stem.js";

// Pairs of the sample vocabulary at snowballstem.org/algorithms/english/stemmer.html.
const published: readonly (readonly [string, string])[] = [
  ["consign", "consign"],
  ["consigned", "consign"],
  ["consigning", "consign"],
  ["consignment", "consign"],
  ["consist", "consist"],
  ["consistency", "consist"],
  ["consistent", "consist"],
  ["consistently", "consist"],
  ["consolation", "consol"],
  ["consolations", "consol"],
  ["console", "consol"],
  ["consolidate", "consolid"],
  ["consolidating", "consolid"],
  ["conspicuous", "conspicu"],
  ["conspiracy", "conspiraci"],
  ["conspirators", "conspir"],
  ["constable", "constabl"],
  ["constancy", "constanc"],
  ["constant", "constant"],
  ["knack", "knack"],
  ["knackeries", "knackeri"],
  ["knacks", "knack"],
  ["knaves", "knave"],
  ["knavish", "knavish"],
  ["kneaded", "knead"],
  ["knee", "knee"],
  ["kneeling", "kneel"],
  ["knees", "knee"],
  ["knell", "knell"],
  ["knelt", "knelt"],
  ["knew", "knew"],
  ["knif", "knif"],
  ["knife", "knife"],
  ["knight", "knight"],
  ["knightly", "knight"],
  ["knightsbridge", "knightsbridg"],
  ["knit", "knit"],
  ["knits", "knit"],
  ["knitted", "knit"],
  ["knitting", "knit"],
  ["knives", "knive"],
  ["knob", "knob"],
  ["knock", "knock"],
  ["knocked", "knock"],
  ["knocker", "knocker"],
  ["knockers", "knocker"],
  ["knocking", "knock"],
  ["knot", "knot"],
  ["knots", "knot"],
];
// The exceptions that the same page lists.
const exceptions: readonly (readonly [string, string])[] = [
  ["skis", "ski"],
  ["skies", "sky"],
  ["dying", "die"],
  ["lying", "lie"],
  ["tying", "tie"],
  ["idly", "idl"],
  ["gently", "gentl"],
  ["ugly", "ugli"],
  ["early", "earli"],
  ["only", "onli"],
  ["singly", "singl"],
  ["news", "news"],
  ["inning", "inning"],
  ["succeed", "succeed"],
];

describe("the stemmer", () => {
  it.each(published)("stems %s to %s, as the published sample does", (word, wanted) => {
    expect(stem(word)).toBe(wanted);
  });
  it.each(exceptions)("keeps the published exception %s", (word, wanted) => {
    expect(stem(word)).toBe(wanted);
  });
  it.each([
    ["charging", "charged"],
    ["charges", "charged"],
    ["tyres", "tyre"],
    ["batteries", "battery"],
    ["leaking", "leaks"],
    ["stopped", "stopping"],
  ])("lets %s and %s meet", (a, b) => {
    expect(stem(a)).toBe(stem(b));
  });
  it("leaves words with digits and very short words alone", () => {
    expect(["12v", "a", "is"].map(stem)).toEqual(["12v", "a", "is"]);
  });
});
