import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Instant, instantOf } from "../../src/calendar.js";
import { kmPerMile } from "../../src/knowledge/measures/units.js";
import { readBook } from "../../src/knowledge/read.js";
import { wants as allWants, type Want } from "../../src/knowledge/schema.js";
import { type Read, readReading, whatFollows } from "../../src/reminders/answer.js";
import { buttonsFor, namesOf, sayReading } from "../../src/reminders/buttons.js";

const file = readBook().book.reminders;
const at = instantOf(Date.parse("2026-06-10T07:30Z"));
const weekAgo = { at: instantOf(Date.parse("2026-06-03T09:00Z")), odometerKm: 92_000 * kmPerMile };

type More = { last?: { at: Instant; odometerKm?: number } | null; unit?: "miles" | "km" };
function read(text: string, wants: Want[], { last = weekAgo, unit = "miles" }: More = {}): Read {
  return readReading(text, wants, { distanceUnit: unit, at, file, ...(last ? { last } : {}) });
}
/** The understood values, or the kind where there are none. */
function got(text: string, wants: Want[], more: More = {}) {
  const r = read(text, wants, more);
  if (r.kind !== "reading") return r.kind;
  const { note: _note, odometerKm, ...reading } = r.reading;
  const miles =
    odometerKm === undefined ? {} : { miles: Math.round((odometerKm / kmPerMile) * 10) / 10 };
  return { ...reading, ...miles, ...r.states, ...(r.arrival ? { arrival: r.arrival } : {}) };
}
const doubts = (text: string, wants: Want[], more: More = {}): string[] => {
  const r = read(text, wants, more);
  return r.kind === "reading" ? r.doubts : [];
};
const oil: Want[] = ["oil", "odometer"];
const fluid: Want[] = ["fluid", "odometer"];
const check: Want[] = ["oil", "tyres", "coolant"];

describe("an oil mark", () => {
  const marks: Record<string, string[]> = {
    between: [
      "its between the lines",
      "between",
      "in the middle",
      "It's half way up",
      "about half",
      "3/4",
      "just under the top mark",
      "not quite at max",
      "betwen the marks",
      "within the marks",
      "oil is between min and max",
      "nearly full",
      "well above the bottom mark",
    ],
    max: ["at max", "full", "right on the top line", "upper mark", "at the top"],
    "above-max": ["above the max mark", "a bit over the top line", "overfull", "too much oil"],
    low: [
      "low",
      "just above the min mark",
      "near the bottom mark",
      "a bit low",
      "almost at the minimum",
      "about a quarter",
      "lower third",
    ],
    min: ["at the lower mark", "min", "on the bottom line", "at minimum"],
    "below-min": [
      "below the bottom line",
      "under min",
      "dry",
      "nothing on the stick",
      "can't see any oil",
      "empty",
      "it does not reach the mark",
    ],
  };
  for (const [mark, texts] of Object.entries(marks))
    it(`is read as ${mark} from ${texts.length} ways of saying it`, () => {
      for (const text of texts) expect(got(text, oil), text).toEqual({ oil: mark });
    });

  it("that is denied, or only bounded from one side, is asked about", () => {
    for (const text of ["not between the marks", "above minimum", "below max", "min or max"])
      expect(doubts(text, oil), text).toEqual(["I am not sure which oil mark you mean."]);
  });

  it("of now counts, where another was told before it", () => {
    for (const text of [
      "Oil: was between the marks, now below the minimum",
      "between, but now it's below min",
      "oil was between yesterday but below the bottom mark now. tyres and coolant ok",
    ])
      expect(got(text, check), text).toMatchObject({ oil: "below-min" });
    expect(got("oil was at min, now between the marks", check)).toMatchObject({ oil: "between" });
    expect(doubts("oil between, front left low", check).join()).not.toContain("oil");
  });
  it("told twice, the worse is kept and asked about", () => {
    const r = read("oil between, low", oil);
    expect(r.kind === "reading" && [r.reading.oil, r.got, r.doubts]).toEqual([
      ...["low", [], ["I am not sure which oil mark you mean."]],
    ]);
  });

  it("is asked for when all that comes is done, ok or fine", () => {
    for (const text of [
      "done",
      "ok",
      "yes done",
      "OK 👍",
      "all good",
      "oil is fine",
      "checked it this morning, looks good",
      "yes",
    ]) {
      const r = read(text, oil);
      expect(r.kind, text).toBe("not-a-reading");
      if (r.kind === "not-a-reading") expect(r.wants).toContain("oil mark");
    }
  });
});

