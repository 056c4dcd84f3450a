import { describe, expect, it } from "vitest";
import { addAll, emptyIndex, find } from "../../src/knowledge/patterns.js";
import { readBook } from "../../src/knowledge/read.js";
import { readDanger } from "../../src/triage/danger.js";

const { book } = readBook();
const verdict = (text: string) => readDanger(text, book).verdict;

describe("signs of danger", () => {
  it.each([
    "THE VAN IS ON FIER",
    "there is smoke pouring out of the dash",
    "my husband isnt breathing",
    "she's passed out and won't wake up",
    "we smell gas in here",
    "gas leak in the camper please help",
    "the co alarm keeps going and we all have headaches",
    "we're stuck on the level crossing and the barriers are coming down",
    "broken down in the middle lane of the motorway",
    "tide is coming in and the van is stuck on the beach",
    "he got an electric shock off the hook up",
    "a man is trying to get into the van",
    "he has a knife",
    "my son's hand is trapped in the sliding door",
    "the baby is locked in the van and the keys are inside",
    "the dog is shut in the hot van",
    "we hit a low bridge with the roof",
    "chest pain down his left arm",
    "she's having a seizure",
    "he's choking",
    "the battery under the floor is smoking and popping",
    "so we were having a lovely day at the loch, and then out of nowhere my dad collapsed and now he is not moving",
  ])("are read in %j", (text) => {
    expect(verdict(text)).not.toBe("none");
  });
  it.each([
    "where is the fire extinguisher",
    "how do I use the fire blanket",
    "can we have a fire on the beach",
    "how do I fire up the heater",
    "the battery died",
    "what does the smoke alarm sound like",
    "is smoking allowed in the van",
    "my phone is dead",
    "I'm dying for a cup of tea",
    "the midges are eating us alive",
    "how do I bleed the heater",
    "what if I smell gas",
    "kill the lights",
    "nobody is hurt but I scratched the bumper",
    "smoke alarm chirps once a minute",
    "nearly had a heart attack when I saw the price",
    "two stroke oil",
    "where is the first aid box",
    "which road to the train station",
    "how high is the bridge",
    "the awning is upside down",
    "stuck in traffic, we will be late",
  ])("are not read in %j", (text) => {
    expect(verdict(text)).not.toBe("danger");
  });
  it("counts a question after the sign, not before it", () => {
    expect(verdict("how do I do CPR, he is not breathing")).toBe("danger");
    expect(verdict("what should I do if somebody is not breathing")).not.toBe("danger");
  });
  it("denies only what the denial stands before", () => {
    expect(verdict("there is no fire")).not.toBe("danger");
    expect(verdict("no signal here and the van is on fire")).toBe("danger");
  });
  it("reads tell-tale words of every language that the book has", () => {
    for (const [lang, dangers] of book.dangersIn)
      for (const [id, texts] of dangers) {
        const word = texts.words[0] ?? "";
        expect(readDanger(word, book).verdict, `${lang} ${id}: ${word}`).toBe("danger");
      }
  });
  it("tells a diesel van's hirer of smoke where another van's drive battery would smoke", () => {
    const van = book.vans.get("curlew");
    const electric = book.vans.get("plover");
    if (!van || !electric) throw new Error("the demo vans are missing");
    const text = "the high voltage battery pack is smoking";
    expect(readDanger(text, book, { van: electric }).id).toBe("hv-damage");
    expect(readDanger(text, book, { van }).id).not.toBe("hv-damage");
  });
});

describe("the pattern language", () => {
  const found = (pattern: string, text: string) => {
    const index = emptyIndex();
    addAll(index, "t", [pattern], { who: ["he", "my dad"] });
    return find(index, text.split(" ")).length > 0;
  };
  it.each([
    ["on fire", "it is on fire", true],
    ["on fire", "on the fire", false],
    ["burn* .. curtain", "burning is our curtain", true],
    ["a .. b", "a x x x b", true],
    ["a .. b", "a x x x x b", false],
    ["a .... b", "a 1 2 3 4 5 6 7 8 b", true],
    ["<who> fell", "my dad fell", true],
    ["<who> fell", "she fell", false],
    ["a b? c", "a c", true],
    ["a b|d c", "a d c", true],
  ])("%j in %j: %j", (pattern, text, wanted) => {
    expect(found(pattern, text)).toBe(wanted);
  });
  it("refuses a pattern with an unknown class or an optional head", () => {
    expect(() => found("<nobody> fell", "x")).toThrow("unknown class");
    expect(() => found("a? b", "x")).toThrow("must begin with a word");
  });
});
