/** Asking for a person, in many mouths: heard whenever it is asked, and never where a person is only spoken of. */
import { describe, expect, it } from "vitest";
import { asksForPerson } from "../../src/hires/heard/person.js";
import { openBook } from "../../src/knowledge/read.js";
import { hireWith } from "../kit/hire.js";

describe("asking for a person", () => {
  it.each([
    "person",
    "PERSON!!",
    "a human please",
    "human pls",
    "staff please, a real person",
    "I want a person",
    "i need to speak with somebody",
    "speek to human",
    "can i get a real person",
    "no bot, give me a human",
    "put me on to a real person",
    "stop giving me canned replies and put somebody on",
    "how do I get a human",
    "Kindly connect me to a representative",
    "is there a human i can talk to",
    "Is there a real soul anywhere in that office who could talk to me?",
    "can someone call me",
    "could you ring me please",
    "phone me back",
    "call me asap",
    "ich möchte mit einem Menschen sprechen",
    "Mitarbeiter bitte",
    "quiero hablar con una persona",
    "ik wil iemand spreken",
    "chcę rozmawiać z człowiekiem",
  ])("%s: is heard", (words) => expect(asksForPerson(words)).toBe(true));

  it.each([
    "are you a robot or a person",
    "am I talking to a machine",
    "do we need a person outside to guide us back",
    "how many persons can it sleep",
    "can I have another person drive",
    "is it 20 pounds per person",
    "can you ring me a taxi",
    "I want to sit at a table like a human being",
    "cant talk. someone in the front cab. not us",
    "who do we call if the van breaks down",
    "can we call them to book a pitch",
    "could I have a proper one",
  ])("%s: is something else", (words) => expect(asksForPerson(words)).toBe(false));

  it.each(["please ring me", "I want to talk to somebody, it is still on"])(
    "%s: chooses no option of the check that is on the screen",
    (words) => {
      const play = hireWith("wren").says("the ABS light is on, amber");
      expect(play.hire().talks["p1"]?.asking?.steps[0]).toBe("check");
      play.says(words);
      expect(play.hire().talks["p1"]?.asking).toMatchObject({ steps: ["check"], path: [] });
      expect(play.callouts()[0]).toMatchObject({ matter: "abs", severity: "soon" });
    },
  );

  it("is in hardly any of the wordings of other entries", () => {
    // Who asks for a call in a threat or a complaint, or how to reach the firm, may well be alerted for.
    const near = ["bot-help", "contact-us", "complaint", "threat"];
    const others = [...openBook().entries].filter(([id]) => !near.includes(id));
    const asks = others.flatMap(([, entry]) => entry.asks);
    const heard = asks.filter(asksForPerson);
    expect(asks.length).toBeGreaterThan(40_000);
    expect(heard.length, heard.join("\n")).toBeLessThan(5);
  });
});