describe("an odometer", () => {
  it("is read with any thousands mark, and a unit given wins over the region's", () => {
    for (const text of [
      "92,340",
      "92340",
      "92 340",
      "92.340",
      "92340 miles",
      "92,340 mi",
      "it says 92,340.0",
      "mileage 92,340",
    ])
      expect(got(text, ["odometer"]), text).toEqual({ miles: 92_340 });
    for (const text of [
      "148 250 km",
      "148.250 km",
      "148,250km",
      "148250 kilometres",
      "148250 kms",
    ]) {
      const r = read(text, ["odometer"]);
      expect(r.kind === "reading" && r.reading.odometerKm, text).toBe(148_250);
    }
    const irish = read("148 250", ["odometer"], { unit: "km" });
    expect(irish.kind === "reading" && irish.reading.odometerKm).toBe(148_250);
  });

  it("is kept in kilometres: 1 mile is 1,609.344 m exactly", () => {
    // International yard and pound agreement of 1959.
    const r = read("100,000 miles", ["odometer"], { last: null });
    expect(r.kind === "reading" && r.reading.odometerKm).toBe(160_934.4);
  });

  it("that goes back, or too far in the time, is asked about and not kept", () => {
    const back = read("91,000", ["odometer"]);
    expect(back.kind === "reading" && back.reading.odometerKm).toBeFalsy();
    expect(doubts("91,000 miles", ["odometer"])).toEqual([
      "You wrote 91,000 miles, but the last reading was 92,000 miles. An odometer does not go back.",
    ]);
    const yesterday = { at: instantOf(at - 24 * 3_600_000), odometerKm: 92_000 * kmPerMile };
    // 900 miles in a day.
    expect(doubts("92,900 miles", ["odometer"], { last: yesterday })).toEqual([
      "You wrote 92,900 miles, and the last reading was 92,000 miles: that would be 900 miles in one day.",
    ]);
    expect(got("92,700 miles", ["odometer"], { last: yesterday })).toEqual({ miles: 92_700 });
    expect(got("92,900 miles", ["odometer"])).toEqual({ miles: 92_900 });
  });

  it("in the other unit, a trip counter, a rounded or a double figure is asked about", () => {
    expect(doubts("148,250", ["odometer"])).toEqual(["Is 148,250 in miles or in kilometres?"]);
    expect(doubts("412", ["odometer"])).toEqual([
      "412 miles looks like the trip counter. I need the odometer, the long number.",
    ]);
    expect(doubts("412 miles", ["odometer"], { last: null })).toHaveLength(1);
    expect(doubts("92k", ["odometer"])).toEqual([
      "92,000 miles is rounded. I need the whole number of the odometer.",
    ]);
    expect(doubts("92,340 or 92,350", ["odometer"])[0]).toContain("more than one number");
    expect(doubts("9,234,000", ["odometer"], { last: null })[0]).toContain(
      "more than an odometer shows",
    );
  });

  it("is not taken from a pressure, a clock or a volume", () => {
    for (const text of ["tyres at 44 psi", "back at 10:30", "2 litres", "at 1030 am"])
      expect(got(text, ["odometer"]), text).toBe("none");
  });

  it("one mile less than last time is a rounding, not a van that went backwards", () => {
    expect(got("91,999", ["odometer"])).toEqual({ miles: 91_999 });
    expect(got("92,000", ["odometer"])).toEqual({ miles: 92_000 });
  });
});

