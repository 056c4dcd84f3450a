/** What a number of a hirer answers, and what is passed on in an open danger: the sheet of lights, a choice, a sum, staff. */
import { describe, expect, it } from "vitest";
import { hireWith, type Play, texts, toStaff } from "../kit/hire.js";

const odd = "it smells odd in here, not sure if it's burning";
const last = (play: Play) => play.hirer().at(-1) ?? "";
const first = (play: Play) => play.callouts()[0];
const tapsOf = (play: Play) => play.sends.flatMap((s) => s.message.buttons ?? []);

describe("in an open danger", () => {
  const asked = () => hireWith("wren").says("how do i fold the bench into a bed");
  const gas = (play: Play) => play.says("strong smell of gas in the van");
  it("a button of an older answer is passed on by its label, and not answered", () => {
    const play = asked();
    const tap = tapsOf(play)[0]?.tap ?? "";
    expect(tap).toMatch(/^e:/);
    gas(play).taps(tap);
    expect(play.hirer().join()).toContain("I answer nothing else until this is over.");
    expect(tapsOf(play)).toEqual([]);
    expect(toStaff(play).join()).toContain("Bedding");
    expect(play.taps("ok").hirer()).toEqual([expect.stringMatching(/^999 or 112 first/)]);
  });
  it.each(["e:bedding", "ok", "person", "number:2", "r:oil=between", "place:unsafe:1"])(
    "a number by text is for staff, whatever button it stood for: %s",
    (tap) => {
      const play = texts(gas(asked()), "2", tap);
      expect(toStaff(play)).toContainEqual(expect.stringContaining('"2"'));
      expect(new Set(play.hirer())).toEqual(
        new Set(["999 or 112 first. Our staff see what you wrote."]),
      );
      expect(play.callouts()).toHaveLength(1);
    },
  );
  it("a number by text is for staff too where it stood for the doubt that was settled by it", () => {
    const play = hireWith("curlew").says(odd);
    const [yes, no] = tapsOf(play);
    texts(texts(play, "1", yes?.tap ?? ""), "2", no?.tap ?? "");
    expect(toStaff(play)).toContainEqual(expect.stringContaining('"2"'));
  });
});

