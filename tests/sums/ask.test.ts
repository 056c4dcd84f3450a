import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { regionOf } from "../../src/knowledge/book.js";
import { forbiddenIn } from "../../src/knowledge/forbidden.js";
import { named, placeholders } from "../../src/knowledge/placeholders.js";
import { projectFolder, readBook } from "../../src/knowledge/read.js";
import { completed, sumFor, summed } from "../../src/sums/ask.js";
import { isFigures, plain, quantities } from "../../src/sums/words/quantities.js";
import type { SumFacts, Summed } from "../../src/sums/words/say.js";

const { book, problems } = readBook();
function factsFor(vanType: string, more: Partial<SumFacts> = {}): SumFacts {
  const van = book.vans.get(vanType);
  if (!van) throw new Error(`no van ${vanType}`);
  const { region, nation } = regionOf(book, "gb");
  return {
    van,
    sums: book.sums,
    values: placeholders(van, region, nation, book.firm),
    distanceUnit: "miles",
    ...more,
  };
}
const ask = (
  vanType: string,
  entry: string,
  text: string,
  more: Partial<SumFacts> = {},
): Summed | undefined => sumFor(entry, text, factsFor(vanType, more));
const told = (vanType: string, entry: string, text: string, more: Partial<SumFacts> = {}): string =>
  (ask(vanType, entry, text, more)?.told ?? []).join("\n");
const missing = (vanType: string, entry: string, text: string): string =>
  ask(vanType, entry, text)?.missing ?? "";

describe("quantities in a message", () => {
  const read = (text: string): string[] =>
    quantities(plain(text)).map((q) => `${q.kind} ${Number(q.value.toPrecision(6))}`);
  it("are read with their units in many spellings", () => {
    expect(read("a 2 kW heater on a 6 amp post")).toEqual(["power 2000", "current 6"]);
    expect(read("2kw on 6a hookup")).toEqual(["power 2000", "current 6"]);
    expect(read("two kilowatts, 1,500W and 1 500 watts")).toEqual([
      "power 2000",
      "power 1500",
      "power 1500",
    ]);
    expect(read("6'6\", 6 ft 6 in, 6 foot 6")).toEqual([
      "length 1.9812",
      "length 1.9812",
      "length 1.9812",
    ]);
    expect(read("2.1 m, 2,1m, 210 cm, 7 foot")).toEqual([
      "length 2.1",
      "length 2.1",
      "length 2.1",
      "length 2.1336",
    ]);
    expect(read("30 mph, 48 km/h, 26 knots, 13 m/s, force 6, 6 bft")).toEqual([
      "speed 13.4112",
      "speed 13.3333",
      "speed 13.3756",
      "speed 13",
      "force 6",
      "force 6",
    ]);
    expect(read("40 %, half, three quarters, a third")).toEqual([
      "share 0.4",
      "share 0.5",
      "share 0.75",
      "share 0.333333",
    ]);
    expect(read("900 miles, 1,500 km, 10,000km")).toEqual([
      "length 1448410",
      "length 1500000",
      "length 10000000",
    ]);
    expect(read("40 psi, 2.8 bar")).toEqual(["pressure 2.7579", "pressure 2.8"]);
    expect(read("half a litre, 220 g, 6 kg, 12 Ah, 230 V")).toEqual([
      "volume 0.5",
      "mass 0.22",
      "mass 6",
      "charge 12",
      "voltage 230",
    ]);
    expect(read("force 6 30 mph")).toEqual(["force 6", "speed 13.4112"]);
    expect(read("a day, an amp, I am")).toEqual([]);
    expect(read("2 metres 10, 2 meters 50 cm")).toEqual(["length 2.1", "length 2.5"]);
    expect(read("an hour and a half, a day and a half")).toEqual(["time 1.5", "time 36"]);
  });
  it("half, quarter and full of a time, a way or a flame are no level", () => {
    for (const text of ["half the night", "half way to Ullapool", "half past", "on full power"])
      expect(read(text), text).toEqual([]);
    expect(read("half way, full tank, 1/2 a bottle")).toEqual([
      "share 0.5",
      "share 1",
      "share 0.5",
    ]);
  });
});