describe("a level", () => {
  const levels: [string, number][] = [
    ["just under half", 0.45],
    ["3/4", 0.75],
    ["¾", 0.75],
    ["about half", 0.5],
    ["half", 0.5],
    ["75%", 0.75],
    ["75 per cent", 0.75],
    ["5 of 8 bars", 0.625],
    ["5/8", 0.625],
    ["full", 1],
    ["nearly full", 0.9],
    ["empty", 0],
    ["nearly empty", 0.1],
    ["two thirds", 0.667],
    ["a third", 0.333],
    ["quarter", 0.25],
    ["a bit more than half", 0.55],
    ["between a half and three quarters", 0.625],
    ["0.5", 0.5],
    ["adblue is half", 0.5],
    ["the blue stuff is at a quater", 0.25],
  ];
  it("is read from per cent, fractions, bars and words", () => {
    for (const [text, share] of levels) expect(got(text, fluid), text).toEqual({ fluid: share });
  });

  it("in bars or litres without the whole is asked about", () => {
    for (const text of ["4 bars", "10 litres", "low", "not full", "120 %"])
      expect(doubts(text, fluid), text).toEqual(["I am not sure which level you mean."]);
  });

  it("and the odometer come in one message in any order", () => {
    for (const text of [
      "about half, 92,500",
      "92,500 and half",
      "half 92500",
      "92,500 miles, half",
      "level: half; odometer: 92,500",
    ])
      expect(got(text, fluid), text).toEqual({ fluid: 0.5, miles: 92_500 });
  });
});

describe("ok and not ok", () => {
  it("are told apart, a denied fault included", () => {
    for (const text of [
      "ok",
      "fine",
      "all good",
      "looks ok",
      "no cuts or bulges",
      "nothing wrong",
      "good, no problems",
      "👍",
    ])
      expect(got(text, ["tyres"]), text).toEqual({ tyres: "ok" });
    for (const text of [
      "not ok",
      "one looks flat",
      "nail in the front left",
      "front left looks a bit soft",
      "isn't right",
      "there is a bulge",
    ])
      expect(got(text, ["tyres"]), text).toEqual({ tyres: "not-ok" });
  });

  it("go to what they name, and done is no answer for tyres either", () => {
    expect(got("oil between the marks and tyres and coolant ok", check)).toEqual({
      oil: "between",
      tyres: "ok",
      coolant: "ok",
    });
    expect(got("Oil: between. Tyres: ok. Coolant: low", check)).toEqual({
      oil: "between",
      tyres: "ok",
      coolant: "not-ok",
    });
    expect(got("all ok except the back left tyre looks low", check)).toEqual({
      tyres: "not-ok",
      coolant: "ok",
    });
    expect(got("one looks flat", check)).toEqual({ tyres: "not-ok" });
    expect(got("done", ["tyres"])).toBe("not-a-reading");
    expect(doubts("not ok", check)).toHaveLength(2);
  });

  it("confirm the safety essentials with any yes", () => {
    for (const text of ["Read it", "ok", "yes", "got it thanks", "👍", "understood"])
      expect(got(text, ["safety"]), text).toEqual({ safety: "ok" });
  });

  it("keep the hirer's words beside a not ok", () => {
    const r = read("nail in the front left", ["tyres"]);
    expect(r.kind === "reading" && r.reading.note).toBe('tyres not ok ("nail in the front left")');
  });
});

