/** What hirers tell of their van's marks, levels and odometer, through the real step: what follows from it. */
import { describe, expect, it } from "vitest";
import { after, clockOf, readIso } from "../../src/calendar.js";
import { kmPerMile } from "../../src/knowledge/measures/units.js";
import type { Booking, Reading } from "../../src/post.js";
import { hireWith, type Play } from "../kit/hire.js";

/** The van goes out with its record, the day before the talk begins: full of everything, 57,340 miles. */
function goneOut(van: string, since: Partial<Reading>[] = [], miles = 57_340): Play {
  const now = readIso("2026-06-03T12:00+01:00");
  const play = hireWith(van, { readings: since.map((r) => ({ at: now, by: "Ann", ...r })) });
  const at = play.hire().booking.pickupAt;
  const odometerKm = miles * kmPerMile;
  const reading: Reading = { at, by: "Morag", fuel: 1, fluid: 1, oil: "between", odometerKm };
  return play.staff("morag", {
    do: "pickup-record",
    reading,
    handover: {
      ...{ registration: "SX26 ABC", by: "morag", unit: "miles", kit: [], photos: [] },
      ...{ drivers: [], points: [], faults: [], confirmed: [] },
    },
  });
}
/** Its booking with five days more, so that the checks of the first week come. */
const longer = (play: Play): Booking => {
  const { booking } = play.hire();
  return { ...booking, returnAt: after(booking.returnAt, 5 * 1440) };
};
const told = (play: Play) => play.hirer().join("\n");

describe("a sum of a hire of which nothing was read since pick-up", () => {
  it("asks for the level now, and never takes that of pick-up for it", () => {
    const play = goneOut("curlew").says("how much diesel do we need to bring it back");
    expect(told(play)).not.toContain("nothing to add");
    expect(told(play)).toContain("What does the gauge show now?");
    expect(told(play.says("half"))).toContain("From 50 % up to 100 %, the level of pick-up");
  });
  it("asks for the level of the exhaust fluid as well", () => {
    const play = goneOut("curlew").says("how much of the blue stuff must I add");
    expect(told(play)).not.toContain("nothing to add");
    expect(told(play)).toContain("what does the fluid's gauge show?");
    expect(told(play.says("half"))).toContain("From 50 % up to 100 %, the level of pick-up");
  });
  it("asks how far they have driven", () => {
    const play = goneOut("curlew").says("150 miles a day, how many are left");
    expect(told(play)).not.toContain("You have driven");
    expect(told(play)).toContain("How far have you driven since pick-up?");
  });
});

describe("a check that was answered only after the next one was asked", () => {
  const asked = (): Play => {
    const play = goneOut("curlew");
    play.arrives({ kind: "booked", booking: play.hire().booking });
    const isAsked = () => play.hire().sentReminders.some((s) => s.rule === "return-24h");
    play.until(isAsked);
    const [fluid] = play.hire().sentReminders.filter((s) => s.rule === "exhaust-fluid");
    expect(fluid).toMatchObject({ answered: false, wants: ["fluid", "odometer"] });
    return play;
  };
  const last = (play: Play) => play.hire().readings.at(-1);
  it.each([
    ["about half, 57,540", undefined],
    ["10:30, about half, 57,540", "10:30"],
  ])("%s: is kept", (words, time) => {
    const play = asked();
    const before = play.callouts();
    play.says(words);
    expect(last(play)).toMatchObject({
      fluid: 0.5,
      odometerKm: expect.closeTo(57_540 * kmPerMile, 0),
    });
    const { arrival } = play.hire();
    expect(arrival && clockOf(arrival.at, "Europe/London")).toBe(time);
    expect(play.callouts()).toEqual(before);
  });
  it("leaves the time alone to what was asked last", () => {
    const play = asked().says("10:30");
    const { arrival } = play.hire();
    expect(arrival && clockOf(arrival.at, "Europe/London")).toBe("10:30");
    expect(told(play)).not.toContain("Please tell me too");
  });
});