describe("numbers as they are written elsewhere", () => {
  const read = (text: string) => quantities(plain(text)).map((q) => `${q.kind} ${q.value}`);
  it.each([
    ["1.500 W", "power 1500"],
    ["1.200 km", "length 1200000"],
    ["1.500g", "mass 1.5"],
    // Of these thousandths are said, and a number of thousands begins with no nought.
    ["1.500 kW", "power 1500"],
    ["2.100 m", "length 2.1"],
    ["0.500 km", "length 500"],
    ["3/8", "share 0.375"],
    ["three eighths", "share 0.375"],
    ["7/10", "share 0.7"],
    ["nearly empty", "share 0.1"],
    ["almost full", "share 0.9"],
  ])("%s is %s", (text, is) => expect(read(text)).toEqual([is]));

  it("a point parts thousands of watts and miles", () => {
    expect(told("wren", "what-can-i-run", "1.500 w heater on 6 amp ok?")).toContain(
      "1,500 W is more than that",
    );
    // 150 × 7 = 1,050; 1,250 − 1,050.
    for (const text of ["we did 1.250 miles", "1.250 done"])
      expect(told("wren", "mileage-limit", `150 miles a day for 7 days, ${text}`), text).toContain(
        "200 miles more than that",
      );
    // 1,600 km × 3.6 l per 1,000 km = 5.76 l, bought as 6 l.
    expect(told("curlew", "exhaust-fluid-range", "how much blue stuff after 1.600 km")).toContain(
      "About 6 litres",
    );
  });

  it("eighths are a level, but no day", () => {
    // (1 − 3/8) × 75 l = 46.9 l, rounded up.
    expect(told("curlew", "return-fuel", "it is at 3/8 and was full at pick up")).toContain(
      "about 47 litres of diesel",
    );
    expect(told("curlew", "return-fuel", "half now, full at pick up, back on 3/8")).toContain(
      "From 50 % up to 100 %",
    );
  });
});

describe("a reply that brings what was missing", () => {
  const open = {
    entry: "van-height",
    words: "fit under 3.2 m with a kayak on the roof",
    unit: "cm",
  };
  it.each([
    // 3.20 − 2.02 − 15 × 0.0254 m = 79.9 cm; a foot is 0.3048 m.
    ['15"', "with 39 cm on the roof: 79 cm between"],
    ["15”", "with 39 cm on the roof: 79 cm between"],
    ["15''", "with 39 cm on the roof: 79 cm between"],
    ["1'", "with 31 cm on the roof: 87 cm between"],
    ["about 15 :)", "with 15 cm on the roof: 103 cm between"],
    ["15.", "with 15 cm on the roof: 103 cm between"],
  ])("%s: a mark of a unit is none of the unit that was asked for", (reply, says) => {
    expect(told("wren", "van-height", completed(open, reply))).toContain(says);
  });
});

describe("what can I run", () => {
  it("holds the load against the post, and shows both", () => {
    expect(told("wren", "what-can-i-run", "can I run a 2 kW heater on a 6 amp post")).toBe(
      "A 6 A post gives at most 1,380 W (230 V × 6 A).\n2,000 W is more than that: it trips. Do not try.",
    );
    expect(told("wren", "what-can-i-run", "800w heater on 6a hookup")).toContain(
      "About 580 W is left",
    );
    expect(
      told("wren", "what-can-i-run", "2000 watt fan heater plus a 1,500W kettle on 16A"),
    ).toContain("3,500 W is less than that. About 180 W");
  });

  it("without the post says what is drawn; without watts takes the top of the label and says so", () => {
    expect(told("wren", "what-can-i-run", "can I run a kettle")).toMatch(
      /I took 3,000 W for a kettle.*\n3,000 W draws about 13\.1 A .*at least a 16 A post/,
    );
    expect(told("wren", "what-can-i-run", "a 5 kW welder")).toContain("not in this van");
    expect(missing("wren", "what-can-i-run", "what can I run on 16 amps")).toContain(
      "how many watts",
    );
    expect(missing("wren", "what-can-i-run", "what can I run")).toContain("How many amps");
  });

  it.each([
    // 6 A × 230 V = 1,380 W: 2 × 500 W are less by 380 W.
    ["can I run two 500 w heaters on 6 amp", "1,000 W is less than that. About 380 W"],
    ["2 x 500 w on 6 amp", "1,000 W is less"],
    ["500 w heater x 2 on 6 amp", "1,000 W is less"],
    ["2 heaters of 500 w each on 6 amp", "1,000 W is less"],
    ["2 heaters, 1000 w in total, on 6 amp", "1,000 W is less"],
    ["both 500 w heaters on 6 amp", "1,000 W is less"],
    ["we are 2, 800 w heater on 6 amp", "800 W is less"],
    // 2 × 2,200 W, the usual one; 10 A × 230 V = 2,300 W against 2,000 + 3,000 W.
    ["two hair dryers on 16 amp", "4,400 W is more than that"],
    ["a 2 kW heater and a kettle on a 10 amp post", "5,000 W is more than that"],
    ["kettle. label says 2200 w, 10 amp", "2,200 W is less than that"],
  ])("counts all that is said, as often as it is said: %s", (text, says) => {
    expect(told("wren", "what-can-i-run", text)).toContain(says);
  });

  it("shows what it took for a thing beside one whose watts are said", () => {
    expect(told("wren", "what-can-i-run", "a 2 kW heater and a kettle on 10 amps")).toContain(
      "I took 3,000 W for a kettle",
    );
  });

  it("never counts more than the van's inlet takes", () => {
    expect(told("wren", "what-can-i-run", "hair dryer on a 32 amp post")).toContain(
      "inlet takes at most 16 A",
    );
  });
});