describe("an arrival", () => {
  const times: [string, object][] = [
    ["10:30", { clock: "10:30" }],
    ["around 10", { clock: "10:00" }],
    ["half past ten", { clock: "10:30" }],
    ["quarter to ten", { clock: "09:45" }],
    ["at 3", { clock: "15:00" }],
    ["3pm", { clock: "15:00" }],
    ["9h30", { clock: "09:30" }],
    ["by 9.30", { clock: "09:30" }],
    ["1030", { clock: "10:30" }],
    ["ten thirty", { clock: "10:30" }],
    ["noon", { clock: "12:00" }],
    ["about 11ish", { clock: "11:00" }],
    ["10 o'clock", { clock: "10:00" }],
    ["at ten o’clock", { clock: "10:00" }],
    ["we'll be there at 3 o clock", { clock: "15:00" }],
    ["07:30", { clock: "07:30" }],
    ["7:30", { clock: "19:30" }],
    ["7:30 a.m.", { clock: "07:30" }],
    ["at 7 a.m", { clock: "07:00" }],
    ["3:15p.m.", { clock: "15:15" }],
    ["7:30 in the morning", { clock: "07:30" }],
    ["around 5 in the evening", { clock: "17:00" }],
    ["0730", { clock: "07:30" }],
    ["10:30 hrs", { clock: "10:30" }],
    ["10.30 hours", { clock: "10:30" }],
    ["1130 hours", { clock: "11:30" }],
    ["at 11h", { clock: "11:00" }],
    ["at 11 hrs", { clock: "11:00" }],
    ["at 7 o'clock in the morning", { clock: "07:00" }],
    ["late by 2 hours", { lateMin: 120 }],
    ["in 2 hours", { inMin: 120 }],
    ["about 2h", { inMin: 120 }],
    ["in 1.5 hours", { inMin: 90 }],
    ["in 20 minutes", { inMin: 20 }],
    ["half an hour late", { lateMin: 30 }],
    ["an hour late", { lateMin: 60 }],
    ["1h30 late", { lateMin: 90 }],
    ["1 hour 20 minutes late", { lateMin: 80 }],
    ["half an hour early", { lateMin: -30 }],
    ["we will be back 20 minutes earlier", { lateMin: -20 }],
    ["an hour before the agreed time", { lateMin: -60 }],
    ["on time", { onTime: true }],
    ["as agreed", { onTime: true }],
    ["tomorrow at 9", { clock: "09:00", day: "tomorrow" }],
    ["we'll be back Wednesday 10:00", { clock: "10:00", day: "wed" }],
    ["at 7 tomorrow morning", { clock: "07:00", day: "tomorrow" }],
    ["today by 5", { clock: "17:00", day: "today" }],
    ["back by 8 tonight", { clock: "20:00", day: "today" }],
    ["tonight at 8", { clock: "20:00", day: "today" }],
    ["8 this evening", { clock: "20:00", day: "today" }],
    ["back at 10 tonight", { clock: "22:00", day: "today" }],
    ["8:30 tonight", { clock: "20:30", day: "today" }],
    ["20:00 tonight", { clock: "20:00", day: "today" }],
    ["12:30 this afternoon", { clock: "12:30", day: "today" }],
    ["tomorrow evening at 8", { clock: "20:00", day: "tomorrow" }],
    ["in Thurso tonight, back tomorrow at 9", { clock: "09:00", day: "tomorrow" }],
    ["already back, key in the box", { back: true }],
    ["returned", { back: true }],
  ];
  it("is read from clocks, spans and plain words", () => {
    for (const [text, arrival] of times) expect(got(text, ["arrival"]), text).toEqual({ arrival });
  });

  it("that means two things is asked about", () => {
    // "Half ten" is 10:30 in Britain and Ireland and 9:30 to many others.
    expect(doubts("half ten", ["arrival"])).toEqual(["I am not sure which time you mean."]);
    expect(doubts("25:30", ["arrival"])).toHaveLength(1);
    expect(doubts("the day after tomorrow at 9", ["arrival"])).toHaveLength(1);
    // Before or after midnight.
    for (const text of ["by 12 tonight", "1 am tonight"])
      expect(doubts(text, ["arrival"]), text).toHaveLength(1);
    // No clock has them, whatever they were meant to say.
    for (const text of ["5 to 0", "90 to 5", "0 to 0"])
      expect(doubts(text, ["arrival"]), text).toHaveLength(1);
  });
  it.each([
    ["we should be back by 10:30, sorry", { clock: "10:30" }],
    ["hi, our ferry docks late, so we'll arrive around 3", { clock: "15:00" }],
    ["sat nav says 14:20", { clock: "14:20" }],
    ["traffic is dreadful, running an hour late", { lateMin: 60 }],
    ["be there in half an hour if the bridge is open", { inMin: 30 }],
    ["hoping to drop her off at 11", { clock: "11:00" }],
    ["it takes us 2 hours so we'll be back at 11", { clock: "11:00" }],
    ["back in about 2 hours", { inMin: 120 }],
    ["we're early, be there in 20 minutes", { inMin: 20 }],
    ["we have returned the van", { back: true }],
    ["keys are in the box", { back: true }],
  ])("in a sentence is read too: %s", (text, arrival) =>
    expect(got(text, ["arrival"])).toEqual({ arrival }),
  );
  it.each([
    "engine cut out at 9 this morning",
    "brakes grind at 20 mph",
    "yellow engine light for 2 hours now",
    "engine cut out about 5 miles from you",
    "any campsite near you for 2 adults",
    "it went from 5 to 0 degrees",
    "the heater stopped at 10:30",
    "the back tyre lost air for 2 hours",
    "there was a noise at 50 mph",
    "fridge reads 1030 on the display",
    "the error returned on the display",
    "no water for an hour",
    "2 of us need towels",
  ])("is not taken from a number that tells something else: %s", (text) =>
    expect(got(text, ["arrival"])).toBe("none"),
  );
  it("beside words that may tell something else leaves those over", () => {
    const r = read("coming back, but the engine hunts at 20", ["arrival"]);
    expect(r.kind).toBe("none");
    const beside = read("coming back slowly at 4 because the clutch slips", ["arrival"]);
    expect(beside.kind === "reading" && [beside.arrival, beside.rest]).toEqual([
      { clock: "16:00" },
      "coming back slowly at 4 because the clutch slips",
    ]);
  });
});