describe("what was told and is put right", () => {
  const checked = (): Play => {
    const play = goneOut("curlew");
    play.arrives({ kind: "booked", booking: longer(play) });
    play.until(() => play.hire().sentReminders.some((s) => s.wants?.includes("oil")));
    return play.says("oil between, tyres ok, coolant ok").pass(3);
  };
  it.each([
    ["sorry, the oil is at the bottom mark", "min"],
    ["correction: oil is below the min mark, I read it wrong", "below-min"],
    ["sorry, at the bottom mark", "min"],
  ])("stops the van where the oil is low after all: %s", (words, oil) => {
    const play = checked().says(words);
    expect(play.hire().readings.at(-1)).toMatchObject({ oil });
    expect(told(play)).toContain("Do not start the engine");
    expect(told(play)).not.toContain("I am not sure");
    expect(play.callouts()).toMatchObject([{ matter: "reading-oil", severity: "stop" }]);
  });
  it("is nothing else besides what it names", () => {
    const play = checked().says("actually tyres are not ok, front left is low");
    expect(play.callouts()).toMatchObject([{ matter: "reading-tyres" }]);
    expect(play.hire().readings.at(-1)?.oil).toBeUndefined();
  });
  it("may be the figure alone", () => {
    const play = goneOut("curlew");
    play.arrives({ kind: "booked", booking: longer(play) });
    play.until(() => play.hire().sentReminders.some((s) => s.wants?.includes("odometer")));
    play.says("fluid half, 57,540").pass(3).says("sorry, 57,640 not 57,540");
    const km = play.hire().readings.at(-1)?.odometerKm;
    expect(km).toBeCloseTo(57_640 * kmPerMile, 0);
    expect(play.callouts().map((c) => c.kind)).not.toContain("person");
  });
  it("may by text be the number of the right mark, for a day", () => {
    const texts = (play: Play) =>
      play.arrives({
        kind: "tapped",
        from: { person: "p1", via: { channel: "gateway", to: "+447700900500" } },
        tap: "r:oil=min",
        typed: "5",
      });
    expect(texts(checked()).hire().readings.at(-1)).toMatchObject({ oil: "min" });
    expect(told(texts(checked().pass(25 * 60)))).toContain('"5" answers nothing');
  });
  /** Nothing more is read in them. */
  const unread = (play: Play, words: string) => {
    const before = play.hire().readings.length;
    const known = play.callouts().map((c) => c.matter);
    play.says(words);
    expect(play.hire().readings).toHaveLength(before);
    expect(told(play)).not.toMatch(/noted|not sure whether|trip counter/);
    return play.callouts().filter((c) => !known.includes(c.matter) && c.matter !== "person");
  };
  it.each(["not flat", "not much left, about half", "not good, the dog is ill"])(
    "is not in a no: %s",
    (words) => {
      expect(unread(checked(), words)).toEqual([]);
    },
  );
  it.each([
    "sorry, still empty",
    "sorry, all good now",
    "sorry, about half full",
    "actually it is 1,200 miles to go",
  ])("is only what it names once something else was told: %s", (words) => {
    const play = checked().says("how do I fill the water tank").pass(3);
    expect(unread(play, words)).toEqual([]);
    play.says("sorry, the oil is at the bottom mark");
    expect(play.callouts().map((c) => c.matter)).toContain("reading-oil");
  });
  it("is only what it names while a sum waits for a figure", () => {
    const play = checked().says("how long does the battery last with the fridge and the heater");
    expect(unread(play, "sorry, about half full")).toEqual([]);
  });
  it("is only what it names while they must not drive", () => {
    const play = checked().says("front tyre soft").pass(60);
    expect(play.callouts()).toMatchObject([{ severity: "stop" }]);
    expect(unread(play, "sorry, all good now")).toEqual([]);
  });
  it.each(["thanks", "ok"])("may be unnamed after %s", (words) => {
    const play = checked().says(words).says("sorry, at the bottom mark");
    expect(play.callouts()).toMatchObject([{ matter: "reading-oil", severity: "stop" }]);
  });
  it.each(["sorry for the trouble, thank you", "sorry, how do I open the awning"])(
    "is not in other words: %s",
    (words) => {
      const play = checked();
      const before = play.hire().readings.length;
      expect(play.says(words).hire().readings).toHaveLength(before);
    },
  );
});