describe("the leisure battery", () => {
  it("runs a load by its size and chemistry, from full or from the level said", () => {
    expect(told("wren", "leisure-battery", "how long will the fridge run on the battery")).toMatch(
      /About 19 hours from full: 95 Ah AGM, using 50 % of it, 30 W/,
    );
    expect(told("plover", "leisure-battery", "60 W at 70 %")).toContain(
      "About 10 hours from 70 %: 100 Ah LiFePO4, using 50 % of it",
    );
    expect(told("wren", "leisure-battery", "battery at 40 %, how long for the lights")).toContain(
      "nothing left to use",
    );
  });

  it("counts all that runs", () => {
    // 5 × 4 W ÷ 12 V = 1.67 A; half of 95 Ah ÷ 1.67 A = 28.5 h. 30 + 10 W: 3.33 A, 14.25 h.
    expect(told("wren", "leisure-battery", "how long will 5 lights of 4w run")).toContain(
      "About 28 hours from full",
    );
    expect(told("wren", "leisure-battery", "how long do the fridge and a 10 W fan run")).toMatch(
      /I took 30 W for the fridge.*\nAbout 14 hours from full/,
    );
  });

  it("knows what a van has not: an inverter, or a fridge for standing on the battery", () => {
    expect(told("wren", "leisure-battery", "how long does a 60 W laptop run")).toContain(
      "no inverter",
    );
    expect(told("plover", "leisure-battery", "kettle on the battery")).toContain(
      "more than the inverter's 2,000 W",
    );
    expect(
      told("curlew", "leisure-battery", "how long will the fridge run on the battery"),
    ).toContain("for the road");
  });
});

describe("gas", () => {
  it("lasts by mass, or by how full the bottle is", () => {
    expect(told("wren", "gas-empty", "how long does a 220 g cartridge last")).toContain(
      "About 1 hour 15 minutes of one burner at full: 220 g of butane hold 2.8 kWh, the burner takes 2.2 kW.",
    );
    expect(told("curlew", "gas-empty", "half a bottle left, how long")).toContain("About 17 hours");
    expect(told("curlew", "gas-empty", "full bottle, 1 hour a day, 2 kW burner")).toContain(
      "At 1 hour a day that is about 38 days.",
    );
    expect(missing("wren", "gas-empty", "half a cartridge left, how long")).toContain(
      "grams or kilos",
    );
  });
});

describe("a gas bottle on the scales", () => {
  it.each([
    // 9 − 5.5 kg; 3.5 kg × 46.35 MJ/kg ÷ 3.6 = 45.1 kWh.
    ["bottle weighs 9 kg and empty is 5.5 kg", "3.5 kg of propane hold 45.1 kWh"],
    ["tare 5.5 kg, on the scales 9 kg", "3.5 kg of propane"],
    ["6 kg bottle, 2 kg left", "2 kg of propane"],
    ["5 kg left, how long until it is empty", "5 kg of propane"],
    ["12 kg in both bottles", "12 kg of propane"],
  ])("counts with the gas alone: %s", (text, says) => {
    expect(told("curlew", "gas-empty", text)).toContain(says);
  });
  it("that is heavier than the gas of a full one is asked for its own weight", () => {
    const words = "how long does it last; 11 kg";
    expect(told("curlew", "gas-empty", words)).toBe("");
    expect(missing("curlew", "gas-empty", words)).toContain("more than the 6 kg of gas");
    const open = { entry: "gas-empty", words, unit: "kg" };
    // 11 − 6.2 kg.
    for (const reply of ["6.2", "6.2 kg", "TW 6.2"])
      expect(told("curlew", "gas-empty", completed(open, reply)), reply).toContain("4.8 kg of");
    expect(missing("curlew", "gas-empty", "60 kg")).toContain("cannot be right");
  });
});