describe("words about something else", () => {
  it("are no reading, whatever figures stand in them", () => {
    for (const text of [
      "how do I check the oil?",
      "where is the toilet",
      "the oil light is on",
      "is it ok to drive with half a tank?",
      "smoke is coming out, 92,340 miles",
      "good morning",
      "can I bring it back at 12:00",
      "we'd like to stay longer",
      "",
      "🚐",
    ])
      for (const wants of [oil, fluid, check, ["arrival"] as Want[]])
        expect(got(text, wants), text).toBe("none");
  });

  it.each([
    "gas bottle is empty",
    "water pump runs dry",
    "battery is low",
    "hob lighter is missing",
    "the shower tray is cracked",
    "fresh water tank is half full",
    "one of the beds is damaged",
    "the campsite was good",
    "heater is fine only at night",
    "we are 2 adults",
  ])("are no mark, level or state of what was asked for: %s", (text) => {
    for (const wants of [oil, fluid, check, ["tyres"] as Want[], ["odometer"] as Want[]])
      expect(got(text, wants), wants.join()).toBe("none");
  });
  it("are told from a mark that is said at length", () => {
    for (const text of [
      "it was just above the min mark when we looked, same as last time",
      "it's a bit low I think, near the bottom line",
    ])
      expect(got(text, check), text).toMatchObject({ oil: "low" });
    for (const text of [
      "there's a nail in the left rear one",
      "driver's side front looks very worn",
      "rear nearside has a bulge in the side wall",
    ])
      expect(got(text, check), text).toEqual({ tyres: "not-ok" });
    expect(got("the gauge shows about three quarters", fluid)).toEqual({ fluid: 0.75 });
  });

  it("beside a reading are handed on", () => {
    const r = read("between, 92,340. where can I get water", oil);
    expect(r.kind === "reading" && [r.reading.oil, r.rest]).toEqual([
      "between",
      "where can i get water",
    ]);
  });

  it("of any kind never throw, and never give a reading that cannot be", () => {
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string({ unit: "grapheme", maxLength: 60 }),
          fc
            .array(
              fc.constantFrom(
                "oil",
                "between",
                "not",
                "92,340",
                "half",
                "of",
                "8",
                "ok",
                "?",
                ",",
                "km",
                "below",
                "min",
                "1/0",
                "999999999999",
              ),
              { maxLength: 8 },
            )
            .map((w) => w.join(" ")),
        ),
        fc.subarray([...allWants]),
        (text, wants) => {
          const r = read(text, wants);
          if (r.kind !== "reading") return;
          for (const share of [r.reading.fluid, r.reading.fuel])
            if (share !== undefined) expect(share >= 0 && share <= 1).toBe(true);
          if (r.reading.odometerKm !== undefined)
            expect(r.reading.odometerKm).toBeGreaterThan(weekAgo.odometerKm - 2);
          for (const doubt of r.doubts) expect(doubt).not.toMatch(/[{}]|undefined|NaN/);
        },
      ),
      { numRuns: 1000 },
    );
  });
});

