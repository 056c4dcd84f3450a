import { describe, expect, it } from "vitest";
import { lexicon, read } from "../../src/matching/reading/lexicon.js";
import { slipsIn } from "../../src/matching/reading/slips.js";
import { analyserFor, words } from "../../src/matching/words.js";

const none = () => false;
const analyser = analyserFor("en");

describe("misspelt words among the asks", () => {
  it("are what is rare and one slip away from a word that is written often", () => {
    const seen = new Map([
      ["light", 900],
      ["lihgt", 3],
      ["ligt", 40],
      ["lights", 30],
      ["fight", 2],
      ["lgihts", 1],
      ["12vlight", 1],
      ["lit", 5],
      ["gas", 700],
      ["gass", 4],
      ["gast", 1],
    ]);
    expect(slipsIn(seen, analyser, none)).toEqual(
      new Map([
        ["lihgt", "light"],
        ["ligt", "light"],
        ["lgihts", "lights"],
        ["gass", "gas"],
      ]),
    );
  });
  it("are not words of our own texts, of the meanings, nor such as are listed", () => {
    const seen = new Map([
      ["stove", 500],
      ["steve", 2],
    ]);
    expect(slipsIn(seen, analyser, (word) => word === "steve").size).toBe(0);
    const asks = [...Array<string>(40).fill("light the stove"), "steve lihgts the stov"].map(words);
    const how = { analyser, asks, common: new Set<string>() };
    expect([...lexicon({ ...how, meanings: [] }).slips.keys()]).toEqual(["steve", "stov"]);
    const more = { meanings: [{ name: "steve", forms: ["our steve"] }], texts: [["stov"]] };
    expect(lexicon({ ...how, ...more }).slips.size).toBe(0);
    const listed = lexicon({ ...how, meanings: [], real: new Set(["steve"]) });
    expect([...listed.slips]).toEqual([["stov", "stove"]]);
  });
  it("are read as what is meant, in asks and in messages, and told as typed", () => {
    const asks = [...Array<string>(40).fill("the stove is on"), "stov on"].map(words);
    const lex = lexicon({ analyser, asks, meanings: [], common: new Set() });
    for (const spell of [true, false])
      expect(read(lex, "stov", spell).tokens).toEqual([
        { typed: "stov", word: "stove", stem: analyser.stem("stove") },
      ]);
    expect(lex.speller.list).not.toContain("stov");
    expect(lex.speller.counts[lex.speller.list.indexOf("stove")]).toBe(41);
  });
});
