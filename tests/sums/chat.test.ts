/** The sums as hirers reach them: whole messages through the chat. The figures are worked out beside each. */
import { describe, expect, it } from "vitest";
import type { Reading } from "../../src/post.js";
import { hireWith } from "../kit/hire.js";

const told = (van: string, text: string): string => hireWith(van).says(text).hirer().join("\n");

describe("a question with a figure is answered by its sum", () => {
  it.each<[string, string[], string]>([
    // 6 A × 230 V = 1,380 W.
    [
      "wren",
      [
        "can I run a 2 kW heater on a 6 amp post",
        "will a 2000 watt fan heater trip a 6A hook up?",
        "site only gives six amps, 2,000W heater ok?",
      ],
      "2,000 W is more than that: it trips.",
    ],
    // 16 A × 230 V = 3,680 W; 3,680 − 2,200 = 1,480.
    [
      "wren",
      ["we have 16 amps here, is the hairdryer ok", "can I use a hair dryer on a 16A pitch"],
      "About 1,480 W is left for all else that is on.",
    ],
    // 30 W ÷ 12 V = 2.5 A, under the 4.75 A of the 20-hour rate: half of 95 Ah ÷ 2.5 A = 19 h.
    [
      "wren",
      [
        "how long will the fridge run on the battery",
        "how many hours does the leisure battery run the fridge?",
        "no hook up tonight, how long does the fridge go on the leisure battery",
      ],
      "About 19 hours from full: 95 Ah AGM, using 50 % of it, 30 W (2.5 A at 12 V).",
    ],
    // 0.22 kg × 45.74 MJ/kg ÷ 3.6 = 2.80 kWh; ÷ 2.2 kW = 1 h 16 min.
    [
      "wren",
      [
        "how long does a 220 g cartridge last",
        "how many hours of cooking in one 220g canister",
        "gas: how long is a 220 gram can good for?",
      ],
      "About 1 hour 15 minutes of one burner at full: 220 g of butane hold 2.8 kWh",
    ],
    // 30 mph is force 6 (25–31 mph); half as strong again: 45 mph.
    [
      "wren",
      [
        "is 30 mph wind ok for the awning",
        "30 mph forecast tonight, awning in or out?",
        "can we leave the awning up in 30 mph",
      ],
      "force 6, strong breeze. A forecast gives the mean; gusts are often half as strong again, here up to 45 mph.",
    ],
    [
      "wren",
      ["can the awning stay out in force 5", "force 5 tomorrow, what about the awning"],
      "Take it down; do not put it up.",
    ],
    // 2.10 − 2.02 = 8 cm.
    [
      "wren",
      [
        "will I fit under 2.1 m",
        "car park says 2.1 metres, do we fit?",
        "height limit 2,1m can the van go in",
      ],
      "8 cm between them.",
    ],
    ["wren", ["car park barrier says 6'6\", do we fit?", "6 ft 6 bridge ok?"], "4 cm higher"],
    // 900 mi = 1,448 km × 3.6 l per 1,000 km = 5.2 l, bought as 5.5 l.
    [
      "curlew",
      [
        "how much blue stuff after 900 miles",
        "we drove 900 miles, how much adblue goes back in",
        "exhaust fluid: how many litres for 900 miles",
      ],
      "About 5.5 litres for 900 miles",
    ],
    // 40 % of 20 l = 8 l ÷ 3.6 l per 1,000 km = 2,222 km = 1,381 mi.
    [
      "curlew",
      ["exhaust fluid at 40 %, how far will it go", "adblue 40 percent, how many miles is that?"],
      "At 40 %, about 8 litres of 20 litres: enough for about 1,380 miles.",
    ],
    // (1 − 0.25) × 75 l = 56.25 l, rounded up.
    [
      "curlew",
      [
        "it was full at pick-up and is at a quarter now, how much diesel to bring back",
        "full when we got it, quarter left, how many litres of diesel do I owe",
      ],
      "about 57 litres of diesel",
    ],
    // (40 % − 20 %) × 300 km = 60 km = 37 mi.
    [
      "plover",
      [
        "how far on 40 %",
        "drive battery 40 percent, how many miles is that",
        "range with 40% left?",
      ],
      "On 40 %: about 37 miles until 20 % is left",
    ],
    // 8 × 100 = 800; 900 − 800.
    [
      "wren",
      [
        "100 miles a day for 8 days, we have done 900, are we over?",
        "mileage: 100 miles per day, 8 days, driven 900 miles",
      ],
      "100 miles more than that",
    ],
    // 0.5 l ÷ 800 km × 1,000 = 0.625.
    [
      "wren",
      [
        "used half a litre of oil in 800 km, is that normal",
        "0.5 l of oil gone after 800 km, a lot?",
      ],
      "0.63 litres per 1,000 km",
    ],
    // 40 psi = 2.76 bar; the van's figure 2.9 bar = 42 psi.
    [
      "wren",
      ["front tyre is at 40 psi is that right", "tyre pressure front 40psi ok?"],
      "Front: 2 psi (0.14 bar) too low.",
    ],
    // Highway Code, rule 126: 73 m at 60 mph; rule 227: double in the wet.
    [
      "wren",
      ["how long to stop from 60 mph in the wet", "stopping distance at 60 mph in rain"],
      "at least twice as much: 146 m",
    ],
    // Force 2 goes up to 7 mph, but the gusts named are of force 6, up to 31 mph; the awning's limit is 15.
    ["curlew", ["force 2 with gusts 6, awning out ok?"], "Take it down; do not put it up."],
    // 2.60 − 2.85 = −25 cm.
    ["curlew", ["sign says 2m60, ok for us?"], "the van is 25 cm higher"],
    // Half of 6 kg: 3 kg × 46.35 MJ/kg ÷ 3.6 = 38.6 kWh; ÷ 2.2 kW = 17.5 h, rounded down; ÷ 0.75 h = 23.4 days.
    [
      "curlew",
      ["half full 6 kg bottle how many days cooking 45 mins"],
      "About 17 hours of one burner at full: 3 kg of propane hold 38.6 kWh",
    ],
    // (65 % − 20 %) × 290 km = 130 km = 81 mi; the van's own figure is 180 mi: 0.45 × 180 = 81, in whole km 83.
    ["plover", ["65% charge, can we make it 120 miles"], "120 miles is further than that"],
    // (30 % − 20 %) × 100 Ah ÷ (50 W ÷ 12 V) = 2.4 h.
    [
      "plover",
      ["battery at 30 percent how long for the cool box"],
      "About 2 hours 15 minutes from 30 %",
    ],
    // 125 × 5 = 625; 150 × 4 = 600.
    ["wren", ["are we over the mileage? 125 miles per day, 5 days, 700 driven"], "75 miles more"],
    ["wren", ["we drove 530 mi in 4 days and get 150 a day, ok?"], "70 miles are left"],
    // 2 bar of 4.5 and 5 bar.
    ["curlew", ["our tyre is at 2 bar is that ok to drive"], "a fifth or more. Do not drive on it"],
    // 300 kPa = 3 bar; 2.9 bar in front.
    ["wren", ["tyre pressure 300 kpa front good?"], "Front: 1 psi (0.1 bar) over the cold figure"],
  ])("%s: %s", (van, texts, says) => {
    for (const text of texts) expect(told(van, text), text).toContain(says);
  });

  it("a pressure turned into another unit is of no tyre, so none is called low", () => {
    expect(told("wren", "how much is 2.9 bar in psi")).toContain("2.9 bar is 42 psi.");
    expect(told("wren", "how much is 2.9 bar in psi")).not.toContain("too low");
  });

  it("a sign too low for the van alone is refused before anybody asks for the load on its roof", () => {
    expect(told("wren", "will we fit in a 2 metre car park with bikes on the roof")).toContain(
      "the van is 2 cm higher",
    );
  });
});

