/** Words and buttons that could answer several things: which of them they are taken for. */
import { describe, expect, it } from "vitest";
import { after, instantOf } from "../../src/calendar.js";
import { safetyOf } from "../../src/place/read.js";
import { hireWith, type Play, texts, toStaff } from "../kit/hire.js";

const odd = "it smells odd in here, not sure if it's burning";
const last = (play: Play) => play.hirer().at(-1) ?? "";
const first = (play: Play) => play.callouts()[0];
/** Lets what is due happen until the hirer is asked whether they are all right. */
function untilAsked(play: Play): Play {
  for (let i = 0; i < 9 && !last(play).includes("Are you all right?"); i++) play.nextDue();
  expect(last(play)).toContain("Are you all right?");
  return play;
}

describe("a yes to waiting for the morning", () => {
  const atNight = () =>
    hireWith("wren", { at: "2026-06-03T23:10+01:00" })
      .says("flat tyre, we cannot drive")
      .taps("place:safe:1")
      .taps("need:none:1");
  it("puts the matter off while it is night", () => {
    const play = atNight().taps("night:yes:1");
    expect(first(play)?.waitsUntil).toBeDefined();
  });
  it.each(["tap", "words"])("by day changes nothing, and says how it stands (%s)", (how) => {
    const play = atNight().pass(8 * 60);
    if (how === "tap") play.taps("night:yes:1");
    else play.says("yes");
    expect(first(play)?.waitsUntil).toBeUndefined();
    expect(play.duty().filter((d) => d.text.includes("waits for the morning"))).toEqual([]);
    expect(last(play)).not.toContain("Good. At");
  });
});

describe("the word that answers 'are you all right?'", () => {
  const stopped = () => hireWith("wren").says("red oil can light came on").taps("place:safe:1");
  it("makes it urgent where it is a no, though another question was open", () => {
    const play = untilAsked(stopped());
    play.says("No");
    expect(first(play)).toMatchObject({ urgent: true, needs: ["some"] });
  });
  it.each([
    "not ok",
    "we are not ok",
    "I'm not well",
    "we need someone",
    "no, we need help here please soon",
    "no change, and we need help",
  ])("makes it urgent where they are not well: %s", (words) => {
    const play = untilAsked(stopped());
    play.says(words);
    expect(first(play)?.urgent).toBe(true);
  });
  it.each([
    "no problems at all, we are fine and warm",
    "we don't need help",
    "Yes, all good, we will shout if we need you",
    "Fine, will ring if we need help",
    "nobody is hurt",
    "Nobody is hurt, we are warm and dry in the van",
    "None of us is hurt, just waiting",
    "No change, still parked in the lay-by",
    "No news from the garage yet, we are in the pub",
    "Nothing yet, we are waiting for the truck and warm",
  ])("is no no where all is well: %s", (words) =>
    expect(first(untilAsked(stopped()).says(words))?.urgent).toBeFalsy(),
  );
  it("is by text no button of an older question that has the same label", () => {
    const play = untilAsked(stopped());
    texts(play, "No", "night:no:1");
    expect(first(play)).toMatchObject({ urgent: true, needs: ["some"] });
  });
  it("thanks for a yes, which is no need and no wish to wait", () => {
    const play = untilAsked(stopped());
    play.says("Yes");
    expect(first(play)?.urgent).toBeFalsy();
    expect(first(play)?.needs).toBeUndefined();
    expect(play.hirer().join("\n")).toContain("Thank you. Our staff see it.");
  });
  it("is asked for once: the next no answers the question that was open", () => {
    const play = untilAsked(stopped());
    play.says("yes").says("no");
    expect(first(play)?.urgent).toBeFalsy();
    expect(first(play)?.needs).toEqual([]);
  });
});

