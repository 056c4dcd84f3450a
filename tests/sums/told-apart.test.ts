/**
 * Several figures in one message: which level is of now and which of pick-up, which pressure is of which axle, which
 * amps are the post's.
 */
import { describe, expect, it } from "vitest";
import { regionOf } from "../../src/knowledge/book.js";
import { placeholders } from "../../src/knowledge/placeholders.js";
import { readBook } from "../../src/knowledge/read.js";
import { sumFor } from "../../src/sums/ask.js";
import type { SumFacts } from "../../src/sums/words/say.js";

const { book } = readBook();
function sum(vanType: string, entry: string, text: string, more: Partial<SumFacts> = {}) {
  const van = book.vans.get(vanType) ?? expect.fail(`no van ${vanType}`);
  const { region, nation } = regionOf(book, "gb");
  const values = placeholders(van, region, nation, book.firm);
  return sumFor(entry, text, { van, sums: book.sums, values, distanceUnit: "miles", ...more });
}
const told = (...of: Parameters<typeof sum>) => sum(...of)?.told.join("\n") ?? "";
const asked = (...of: Parameters<typeof sum>) => sum(...of)?.missing ?? "";

describe("two levels in one message", () => {
  it.each([
    "we left with a full tank and it's now at half, how much diesel",
    "we picked it up full, now half",
    "half now, we picked it up full",
    "half now full at pick-up",
    "it was full now half",
    "half now it was full at pick-up",
    "full when we got it, half left, how many litres",
    "it was full and it is half",
    "picked up the van with a full tank, down to half",
    "we've half left, came with a full tank",
    "we're on half and need to bring it back full, how much diesel",
    "half full now, full at the start",
    "from full to half, how much diesel",
    "how much diesel from half to full",
  ])("%s: half is now, full was at pick-up", (text) => {
    // (1 − 0.5) × 75 l, rounded up.
    expect(told("curlew", "return-fuel", text)).toBe(
      "From 50 % up to 100 %, the level of pick-up: about 38 litres of diesel (75 litres in all).",
    );
  });

  it.each([
    ["plover", "ev-range", "charged to 80%, now at 30%, can we make 60 miles", "On 30 %"],
    ["plover", "ev-range", "battery was at 90 percent this morning, 35 percent now", "On 35 %"],
    ["plover", "ev-range", "half way to Ullapool and 30 % left", "On 30 %"],
    ["plover", "ev-range", "on 60 %, can I do 40 miles and keep 20 % in reserve", "On 60 %"],
    ["curlew", "ev-range", "we left with a full tank of diesel, now it is a quarter", "On 25 %"],
    ["wren", "leisure-battery", "90% at noon, now 55%, how long will the lights last", "from 55 %"],
    ["wren", "leisure-battery", "lights on half the night on the battery", "from full"],
    ["curlew", "gas-empty", "the 6 kg bottle was full, now it is half", "3 kg of propane"],
    ["wren", "gas-empty", "a 220 g cartridge, an hour and a half a day", "220 g of butane"],
  ])("%s, %s, %s: the level of now counts", (van, entry, text, says) => {
    expect(told(van, entry, text)).toContain(says);
  });

  it("without a word for either, the one of the record is that of pick-up", () => {
    const pickup = { fuel: 0.75 };
    for (const text of ["fuel 3/4, half, how much diesel", "half, 3/4: how much diesel"])
      expect(told("curlew", "return-fuel", text, { pickup }), text).toContain(
        "From 50 % up to 75 %",
      );
  });

  it("are asked about where neither words nor record tell them apart", () => {
    const text = "fuel full, half, how much diesel";
    for (const pickup of [{}, { fuel: 0.25 }])
      expect(asked("curlew", "return-fuel", text, { pickup })).toBe(
        "What does the gauge show now, and what did it show at pick-up?",
      );
    expect(asked("curlew", "exhaust-fluid-range", "full, half, how much to add")).toBe(
      "What does the gauge show now, and what did it show at pick-up?",
    );
  });

  it("'half full' is one of them", () => {
    const pickup = { fuel: 0.75 };
    expect(told("curlew", "return-fuel", "the tank is half full", { pickup })).toContain(
      "From 50 % up to 75 %",
    );
  });
});

describe("two pressures in one message", () => {
  // Curlew: front 4.5 bar, 65 psi; rear 5.0 bar, 73 psi. 50 psi are 3.45 bar.
  it.each([
    "front is 65 psi, rear is 50 psi, ok?",
    "65 psi in the front, 50 psi in the rear, ok?",
    "fronts are 65, rears 50 psi",
    "front 65 rear 50 psi is that right",
    "front and rear are at 65 and 50 psi",
    "front 65, rear 50, is that ok",
  ])("%s: each is held against its own axle", (text) => {
    const lines = told("curlew", "tyre-pressure", text);
    expect(lines).toContain("Front: that is the cold figure.");
    expect(lines).toContain("Rear: 23 psi (1.55 bar) too low, a fifth or more.");
    expect(lines.match(/Front:|Rear:/g)).toEqual(["Front:", "Rear:"]);
    expect(lines).toContain("4.48 bar is 65 psi.\n3.45 bar is 50 psi.");
  });

  it("of one axle are both held against it", () => {
    const lines = told("curlew", "tyre-pressure", "rear left is 73 psi, right is 50 psi, ok?");
    expect(lines).toContain("Rear: that is the cold figure.\nRear: 23 psi (1.55 bar) too low");
  });

  it.each([
    "tyres are at 65 psi and 50 psi, ok?",
    "front left 65 psi, right 60 psi, rear 50 psi ok?",
  ])("%s: without an axle for each, the figures alone are told", (text) => {
    const lines = told("curlew", "tyre-pressure", text);
    expect(lines).toContain("50 psi.\nCold tyres of your van: front");
    expect(lines).not.toMatch(/Front:|Rear:/);
  });

  it("an odd one is asked about", () => {
    expect(asked("curlew", "tyre-pressure", "front 65 psi, rear 50 bar")).toContain(
      "50 bar cannot be right here",
    );
  });
});

describe("amps of a post and of an appliance", () => {
  it.each([
    // A × 230 V; a 6 A post gives 1,380 W.
    ["can I run a 10 amp heater on a 6 amp hook up", "2,300 W is more than that"],
    ["a 13 amp heater on a 6 amp post", "2,990 W is more than that"],
    ["heater draws 8 amps, post 6 amps, ok?", "1,840 W is more than that"],
    ["a 4 amp kettle on a 10 amp hook up", "920 W is less than that. About 1,380 W"],
    ["10 amp post, can I run a 2 kW heater with a 13 amp plug", "2,000 W is less than that"],
    ["16 amp hook up heater ok?", "A 16 A post gives"],
    ["a 2 kW heater on a 16 or 6 amp post", "A 6 A post gives"],
  ])("an appliance's amps are not the post's: %s", (text, says) =>
    expect(told("wren", "what-can-i-run", text)).toContain(says),
  );

  it("asks for the post's amps where they may be the appliance's", () => {
    expect(told("wren", "what-can-i-run", "6 amp kettle ok")).toBe("");
    expect(asked("wren", "what-can-i-run", "6 amp kettle ok")).toContain("does the post give");
  });
});
