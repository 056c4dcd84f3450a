/** Asking for a person, in many mouths: heard whenever it is asked, and never where a person is only spoken of. */
import { describe, expect, it } from "vitest";
import { asksForPerson, asksHelp, saysUrgent } from "../../src/hires/heard/person.js";
import { openBook } from "../../src/knowledge/read.js";
import { hireWith, type Play } from "../kit/hire.js";

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
    "can I have a human on the phone",
    "I'd like to have a real person",
    "pass me to a human",
    "put a real person on",
    "when can you ring me?",
    "if you can, ring me back",
    "I need you to ring me",
    "will you please call us",
    "maybe somebody could ring us",
    "I want someone to ring me back",
    "hi, ring me back when you can",
    "urgent can you call me",
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
    "no need to ring me back, all fine now",
    "no need for you to ring me back",
    "please don't call me back",
    "you don't need to call us",
    "I don't want you to call me",
    "do I need to call us",
    "the AA will call me back",
    "the mechanic says he'll ring me back",
    "roadside will call me back in ten minutes",
    "they said they would call us back",
    "the recovery said they will ring us",
    "the garage want to ring us",
    "we have to talk to the campsite staff",
    "we have a person sleeping in the front",
    "can we have a person on the back seat",
    "can we pass the van to another person",
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

describe("needing help", () => {
  it.each([
    "we need help",
    "ok we need help",
    "urgent need help",
    "no we need you here",
    "nobody came, we need someone",
    "please come if you can, we need help",
    "I think we need help",
  ])("%s: is told", (words) => expect(asksHelp(words)).toBe(true));
  it.each([
    "we don't need help",
    "ok, we no longer need help",
    "we do not really need help any more",
    "I don't think we need help",
    "no need for help, all is well",
    "Yes, all good, we will shout if we need you",
    "Fine, will ring if we need help",
    "will write when we need someone",
  ])("%s: is not", (words) => expect(asksHelp(words)).toBe(false));
});

describe("not waiting for the morning", () => {
  it.each([
    "it can't wait",
    "it cannot wait!!",
    "no, we can't wait",
    "we can't wait until the morning",
    "cant wait that long",
    "Is anyone there? it can't wait",
    "how long? it can't wait",
    "is somebody coming, we need help now",
    "we need it now",
    "urgent need help",
    "van not starting urgent",
    "this is urgent",
    "please come now",
    "can you come tonight",
    "it won't start, come at once",
    "we changed our minds",
  ])("%s: is said", (words) => expect(saysUrgent(words)).toBe(true));
  it.each([
    "don't come tonight, tomorrow is fine",
    "no need to come tonight",
    "nobody needs to come tonight",
    "you don't have to come tonight",
    "will you come tonight or tomorrow",
    "we'll come now",
    "we don't need help tonight",
    "we won't need it tonight",
    "if we need you tonight we ring",
    "I don't think it's urgent",
    "it wasn't urgent",
    "not very urgent",
    "non-urgent question",
    "is it urgent",
    "is the amber light urgent",
    "if it gets urgent we ring you",
    "it can wait, not urgent",
    "can't wait to see the Fairy Pools tomorrow",
    "can't wait for our trip",
    "We can't wait!",
    "can't wait till we get to Skye",
  ])("%s: is not", (words) => expect(saysUrgent(words)).toBe(false));
});

describe("a voice message with nothing open", () => {
  const sends = (play: Play, what = "voice message") =>
    play.arrives({
      kind: "unreadable",
      from: { person: "p1", via: { channel: "web", to: "p1" } },
      ...{ what, file: { id: "A".repeat(22), kind: "audio/ogg" } },
    });
  const waiting = (play: Play) => play.dues().filter((d) => d.key.startsWith("unread"));

  it("goes to a person where no words come in ten minutes, once", () => {
    const play = sends(sends(hireWith("curlew")));
    expect(play.hirer()).toEqual([expect.stringContaining("I put it to our staff in ten minutes")]);
    const { at } = play;
    play.until(() => play.callouts().length > 0);
    expect((play.at - at) / 60_000).toBe(10);
    expect(play.callouts()).toMatchObject([{ kind: "person", words: "(voice message)" }]);
    expect(play.duty()).toMatchObject([{ contact: "morag" }]);
    expect(play.hirer().join()).toContain("I have alerted the duty person.");
    expect(waiting(play)).toEqual([]);
  });
  it("at night waits for the morning, unless they say that it cannot", () => {
    const play = sends(hireWith("curlew", { at: "2026-06-03T23:30+01:00" }));
    expect(play.hirer().join()).not.toContain("ten minutes");
    play.until(() => play.callouts().length > 0).taps("It cannot wait");
    expect(play.duty()).not.toEqual([]);
  });
  it("does not where words come, nor where it tells nothing, nor where staff have it with what is open", () => {
    expect(waiting(sends(hireWith("curlew")).says("how do I make the bed"))).toEqual([]);
    expect(waiting(sends(hireWith("curlew"), "sticker"))).toEqual([]);
    const open = sends(hireWith("curlew").says("red oil can light came on"));
    expect([waiting(open), open.duty().map((d) => d.text)]).toEqual([
      [],
      [expect.stringContaining("(voice message)")],
    ]);
  });
});