describe("buttons", () => {
  it("come back as what they say", () => {
    for (const want of allWants)
      for (const button of buttonsFor([want], file)) {
        const r = readReading(button.tap.slice(2), [want], { distanceUnit: "miles", at, file });
        expect(r.kind, button.tap).toBe("reading");
        expect(r.kind === "reading" && r.missing).toEqual([]);
      }
    expect(got("oil=below-min", oil)).toEqual({ oil: "below-min" });
    expect(got("oil=banana", oil)).toBe("none");
  });

  it("are offered for marks and levels, never for the odometer", () => {
    expect(buttonsFor(["oil", "odometer"], file).map((b) => b.label)).toContain(
      "Between the marks",
    );
    expect(buttonsFor(["odometer"], file)).toEqual([]);
    expect(namesOf(["oil"], file)).toContain("the oil mark");
  });
});

describe("what a reading leads to", () => {
  const follows = (
    text: string,
    earlier: { oil: "low" | "between" }[] = [],
    wants: Want[] = check,
  ) => {
    const r = read(text, wants);
    return r.kind === "reading" ? whatFollows(r, earlier) : undefined;
  };
  it("is a top-up when low once, and a stop when low twice, at the lowest mark, below it, or too full", () => {
    expect(follows("low")).toEqual([{ act: "top-up" }]);
    expect(follows("low", [{ oil: "between" }])).toEqual([{ act: "top-up" }]);
    expect(follows("low", [{ oil: "low" }])).toEqual([{ act: "stop", matter: "oil" }]);
    for (const text of ["min", "below min", "above max"])
      expect(follows(text)).toEqual([{ act: "stop", matter: "oil" }]);
    expect(follows("between")).toEqual([]);
  });

  it("is a stop when tyres or coolant are not ok, until somebody has looked", () => {
    expect(follows("tyres flat, coolant ok, oil between")).toEqual([
      { act: "stop", matter: "tyres" },
    ]);
    expect(follows("oil between, coolant below min")).toEqual([{ act: "stop", matter: "coolant" }]);
  });
});

describe("a reading repeated", () => {
  it("shows every value in the hirer's unit", () => {
    expect(
      sayReading({ oil: "between", odometerKm: 92_340 * kmPerMile, fluid: 0.45 }, "miles", file),
    ).toBe("oil: between the marks, odometer: 92,340 miles, exhaust fluid: about 45 %");
    expect(sayReading({ odometerKm: 148_250 }, "km", file)).toBe("odometer: 148,250 km");
    expect(sayReading({ note: 'tyres not ok ("x")' }, "km", file)).toBe("tyres not ok");
  });
});
