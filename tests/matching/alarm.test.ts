import { describe, expect, it } from "vitest";
import { lexicon, read } from "../../src/matching/reading/lexicon.js";
import { alarmOf, learnAlarm } from "../../src/matching/scoring/alarm.js";
import { analyserFor, words } from "../../src/matching/words.js";

const dangers = ["there is smoke in the van", "smoke comes from the fridge", "smell of gas inside"];
const calm = [
  "there is no smoke in the van",
  "no smell of gas",
  "the fridge hums",
  "no smoke at all",
];
// Three times each: what is seen more rarely teaches nothing.
const texts = [...dangers, ...calm].flatMap((t) => [t, t, t]);
const lex = lexicon({
  analyser: analyserFor("en"),
  asks: texts.map(words),
  meanings: [],
  common: new Set(),
});
const alarm = learnAlarm(
  texts.map((t) => read(lex, t, false)),
  Int32Array.from(texts, (t) => (dangers.includes(t) ? 1 : 0)),
);
const heard = (text: string) => alarmOf(alarm, read(lex, text));

describe("the alarm", () => {
  it("tells a danger from the same thing denied, in words it was not taught", () => {
    expect(heard("smoke behind the fridge")).toBeGreaterThan(0);
    expect(heard("no smoke behind the fridge")).toBeLessThan(heard("smoke behind the fridge"));
    expect(heard("no smoke in there")).toBeLessThan(0);
  });
  it("says the same again for the same lessons", () => {
    const again = learnAlarm(
      texts.map((t) => read(lex, t, false)),
      Int32Array.from(texts, (t) => (dangers.includes(t) ? 1 : 0)),
    );
    expect(again.model.weights).toEqual(alarm.model.weights);
  });
});