describe("a no while it is in doubt whether there is a danger", () => {
  const inDoubt = () => hireWith("curlew").says(odd);
  it("settles it, and the trouble told in the same words is met", () => {
    const play = inDoubt().says("No, nothing like that hurt, but the red oil light is on");
    expect(play.callouts().map((c) => c.matter)).toEqual(["oil-pressure"]);
    expect(play.hire().talks["p1"]?.doubt).toBeUndefined();
  });
  it("settles it when it is all that is said", () => {
    const play = inDoubt().says("no");
    expect(play.callouts().filter((c) => c.severity === "danger")).toEqual([]);
    expect(play.hire().talks["p1"]?.doubt).toBeUndefined();
  });
  it.each([
    "nobody answers the phone",
    "no one is answering",
    "no answer on your number",
    "nothing works any more",
    "no brakes",
  ])("is not in words that only begin like one: %s", (words) => {
    const play = inDoubt().says(words);
    expect(play.hire().talks["p1"]?.doubt).toBeDefined();
    expect(play.hirer().join()).not.toContain("Smoking");
    const asked = hireWith("curlew").says("red oil can light came on").taps("place:safe:1");
    expect(first(asked.says(words))?.needs).toBeUndefined();
  });
  it.each([
    "nobody",
    "no-one is hurt",
    "nothing like that",
    "none of us",
    "no one here",
    "Nobody.",
  ])("is in: %s", (words) =>
    expect(inDoubt().says(words).hire().talks["p1"]?.doubt).toBeUndefined(),
  );
  it("is meant for something else after half an hour; the button still counts", () => {
    const play = inDoubt();
    const yes = play.sends.flatMap((s) => s.message.buttons ?? [])[0]?.tap ?? "";
    play.pass(31).says("no hot water");
    expect(last(play)).toContain("water heater");
    play.taps(yes);
    expect(first(play)?.severity).toBe("danger");
  });
  it("is by its button the answer to what was written, however late it comes", () => {
    const play = hireWith("curlew").says(odd);
    const no = play.sends.flatMap((s) => s.message.buttons ?? [])[1]?.tap ?? "";
    play.pass(31).says("no hot water").taps(no);
    expect(last(play)).not.toBe("");
    expect(play.hire().talks["p1"]?.doubt).toBeUndefined();
    expect(play.callouts().filter((c) => c.severity === "danger")).toEqual([]);
  });
});

describe("what may be a danger, while they have not said whether it is", () => {
  const start = "2026-06-03T12:00+01:00";
  it("is given to a person after ten minutes, once", () => {
    const play = hireWith("curlew", { at: start }).says(odd).pass(2).says(`again: ${odd}`);
    const { at } = play;
    expect(play.nextDue()).toBe(true);
    expect((play.at - at) / 60_000).toBe(8);
    expect(last(play)).toMatch(
      /^You have not told me whether .*\nI have alerted the duty person\.$/s,
    );
    expect(first(play)).toMatchObject({ kind: "person", words: `${odd} / again: ${odd}` });
    expect(play.duty()[0]?.text).toContain("May be a danger");
    expect(play.dues().filter((d) => d.key.startsWith("doubt"))).toEqual([]);
    // Its buttons act as before.
    play.taps("doubt:yes:fire");
    expect(play.callouts().some((c) => c.severity === "danger")).toBe(true);
  });
  it.each(["yes", "no"])("is not where they have: %s", (answer) => {
    const play = hireWith("curlew", { at: start }).says(odd).says(answer);
    const before = play.callouts().length;
    for (let i = 0; i < 3 && play.at < Date.parse(start) + 600_000; i++) play.nextDue();
    expect(play.callouts()).toHaveLength(before);
  });
  it("is not where staff have read it with a matter that is open", () => {
    const play = hireWith("curlew", { at: start }).says("flat tyre").says(odd);
    expect(play.duty().map((d) => d.text)).toEqual([expect.stringContaining(odd)]);
    expect(play.dues().filter((d) => d.key.startsWith("doubt"))).toEqual([]);
  });
});

describe("a yes or no with which two labels begin", () => {
  it.each(["no", "no one is hurt", "no, all ok"])("is asked again: %s", (words) => {
    const play = hireWith("wren").says("we had a crash with another car, the van is dented");
    expect(first(play)?.matter).toBe("collision");
    const asked = () => play.hire().talks["p1"]?.asking?.steps[0];
    for (let i = 0; i < 9 && asked() !== "check"; i++) play.taps("place:safe:1");
    expect(asked()).toBe("check");
    const before = last(play);
    play.says(words);
    expect(play.callouts().map((c) => c.severity)).not.toContain("danger");
    expect(last(play)).toBe(before);
  });
});