describe("wind and the awning", () => {
  it("counts gusts on top of a forecast's mean", () => {
    expect(told("wren", "awning-wind", "is 30 mph wind ok for the awning")).toMatch(
      /^30 mph \(49 km\/h, 13\.4 m\/s\): force 6, strong breeze.*45 mph\.\nYour awning comes down before 18 mph/,
    );
    for (const text of [
      "12 mph",
      "force 5",
      "35 km/h gusts",
      "10 mph gusting 20",
      "9 m/s",
      "16 knots",
      "force 12",
      "beaufort 3",
    ])
      expect(told("wren", "awning-wind", text), text).toContain("Take it down; do not put it up.");
    for (const text of ["8 knots", "5 m/s", "force 2", "gusts of 17 mph", "11 mph"])
      expect(told("wren", "awning-wind", text), text).toContain("That stays under the 18 mph");
    // The Curlew's awning comes down earlier.
    expect(told("curlew", "awning-wind", "gusts of 17 mph")).toContain("comes down before 15 mph");
  });

  it("counts the highest of what is said, as forecasts speak", () => {
    // Beaufort scale of the Met Office: force 3 goes up to 12 mph, 4 to 18, 5 to 24; half as strong again in gusts.
    for (const [text, gust] of [
      ["force 2 to 3 is awning ok?", 18],
      ["force 2-3", 18],
      ["force 2 or 3", 18],
      ["3 to 4 beaufort", 27],
      ["force 2 increasing 4", 27],
      ["force 2 to 3, occasionally 4 later", 27],
      ["10 mph now, force 5 later", 36],
      ["10mph wind rising to 20 later", 30],
      ["20 falling to 10 mph", 30],
      // Clocks and hours are no wind.
      ["10 mph up to 8 pm", 15],
      ["force 2 until 20:00", 11],
    ] as const)
      expect(told("wren", "awning-wind", text), text).toContain(`here up to ${gust} mph`);
    // 10 knots are 11.5 mph, half as strong again 17.3, shown as 18.
    for (const text of ["10 knots of wind", "19 km/h"])
      expect(told("wren", "awning-wind", text), text).toMatch(/up to 18 mph.*\n.*Take it down/);
    expect(told("wren", "awning-wind", "10 mph gusting 15 to 20")).toMatch(/^20 mph.* in gusts/);
  });

  it("asks for the unit, and about what cannot be", () => {
    expect(missing("wren", "awning-wind", "is 30 ok")).toBe(
      "30 of what: mph, km/h, knots, m/s, or Beaufort force?",
    );
    for (const text of ["force 14", "-5 mph", "900 mph"])
      expect(missing("wren", "awning-wind", text), text).toContain("cannot be right");
  });
});

describe("height", () => {
  it("under 10 cm, with the load, is a no", () => {
    expect(told("wren", "van-height", "will I fit under 2.1 m")).toMatch(
      /Sign 2\.10 m \(6 ft 10 in\), your van 2\.02 m \(6 ft 8 in\): 8 cm between them\.\n.*\nUnder 10 cm: do not drive in/,
    );
    for (const text of ["6'6\" barrier", "barrier 2.0m", "car park 190 cm"])
      expect(told("wren", "van-height", text), text).toContain("Do not drive in");
    expect(told("curlew", "van-height", "will I fit under 2.1 m")).toContain("75 cm higher");
    expect(told("wren", "van-height", "2.5 metres with a roof box 40 cm high")).toContain(
      "with 40 cm on the roof: 8 cm between",
    );
    expect(told("wren", "van-height", "7 foot")).toContain("11 cm between them");
  });

  it.each([
    // The Wren is 2.02 m high, the Curlew 2.85 m.
    ["wren", "can a 6m van get under a 2.1m barrier", "8 cm between"],
    ["wren", "ferry asks length, under 6 m? and height under 2.1 m?", "8 cm between"],
    ["wren", "width limit 2 m, height limit 2.1 m", "8 cm between"],
    ["wren", "van is 1.9 m wide, a barrier of 2.1 m 20 m ahead", "8 cm between"],
    ["wren", "2.5 m or 2.1 m", "8 cm between"],
    ["curlew", "bridge in 5 m signed 2.7 m do we fit under", "15 cm higher"],
    // 2.70 − 3.00 − 0.40 m: the van is taken as high as it is said to be.
    ["curlew", "our van is 3 m high with the roof box 40cm, fit under 2.7m?", "70 cm higher"],
    ["curlew", "our van is 2.8 m high, fit under 2.9 m?", "5 cm between"],
    // 2.50 − 2.02 − 0.40 m.
    ["wren", "roof box 80 cm wide and 40 cm high, under 2.5 m", "8 cm between"],
  ])("%s: takes the lowest sign, and no length of another thing: %s", (van, text, says) => {
    expect(told(van, "van-height", text)).toContain(says);
  });

  it("asks for the sign where only the van's own length or height is said", () => {
    for (const text of ["can a 6m van fit in here", "our van is 2.2 m high, do we fit"])
      expect(missing("wren", "van-height", text), text).toContain("What does the sign say");
  });

  it("asks for the unit and for what stands on the roof", () => {
    expect(missing("wren", "van-height", "a 9 bridge")).toBe("Is the 9 in metres or in feet?");
    expect(missing("wren", "van-height", "2.5 m with a roof box")).toContain(
      "How high does it stand",
    );
    expect(missing("wren", "van-height", "bridge 21 m")).toContain("cannot be right");
  });
});