describe("a sum of what was read since pick-up", () => {
  it("shows the day of a level that was not said in the message", () => {
    const play = goneOut("curlew", [{ fuel: 0.5, odometerKm: 57_540 * kmPerMile }]);
    const level = "The level now is as it was read on Wed 3 Jun.";
    expect(told(play.says("how much diesel do we need to bring it back"))).toContain(level);
    expect(
      told(play.says("fuel is at a quarter, how much diesel do we need to bring it back")),
    ).not.toContain(level);
    expect(told(play.says("150 miles a day, how many are left"))).toContain(
      "You have driven 200 miles: 850 miles are left.\nThe odometer was read on Wed 3 Jun: what you drove since is not in it.",
    );
  });
});

describe("a check that names two bad things", () => {
  /** The first check is asked for, and answered in these words. */
  const checked = (text: string): Play => {
    const play = hireWith("wren");
    play.arrives({ kind: "booked", booking: play.hire().booking });
    play.until(() => play.last.because.join().includes("first-check"));
    return play.says(text);
  };
  it("stops the van for both, with the hirer's own words, in one alert that names both", () => {
    const text = "oil at min, front left tyre is flat";
    const play = checked(text);
    expect(play.callouts()).toMatchObject([
      { matter: "reading-oil", severity: "stop", state: "nobody-yet", words: text },
      { matter: "reading-tyres", severity: "stop", state: "nobody-yet", words: text, beside: 1 },
    ]);
    expect(told(play)).toContain("Do not start the engine until we have spoken about the oil.");
    expect(told(play)).toContain("Do not drive until we have spoken about that tyre.");
    const [alert, ...more] = play.duty();
    expect(alert?.text).toContain(`Also: STOP: Tyre not ok at the check\nSaid: "${text}"`);
    expect(more).toEqual([]);
    const reported = (play.last.posts ?? []).flatMap(({ body }) =>
      body.kind === "van" && body.act.do === "reported" ? [body.act.matter] : [],
    );
    expect(reported).toEqual(["reading-oil", "reading-tyres"]);
    play.staff("morag", { do: "take", callout: 1 });
    expect(play.callouts().map((c) => c.with)).toEqual(["morag", "morag"]);
  });
  it("stops it for the oil's mark of now, whatever it was before", () => {
    const play = checked("Oil: was between the marks, now below the minimum");
    expect(play.callouts()).toMatchObject([{ matter: "reading-oil", severity: "stop" }]);
    expect(told(play)).toContain("Do not start the engine");
  });
  it("stops it for tyres and coolant, and still tells how to top up low oil", () => {
    const play = checked("oil low, tyres not ok, coolant below min");
    expect(play.callouts().map((c) => c.matter)).toEqual(["reading-tyres", "reading-coolant"]);
    expect(told(play)).toContain("until we have spoken about the coolant");
    expect(told(play)).toContain("The oil is low. Here is how to top it up.");
  });
  it("of which one is told later opens that one too", () => {
    const play = checked("oil at min").pass(2).says("tyres not ok, coolant ok");
    expect(play.callouts().map((c) => c.matter)).toEqual(["reading-oil", "reading-tyres"]);
    expect(
      play
        .duty()
        .map((m) => m.text)
        .join(),
    ).toContain("STOP: Tyre not ok at the check");
  });
  it.each(["gas bottle is empty", "water pump runs dry", "battery is low"])(
    "is not one in which another thing is: %s",
    (text) => {
      const play = checked(text);
      expect([play.callouts(), play.hire().readings]).toEqual([[], []]);
      expect(play.last.because.join()).toMatch(/gas-|water-pump|battery-flat-leisure/);
    },
  );
  it("by button is one whose words are its title", () => {
    const play = checked("oil between").taps("r:tyres=not-ok");
    expect(play.callouts()).toMatchObject([{ words: "Tyre not ok at the check" }]);
  });
});