describe("a number", () => {
  const unclear = () => hireWith("wren").says("a warning light that I do not know, it is red");
  const matters = (play: Play) => play.callouts().map((c) => c.matter);
  it.each(["2", "number two", "I think it's number 2", "looks like 2", "2 I think"])(
    "names a light on the sheet: %s",
    (words) => expect(matters(unclear().says(words))).toEqual(["oil-pressure"]),
  );
  it("is none in “no one”", () =>
    expect(matters(unclear().says("no one here"))).toEqual(["unknown-light"]));
  const slip = (to = "13") =>
    hireWith("wren").says("something orange is lit up in front of me, drives fine").says(to);
  it.each(["no, 2", "sorry, 2", "sorry, number 2", "it is 2 not 13", "not 13, 2", "I meant two"])(
    "that was a slip can be taken back: %s",
    (words) => {
      const play = slip();
      expect(matters(play)).toEqual(["abs"]);
      play.says(words);
      expect(play.callouts().at(-1)).toMatchObject({ matter: "oil-pressure", severity: "stop" });
      expect(last(play)).toContain("Is it a safe place to wait?");
      play.taps("place:safe:2").taps("need:none:2");
      expect(play.hire().talks["p1"]?.asking?.entry).toBe("oil-pressure");
    },
  );
  it("takes nothing back once the check of its light is answered, or staff have asked", () => {
    const done = slip();
    done.says("1").says("no, 2");
    expect(done.callouts()).toHaveLength(1);
    const asked = slip();
    asked.staff("morag", { do: "reply", person: "p1", text: "Are there four of you?" });
    expect(matters(asked.says("no, 2"))).toEqual(["abs"]);
  });
  it("takes nothing back once a reminder or a sum asks, of no light without a check either", () => {
    expect(matters(slip("23").says("no, 2")).at(-1)).toBe("oil-pressure");
    const summed = slip("23").says("150 miles a day, how many are left");
    expect(summed.hire().talks["p1"]?.sum).toBeDefined();
    expect(matters(summed.says("sorry, 11"))).not.toContain("engine-steady");
    const asked = slip("23");
    asked.arrives({ kind: "booked", booking: asked.hire().booking });
    asked.until(() => asked.hire().talks["p1"]?.reading !== undefined);
    expect(asked.hire().talks["p1"]?.namedAt).toBeUndefined();
  });
  it("names a light only while the sheet is the last question", () => {
    const play = hireWith("wren").says("a warning light that I do not know, it is red");
    play.taps("sheet:none:1").says("12");
    expect(play.callouts().map((c) => c.matter)).toEqual(["unknown-light"]);
  });

  it.each(["done", "open"])(
    "names no light to who is asked when they will be here (the light's matter is %s)",
    (state) => {
      const play = unclear();
      play.arrives({ kind: "booked", booking: play.hire().booking });
      if (state === "done") play.staff("morag", { do: "done", callout: 1, outcome: "other" });
      play.until(() => play.hire().sentReminders.some((s) => s.rule === "return-24h"));
      play.says("11");
      expect(matters(play)).not.toContain("engine-steady");
      expect(play.hire().arrival).toBeDefined();
    },
  );

  const stopped = () => hireWith("wren").says("red oil can light came on");
  const asks = (play: Play, text = "How many of you are there?") =>
    play.staff("morag", { do: "reply", person: "p1", text });

  it("after words of staff is for them, and no option of the check that was asked before", () => {
    const play = hireWith("wren").says("some warning light came on, no idea what it is");
    asks(play.staff("morag", { do: "take", callout: 1 })).says("3");
    expect(first(play)?.checked).toBeUndefined();
    expect(toStaff(play)).toEqual([expect.stringContaining('"3"')]);
    expect(play.hirer()).toEqual(["Morag sees what you wrote."]);
    play.says("Red");
    expect(play.sends.some((s) => s.message.pictures?.includes("lights-sheet"))).toBe(true);
  });
  it("after words of staff is by text no button of an older question, which its label still is", () => {
    const play = texts(asks(stopped()), "2", "place:unsafe:1");
    expect(first(play)?.urgent).toBeFalsy();
    expect(toStaff(play)).toContainEqual(expect.stringContaining('"2"'));
    texts(play, "Not safe", "place:unsafe:1");
    expect(first(play)).toMatchObject({ urgent: true, placeSafe: false });
  });
  it.each(["1", "two"])("after words of staff picks no choice of before: %s", (words) => {
    const play = asks(hireWith("wren").says("no lights")).says(words);
    expect(play.callouts().map((c) => c.kind)).not.toContain("fault");
    expect(toStaff(play).join()).toContain(`"${words}"`);
  });
  it("after words of staff is no arrival and no reading that was asked for before", () => {
    const play = hireWith("wren");
    play.arrives({ kind: "booked", booking: play.hire().booking });
    play.until(() => play.hire().sentReminders.some((s) => s.rule === "return-24h"));
    asks(play, "How many of you need a lift?").says("4");
    expect(play.hire().arrival).toBeUndefined();
    expect(toStaff(play).join()).toContain('"4"');
  });
  it.each([
    ["first-check", "Is the engine off?", "yes, all ok"],
    ["first-check", "I ring you at 5. All right?", "yes ok thanks"],
    ["return-24h", "When can I ring you today?", "at 5"],
    ["return-24h", "When is the recovery truck with you?", "in 20 minutes"],
    ["exhaust-fluid", "How full is the water tank?", "about half"],
  ])("after %s and words of staff is no reading: %s %s", (rule, asked, words) => {
    const play = hireWith("curlew");
    play.arrives({ kind: "booked", booking: play.hire().booking });
    play.until(() => play.hire().sentReminders.some((s) => s.rule === rule));
    play.says("red oil can light came on").taps("place:safe:1").taps("need:none:1");
    asks(play, asked).says(words);
    expect([play.hire().arrival, play.hire().readings]).toEqual([undefined, []]);
    expect(play.hirer().join()).not.toMatch(/noted|tell me/);
    expect(toStaff(play).join()).toContain(`"${words}"`);
  });
  it("after words of staff is a reading where it is named", () => {
    const play = hireWith("curlew");
    play.arrives({ kind: "booked", booking: play.hire().booking });
    play.until(() => play.hire().sentReminders.some((s) => s.rule === "first-check"));
    asks(play, "And the oil?").says("oil between, all ok");
    expect(play.hire().readings).toEqual([expect.objectContaining({ oil: "between" })]);
    expect(play.hire().readings[0]).not.toHaveProperty("note");
  });
  it("is one of the buttons where those were told after the words of staff", () => {
    const play = asks(stopped().taps("place:safe:1"));
    play.says("how do i fold the bench into a bed");
    expect(
      texts(play, "1", tapsOf(play)[0]?.tap ?? "")
        .hirer()
        .join(),
    ).toContain("Bedding");
  });
  it("answers by text what was asked last, and no older sum, which waits for its figure", () => {
    const sum = () => hireWith("wren").says("how long will the battery last").pass(120);
    expect(texts(sum(), "5", "person").hirer().join()).toContain("5 W");
    const stop = texts(sum().says("red oil can light came on"), "2", "place:unsafe:1");
    expect(first(stop)).toMatchObject({ urgent: true, placeSafe: false });
    expect(stop.says("5 W").hirer().join()).toContain("5 W (0.4 A at 12 V)");
    const doubt = sum().says(odd);
    expect(first(texts(doubt, "1", tapsOf(doubt)[0]?.tap ?? ""))?.severity).toBe("danger");
    const staffs = texts(asks(sum()), "3", "number:3");
    expect(toStaff(staffs).join()).toContain('"3"');
  });
});