describe("a sum that lacks a figure", () => {
  it.each<[string, string, string, string, string]>([
    ["wren", "what can I run on 16 amps", "how many watts", "a kettle", "About 680 W is left"],
    ["wren", "what can I run here", "How many amps", "6", "how many watts"],
    ["wren", "is 30 ok for the awning", "30 of what", "mph", "30 mph (49 km/h, 13.4 m/s)"],
    ["wren", "is it too windy for the awning", "How strong is the wind", "force 6", "Take it down"],
    ["wren", "will we fit under the bridge", "What does the sign say", "2.1 m", "8 cm between"],
    ["wren", "roof box on, fit under 2.5 m?", "How high does it stand", "40", "with 40 cm on"],
    [
      "plover",
      "how many miles on the drive battery",
      "How full is it",
      "forty",
      "On 40 %: about 37 miles",
    ],
    [
      "curlew",
      "half now, how much diesel to bring back?",
      "at pick-up",
      "it was full",
      "38 litres",
    ],
    [
      "wren",
      "how many miles are left, we get 100 miles a day",
      "How far have you driven",
      "450",
      "250 miles are left",
    ],
    ["wren", "what is the stopping distance of this van?", "At what speed", "60", "at least 73 m"],
  ])("%s: %s → %s", (van, text, asks, reply, says) => {
    const play = hireWith(van).says(text);
    expect(play.hirer().join("\n")).toContain(asks);
    expect(play.says(reply).hirer().join("\n")).toMatch(
      new RegExp(
        says
          .split("|")
          .map((s) => s.replace(/[.*+?^${}()[\]\\]/g, "\\$&"))
          .join("|"),
      ),
    );
  });

  it.each<[string, string, string, string]>([
    ["wren", "can I run a kettle on a 600 amp post", "6", "A 6 A post gives at most 1,380 W"],
    ["wren", "can I run a 50 kW heater on a 16 amp post", "2 kW", "2,000 W is less than that"],
    ["wren", "is force 14 too much for the awning", "it was force 4", "Force 4, moderate breeze"],
    ["wren", "will I fit under 21 m", "2.1", "8 cm between"],
    ["curlew", "exhaust fluid at 150 %, how far", "50 percent", "At 50 %, about 10 litres"],
    ["wren", "can I run a 2 kg heater on 10 amps", "2 kW", "2,000 W is less than that"],
    ["wren", "20 kg cartridge how long does it burn", "220 g", "220 g of butane"],
    ["plover", "how far on minus 5 percent", "50 percent", "On 50 %: about"],
  ])("%s: what cannot be right is asked about: %s → %s", (van, text, reply, says) => {
    const play = hireWith(van).says(text);
    expect(play.hirer().join("\n")).toContain("cannot be right here");
    expect(play.says(reply).hirer().join("\n")).toContain(says);
  });

  it("waits for its figure only as long as nothing else is asked", () => {
    const play = hireWith("wren").says("what can I run on 16 amps");
    play.says("where do I fill up 20 litres of water?");
    expect(play.hirer().join("\n")).not.toContain("post gives");
    expect(play.says("1200").hirer().join("\n")).not.toContain("post gives");
  });
  it("of two in one message asks for one thing at a time, and reads the figure by its unit", () => {
    const both =
      "how far can we go on what is in the tank? how long will the leisure battery last?";
    const play = hireWith("wren").says(both);
    expect(play.hirer().join("\n")).toContain("How full is it");
    expect(play.hirer().join("\n")).not.toContain("Which appliance");
    // (40 % − 20 %) × 900 km = 180 km = 112 mi, rounded down.
    expect(play.says("40").hirer().join("\n")).toMatch(
      /On 40 %: about 110 miles.*\nLeisure battery.*\nWhich appliance/,
    );
    // 60 W ÷ 12 V = 5 A; half of 95 Ah by Peukert's law: 20 × (95 ÷ 100)^1.2 ÷ 2 = 9.4 h.
    expect(play.says("60").hirer().join("\n")).toContain("About 9 hours from full");
    const other = hireWith("wren").says(both).says("60 W");
    expect(other.hirer().join("\n")).toMatch(
      /About 9 hours from full[\s\S]*How far a tank takes you\nHow full is it/,
    );
    expect(other.says("40 %").hirer().join("\n")).toContain("On 40 %: about 110 miles");
  });
  it("keeps the figures of earlier replies", () => {
    const play = hireWith("wren").says("what can I run here").says("10 A").says("1000 W");
    // 10 A × 230 V = 2,300 W.
    expect(play.hirer().join("\n")).toContain("1,000 W is less than that. About 1,300 W is left");
  });
  it("takes a thing that stops working for no appliance to be reckoned with", () => {
    const play = hireWith("wren").says("how long does battery last off grid");
    expect(play.hirer().join("\n")).toContain("Which appliance");
    expect(play.says("hob wont lite").hirer().join("\n")).toContain("Lighting the stove");
    const asked = hireWith("wren").says("how long does battery last off grid");
    expect(asked.says("a 60 W laptop").hirer().join("\n")).toContain("has no inverter");
  });
});