describe("a time of arrival, asked for", () => {
  it.each([
    ["10 o'clock", "arrival 10:00"],
    ["7:30 a.m.", "arrival 07:30"],
    ["1130 hours", "arrival 11:30"],
  ])("%s is noted as %s", (text, noted) => {
    const play = hireWith("wren");
    play.arrives({ kind: "booked", booking: play.hire().booking });
    play.until(() => play.last.because.join().includes("return-24h"));
    expect(told(play.says(text))).toContain(`noted: ${noted}.`);
  });
});

describe("an odometer that does not fit the last reading", () => {
  /** The record says so many miles; the oil check is asked for, its mark told, and the odometer as in these words. */
  const asked = (miles: number, text: string): Play => {
    const play = goneOut("wren", [], miles);
    play.arrives({ kind: "booked", booking: longer(play) });
    play.until(() => play.last.because.join().includes("oil-check"));
    return play.taps("r:oil=between").taps("r:tyres=ok").says(text);
  };
  const waitedFor = (play: Play) => play.hire().sentReminders.filter((s) => !s.answered);

  it.each(["57,340 miles", "57340", "yes, 57,340", "yes that is what it says"])(
    "is asked about, and told again (%s) it goes to staff and is asked for no more",
    (again) => {
      const play = asked(75_340, "57,340 miles");
      expect(told(play)).toBe(
        "You wrote 57,340 miles, but the last reading was 75,340 miles. An odometer does not go back.",
      );
      expect(play.duty()).toEqual([]);
      play.says(again);
      expect(told(play)).toBe(
        "Thank you, noted: odometer 57,340 miles, told twice. It may not be right: our staff see it as you wrote it. You need not send it again.",
      );
      expect(play.duty().map((m) => m.text)).toEqual([
        "Ann wrote twice that the odometer shows 57,340 miles, which may not be right. Last reading: 75,340 miles. Van SX26 ABC. Please look at both.",
      ]);
      expect(play.hire().readings.at(-1)).toMatchObject({
        note: "odometer 57,340 miles, told twice",
      });
      expect(play.hire().readings.at(-1)?.odometerKm).toBeUndefined();
      expect(waitedFor(play).flatMap((s) => s.wants ?? [])).not.toContain("odometer");
    },
  );
  it("is asked about anew where another figure comes", () => {
    const play = asked(75_340, "57,340 miles").says("57,430 miles");
    expect(told(play)).toContain("An odometer does not go back.");
    expect(play.duty()).toEqual([]);
  });
  it("of which the unit is asked is understood by the unit alone", () => {
    // 92,000 km are 57,166 miles.
    const play = asked(57_000, "92,000");
    expect(told(play)).toContain("Is 92,000 in miles or in kilometres?");
    expect(told(play.says("kilometres"))).toContain("noted: odometer: 57,166 miles.");
    expect(play.hire().readings.at(-1)?.odometerKm).toBe(92_000);
  });
  it("is asked about once more where the unit makes it no better", () => {
    const play = asked(57_000, "92,000").says("it's in miles");
    expect(told(play)).toContain("that would be 35,000 miles in");
    expect(play.duty()).toEqual([]);
    expect(told(play.says("92,000"))).toContain("odometer 92,000 miles, told twice");
  });
  it("of somebody who was not asked is waited for from them", () => {
    const play = goneOut("wren", [], 75_340);
    const booking = longer(play);
    const people = [...booking.people, { id: "p2", name: "Ben", booker: false }];
    play.arrives({ kind: "booked", booking: { ...booking, people } });
    play.until(() => play.last.because.join().includes("oil-check"));
    play.says("oil between, odometer 57,340 miles", { person: "p2" });
    expect(told(play)).toContain("An odometer does not go back.");
    expect(told(play.says("57,340", { person: "p2" }))).toContain("told twice");
  });
});