describe("a yes or no after a later question", () => {
  const inDoubt = () => hireWith("wren").says("it smells odd in here, not sure if it's burning");
  const dangers = (play: Play) => play.callouts().filter((c) => c.severity === "danger");
  it.each([
    ["yes", true],
    ["no", false],
  ])("tells whether the place is safe, and nothing of an older doubt: %s", (words, isSafe) => {
    const play = inDoubt().says("the red battery light is on");
    expect(last(play)).toContain("Is it a safe place to wait?");
    play.says(words);
    expect(dangers(play)).toEqual([]);
    expect(first(play)?.placeSafe).toBe(isSafe);
  });
  it("leaves the buttons of the older doubt as they were", () => {
    const play = inDoubt();
    const [yes = "", no = ""] = play.sends
      .flatMap((s) => s.message.buttons ?? [])
      .map((b) => b.tap);
    play.says("the red battery light is on").says("yes").taps(yes);
    expect(dangers(play)).toHaveLength(1);
    const other = inDoubt().says("the red battery light is on").taps(no);
    expect(other.hirer().length).toBeGreaterThan(0);
    expect(dangers(other)).toEqual([]);
  });
  it("is for the member of staff who asked it", () => {
    const play = inDoubt();
    play.staff("morag", { do: "reply", person: "p1", text: "Have you opened a window?" });
    play.says("yes");
    expect(dangers(play)).toEqual([]);
  });
  it("tells whether they are all right, where that was asked last", () => {
    const play = hireWith("wren").says("red oil can light came on").taps("place:safe:1");
    play.says("it smells odd in here, not sure if it's burning");
    untilAsked(play).pass(1).says("no");
    expect(first(play)).toMatchObject({ urgent: true, needs: ["some"] });
  });
});

describe("a yes or no to whether roadside assistance is there", () => {
  function late(waits: "place" | "need"): Play {
    const play = hireWith("wren").says("red oil can light came on");
    if (waits === "need") play.taps("place:safe:1");
    const arrivesAt = after(play.at, 10);
    play.staff("morag", { do: "roadside", callout: 1, reference: "R1", arrivesAt });
    for (let i = 0; i < 9 && !last(play).includes("Is it there?"); i++) play.nextDue();
    expect(last(play)).toContain("Is it there?");
    return play;
  }
  it("says nothing of the place that was asked for before", () => {
    const play = late("place").says("no");
    expect(first(play)?.placeSafe).toBeUndefined();
    expect(first(play)?.urgent).toBeFalsy();
    expect(
      play
        .duty()
        .map((d) => d.text)
        .join(),
    ).toContain("has NOT come yet");
  });
  it("says nothing of the need that was asked for before", () => {
    const play = late("need").says("yes");
    expect(first(play)?.needs).toBeUndefined();
    expect(first(play)?.roadside?.came).toBe(true);
    expect(
      play
        .duty()
        .map((d) => d.text)
        .join(),
    ).toContain("has come");
  });
  it("is taken once: the next one answers the question that was open", () => {
    const play = late("place").says("not yet").says("yes");
    expect(first(play)?.roadside?.came).toBeFalsy();
    expect(first(play)?.placeSafe).toBe(true);
  });
});

describe("what a phone without signal sends late", () => {
  const start = Date.parse("2026-06-03T12:00+01:00");
  const queued = (words: string, next: string) => {
    const play = hireWith("curlew")
      .pass(60)
      .says(words, { writtenAt: instantOf(start) });
    return play.says(next, { writtenAt: instantOf(start + 300_000) });
  };
  it("answers no question that was asked only once it came", () => {
    const play = queued("oil can light came on, red", "yes still on, tried twice");
    expect(first(play)).toMatchObject({ matter: "oil-pressure" });
    expect(first(play)?.placeSafe).toBeUndefined();
    expect(toStaff(play).join()).toContain("tried twice");
    expect(first(play.says("yes safe", { writtenAt: play.at }))?.placeSafe).toBe(true);
  });
  it.each(["yes the heater was on before", "no, nothing else"])(
    "settles no doubt that was asked only once it came: %s",
    (words) => {
      const play = queued(odd, words);
      expect(play.hire().talks["p1"]?.doubt).toBeDefined();
      expect(play.callouts().filter((c) => c.severity === "danger")).toEqual([]);
    },
  );
  it("does not tell that they are all right", () => {
    const play = untilAsked(hireWith("wren").says("red oil can light came on"));
    play.says("no", { writtenAt: instantOf(play.at - 600_000) });
    expect(first(play)?.urgent).toBeFalsy();
  });
});

describe("a place to wait", () => {
  it.each([
    "Not sure it's safe, cars pass close",
    "there is nowhere safe here",
    "I don't think this is a safe place",
    "we don't feel safe here",
    "couldn't reach the lay-by",
    "no safe spot on this road",
    "it isn't really safe",
  ])("is not safe: %s", (words) => expect(safetyOf(words)).toBe("unsafe"));
  it.each([
    "yes safe",
    "safe in a lay-by",
    "in a car park, we can't move but it's ok",
    "don't worry, we are safe",
    "it's a safe place, no traffic",
  ])("is safe: %s", (words) => expect(safetyOf(words)).toBe("safe"));
});