describe("fluids and ranges", () => {
  it("exhaust fluid is told by distance, by level, and as owed", () => {
    expect(told("curlew", "exhaust-fluid-range", "how much blue stuff after 900 miles")).toBe(
      "About 5.5 litres for 900 miles: your van takes 3.6 litres per 1,000 km, rounded up. The tank holds 20 litres.",
    );
    expect(told("curlew", "exhaust-fluid-range", "at half, how far")).toContain(
      "enough for about 1,720 miles",
    );
    expect(
      told("curlew", "exhaust-fluid-range", "fluid at 40 %, full at pick-up, how much do I owe"),
    ).toContain("From 40 % up to 100 %, the level of pick-up: about 12 litres");
    expect(
      told("curlew", "exhaust-fluid-range", "how much adblue do I owe", {
        pickup: { fluid: 0.9 },
        latest: { fluid: 0.5 },
      }),
    ).toContain("about 8 litres");
    expect(
      ask("plover", "exhaust-fluid-range", "how much blue stuff after 900 miles"),
    ).toBeUndefined();
  });

  it("fuel and charge to bring back are rounded up", () => {
    expect(told("curlew", "return-fuel", "it was full and now it is at a quarter")).toContain(
      "about 57 litres of diesel",
    );
    expect(told("plover", "return-fuel", "now 30%, it was 80 % at pick-up")).toContain(
      "about 38 kWh",
    );
    expect(told("curlew", "return-fuel", "half at pick-up, three quarters now")).toContain(
      "nothing to add",
    );
    expect(missing("curlew", "return-fuel", "half now")).toContain("at pick-up");
  });

  it("an allowance is of the whole hire, not of the days that are left", () => {
    // 100 × 7 − 500.
    const words = "allowance is 100 miles a day, we drove 500 and have 3 days left, are we over";
    expect(told("wren", "mileage-limit", words, { days: 7 })).toContain("200 miles are left");
  });

  it("a range keeps 20 % in reserve and is rounded down", () => {
    // (40 % − 20 %) of 300 km are 60 km, 37 miles.
    expect(told("plover", "ev-range", "how far on 40 %")).toContain(
      "On 40 %: about 37 miles until 20 % is left",
    );
    expect(told("plover", "ev-range", "how far on 40 %", { distanceUnit: "km" })).toContain(
      "about 60 km",
    );
    expect(told("plover", "ev-range", "can I do 80 miles on 60%")).toContain(
      "80 miles is further than that",
    );
    expect(told("plover", "ev-range", "15% left")).toContain("nearest place now");
  });

  it("an allowance, oil and tyre air are worked out with their inputs shown", () => {
    expect(told("wren", "mileage-limit", "100 miles a day for 8 days, we have done 900")).toBe(
      "100 miles a day for 8 days is 800 miles. You have driven 900 miles: 100 miles more than that.",
    );
    expect(
      told("wren", "mileage-limit", "150 miles a day", {
        days: 7,
        pickup: { odometerKm: 1000 },
        latest: { odometerKm: 1000 + 804.672 },
      }),
    ).toContain("You have driven 500 miles: 550 miles are left.");
    expect(told("wren", "oil-top-up", "used half a litre in 800 km")).toContain(
      "0.63 litres per 1,000 km.\nA handbook calls more than 0.5 too much.",
    );
    expect(told("wren", "tyre-pressure", "rear reads 30 psi")).toContain("Do not drive on it");
    expect(told("wren", "tyre-pressure", "front is at 40 psi")).toContain(
      "Front: 2 psi (0.14 bar) too low.",
    );
    expect(told("wren", "snow-ice", "how long to stop from 60 mph in the wet")).toMatch(
      /at least 73 m[\s\S]*at least twice as much: 146 m/,
    );
  });
});

