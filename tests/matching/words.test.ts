import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { asks, pieces, withoutLead } from "../../src/matching/reading/parts.js";
import { sentences, words } from "../../src/matching/words.js";

describe("words of a message", () => {
  it.each([
    ["It WON'T start", ["it", "will", "not", "start"]],
    ["can’t find the café", ["can", "not", "find", "the", "cafe"]],
    ["12v socket, 230V", ["12", "v", "socket", "230", "v"]],
    ["heeeeelp", ["heelp"]],
    ["🔥 in the van", ["fire", "in", "the", "van"]],
    ["Straße", ["strasse"]],
    ["were is teh jack", ["where", "is", "the", "jack"]],
    ["hwo do i fill adn empty it", ["how", "do", "i", "fill", "and", "empty", "it"]],
    ["gas smel, it smels", ["gas", "smell", "it", "smells"]],
    ["we were in Wick", ["we", "were", "in", "wick"]],
  ])("reads %j", (text, wanted) => {
    expect(words(text)).toEqual(wanted);
  });
  it("never throws, whatever the script", () => {
    fc.assert(
      fc.property(
        fc.string({ unit: "grapheme", maxLength: 300 }),
        (text) =>
          Array.isArray(words(text)) &&
          Array.isArray(sentences(text)) &&
          Array.isArray(pieces(text)),
      ),
    );
  });
});

describe("pieces of a message", () => {
  it("parts two questions", () => {
    expect(pieces("Hi, how do I empty the toilet and where is the first aid kit?")).toEqual([
      "how do I empty the toilet",
      "where is the first aid kit?",
    ]);
  });
  it("parts them where they are joined in haste", () => {
    expect(pieces("what fuel does it take n where is the filler")).toHaveLength(2);
  });
  it("leaves one question whole", () => {
    expect(pieces("how do I turn the gas on and off")).toHaveLength(1);
  });
  it("drops greetings at the head, but not a message that is only a greeting", () => {
    expect(withoutLead("Hello there, quick question: where is the jack")).toBe("where is the jack");
    expect(withoutLead("hello")).toBe("hello");
  });
  it("tells what is asked from what is told", () => {
    expect(asks("where is the jack")).toBe(true);
    expect(asks("we drove up from Glasgow this morning")).toBe(false);
  });
});