describe("one message with an answer and more", () => {
  it("opens the other trouble that is told beside the answer", () => {
    const play = hireWith("wren").says("red oil can light came on");
    play.says("yes it is safe here, but now one tyre is flat too");
    expect(play.callouts().map((c) => c.matter)).toEqual(["oil-pressure", "flat-tyre"]);
    expect(first(play)?.placeSafe).toBe(true);
  });
  it("goes to the stop that nobody has, and to whoever has an older question", () => {
    const play = hireWith("wren").taps("person");
    play.staff("isla", { do: "take", callout: 1 });
    play.pass(120).says("red oil can light came on").taps("place:safe:2").taps("need:none:2");
    const before = play.duty().length;
    play.says("we have two small children with us");
    expect(play.callouts()[1]).toMatchObject({ matter: "oil-pressure", urgent: true });
    expect(play.callouts()[1]?.words).toContain("children");
    expect(
      play
        .duty()
        .slice(before)
        .filter((d) => d.text.includes("children"))
        .map((d) => d.contact),
    ).toContain("isla");
  });
});

describe("while choices are on the screen", () => {
  const choices = () => {
    const play = hireWith("wren").says("no lights");
    expect(last(play)).toContain("Which of these do you mean?");
    return play;
  };
  it("a number picks one of them once: the next one answers the check that follows", () => {
    const play = choices().says("1");
    expect(play.callouts()).toHaveLength(1);
    expect(play.hire().talks["p1"]?.offered).toBeUndefined();
    play.taps("place:safe:1").taps("need:none:1").says("2");
    expect(play.callouts()).toHaveLength(1);
  });
});

describe("a colour and no more", () => {
  const unclear = () => hireWith("wren").says("some warning light came on, no idea what it is");
  it.each(["Red", "it's red", "flashing", "it flashes red", "amber"])(
    "answers what colour the light is, and names none: %s",
    (words) => {
      const play = unclear().says(words);
      expect(play.callouts().map((c) => c.matter)).toEqual(["unknown-light"]);
      expect(play.sends.some((s) => s.message.pictures?.includes("lights-sheet"))).toBe(true);
      expect(
        play
          .duty()
          .map((d) => d.text)
          .join(),
      ).not.toContain("it is:");
      expect(
        play
          .says("2")
          .callouts()
          .map((c) => c.matter),
      ).toEqual(["oil-pressure"]);
    },
  );
  it("names none on the sheet either, nor out of the blue", () => {
    const play = hireWith("wren").says("a red light I don't know has come on").says("it is red");
    expect(play.callouts().map((c) => c.matter)).toEqual(["unknown-light"]);
    expect(hireWith("wren").says("red light").callouts()).toMatchObject([
      { matter: "unknown-light", severity: "stop" },
    ]);
  });
  it("said of a light that was told is of that light", () => {
    const play = hireWith("wren").says("the engine light is on").says("flashing");
    expect(play.callouts().map((c) => c.matter)).not.toContain("unknown-light");
  });
});

describe("while the sheet of lights is on the screen", () => {
  it.each([
    ["No hot water", "hot water"],
    ["can't find the waste drain", "waste"],
  ])("is answered what is asked: %s", (words, told) => {
    const play = hireWith("wren").says("a warning light that I do not know, it is red").says(words);
    expect(play.hirer().join().toLowerCase()).toContain(told);
    expect(play.hire().talks["p1"]?.asking?.steps[0]).toBe("sheet");
  });
});

describe("a changed message", () => {
  const says = (play: Play, text: string) =>
    play.arrives({
      kind: "said",
      from: { person: "p1", via: { channel: "web", to: "p1" } },
      text,
      edited: true,
    });
  it("answers no question that was put since", () => {
    const play = hireWith("wren").says("red oil can light came on").says("yes sfe");
    expect(first(play)?.placeSafe).toBe(true);
    expect(play.hire().talks["p1"]?.asking?.steps[0]).toBe("need");
    says(play, "yes safe");
    expect(first(play)?.needs).toBeUndefined();
    expect(first(play)?.urgent).toBeFalsy();
    expect(
      play
        .duty()
        .map((d) => d.text)
        .join(),
    ).toContain("yes safe");
  });
  it("that makes a light worse is met as the worse one", () => {
    const play = hireWith("wren").says("something orange is lit up in front of me, drives fine");
    expect(first(play)).toMatchObject({ matter: "unknown-light", severity: "soon" });
    says(play, "something red is lit up in front of me");
    expect(first(play)?.severity).toBe("stop");
  });
});