describe("every sum", () => {
  it("belongs to an entry of the contract", () => {
    for (const id of [
      "what-can-i-run",
      "leisure-battery",
      "gas-empty",
      "awning-wind",
      "van-height",
      "exhaust-fluid-range",
      "return-fuel",
      "ev-range",
      "mileage-limit",
      "oil-top-up",
      "tyre-pressure",
    ])
      expect(summed).toContain(id);
    for (const id of summed)
      expect(readFileSync(join(projectFolder(), "knowledge", "topics.yaml"), "utf8")).toContain(
        `    ${id}: `,
      );
    expect(sumFor("wifi", "30 mph", factsFor("wren"))).toBeUndefined();
  });

  it("says only lines of the book, uses each of them, and fills them for every van", () => {
    expect(problems.filter((p) => p.file === "sums.yaml")).toEqual([]);
    const folder = join(projectFolder(), "src", "sums", "words");
    const code = readdirSync(folder)
      .map((f) => readFileSync(join(folder, f), "utf8"))
      .join("\n");
    for (const [id, line] of Object.entries(book.sums.says)) {
      expect(code.includes(`"${id}"`) || /^pressure-(low|very-low|high|right)$/.test(id), id).toBe(
        true,
      );
      for (const name of named(line))
        for (const vanType of book.vans.keys())
          expect(factsFor(vanType).values.has(name), `${id}: {${name}}`).toBe(true);
      expect(forbiddenIn(line), id).toEqual([]);
      expect(line).not.toMatch(/\bsafe(ly)?\b/i);
    }
    for (const [, id] of code.matchAll(/say\(\s*asked,\s*"([a-z-]+)"/g))
      expect(Object.keys(book.sums.says)).toContain(id);
  });

  it("answers any text of numbers and units without a throw, a gap or the word safe", () => {
    const word = fc.constantFrom(
      "2",
      "0",
      "-3",
      "1,500",
      "2.1",
      "999999",
      "half",
      "kW",
      "W",
      "amp",
      "A",
      "mph",
      "km/h",
      "force",
      "m",
      "ft",
      "%",
      "psi",
      "bar",
      "miles",
      "km",
      "a day",
      "days",
      "kg",
      "g",
      "litres",
      "gusts",
      "kettle",
      "fridge",
      "laptop",
      "how much",
      "owe",
      "pick-up",
      "stop",
      "now",
      "roof box",
      "?",
    );
    fc.assert(
      fc.property(
        fc.constantFrom(...summed),
        fc.constantFrom(...book.vans.keys()),
        fc.oneof(
          fc.array(word, { maxLength: 8 }).map((w) => w.join(" ")),
          fc.string({ unit: "grapheme", maxLength: 40 }),
        ),
        (entry, vanType, text) => {
          const sum = ask(vanType, entry, text);
          for (const line of [
            ...(sum?.told ?? []),
            ...(sum?.missing === undefined ? [] : [sum.missing]),
          ]) {
            expect(line, `${entry}: ${text}`).not.toMatch(/[{}]|NaN|Infinity|undefined|\bsafe/);
            expect(line.length).toBeGreaterThan(5);
          }
          if (sum) expect(sum.told.length + (sum.missing ? 1 : 0)).toBeGreaterThan(0);
        },
      ),
      { numRuns: 3000 },
    );
  });
});

describe("a message of figures alone", () => {
  it.each(["40 cm", "40cm", "2.1 m", "1,500 km", "half", "450", "16 amps", "6'10\""])(
    "%s",
    (text) => {
      expect(isFigures(text)).toBe(true);
    },
  );
  it.each(["2 flat tyres", "it is 40 cm", "yes", "", "4 of us hurt", "112 please"])(
    "not %s",
    (text) => {
      expect(isFigures(text)).toBe(false);
    },
  );
});