describe("a sum that needs the pick-up record", () => {
  const reading = (at: string, more: Partial<Reading>): Reading =>
    ({ at: Date.parse(at), by: "morag", ...more }) as Reading;
  // hireWith: pick-up on 2 June 12:00, now 3 June 12:00.
  const atPickup = reading("2026-06-02T12:00+01:00", { odometerKm: 50_000, fluid: 0.9, fuel: 1 });

  it("uses each value as it was read then and last", () => {
    const play = hireWith("curlew", {
      readings: [
        atPickup,
        reading("2026-06-03T09:00+01:00", { fuel: 0.5 }),
        reading("2026-06-03T10:00+01:00", { odometerKm: 50_321.9 }),
      ],
    });
    // (1 − 0.5) × 75 l; 321.9 km = 200 mi of 150 mi × 7 days.
    expect(play.says("how much diesel do I need to bring it back").hirer().join()).toContain(
      "From 50 % up to 100 %, the level of pick-up: about 38 litres",
    );
    expect(play.says("how many miles left at 150 miles a day").hirer().join()).toContain(
      "You have driven 200 miles",
    );
  });

  /** Days later the reminder asks for the level of the exhaust fluid, and it is told. */
  const fluidTold = (readings: Reading[]) => {
    const play = hireWith("curlew", { readings });
    play.arrives({ kind: "booked", booking: play.hire().booking });
    play.until(() => play.last.because.join().includes("exhaust-fluid"));
    return play.says("fluid half, 51,000 km");
  };

  it("tells how much exhaust fluid to add when its level is told, as the reminder promises", () => {
    // (90 % − 50 %) × 20 l.
    expect(fluidTold([atPickup]).hirer().join()).toContain(
      "From 50 % up to 90 %, the level of pick-up: about 8 litres",
    );
  });

  it("asks for the level of pick-up where there is no record, and then tells how much to add", () => {
    const play = fluidTold([]);
    expect(play.hirer().join()).toContain("What did the exhaust fluid show at pick-up?");
    expect(play.says("it was full").hirer().join()).toContain(
      "From 50 % up to 100 %, the level of pick-up: about 10 litres",
    );
  });

  it("asks for it where nothing was read then, and never takes a later reading for it", () => {
    const play = hireWith("curlew", {
      readings: [reading("2026-06-03T09:00+01:00", { fuel: 0.5 })],
    });
    expect(play.says("how much diesel do I need to bring it back").hirer().join()).toContain(
      "what did it show at pick-up?",
    );
  });
});
