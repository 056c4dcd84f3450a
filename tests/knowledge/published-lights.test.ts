/** Light colours, meanings and first acts against ISO 2575, UN R121, the emission rules and the Highway Code. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { actsOn, type LightEntry } from "../../src/knowledge/book.js";
import { projectFolder } from "../../src/knowledge/read.js";
import { book, outOfOrder, told, vans, vansOf } from "./told.js";

const lights = [...book.entries.values()].filter((e): e is LightEntry => e.kind === "light");
const light = (id: string): LightEntry => {
  const found = lights.find((e) => e.id === id);
  if (!found) throw new Error(`no light ${id}`);
  return found;
};

describe("the colour of a light", () => {
  // UN Regulation 121, Table 1. The rows for main beam and direction indicators (items 3 and 5) were read in the text;
  // the others are from memory. The regulation says yellow where ISO 2575 says amber.
  it.each([
    ["main-beam", "blue"],
    ["indicators", "green"],
    ["rear-fog", "amber"],
    ["low-fuel", "amber"],
    ["oil-pressure", "red"],
    ["coolant-hot", "red"],
    ["charging-system", "red"],
    ["seat-belt", "red"],
    ["brake-system", "red"],
    ["handbrake-on", "red"],
    ["abs", "amber"],
    ["brake-pads", "amber"],
    ["tyre-pressure-light", "amber"],
    ["stability-control", "amber"],
    ["engine-steady", "amber"],
    ["engine-flashing", "amber"],
    ["glow-plug", "amber"],
  ])("%s is %s, as UN R121 Table 1 has it", (id, colour) => {
    expect(light(id).colour).toBe(colour);
    // What is said and what is seen agree: the symbol's line names the colour, and no other one.
    const named =
      light(id)
        .text.symbol.toLowerCase()
        .match(/\b(red|amber|blue|green)\b/g) ?? [];
    expect([...new Set(named)], light(id).text.symbol).toEqual([colour]);
  });
  it("is red or amber for the airbag, as UN R121 leaves it open", () => {
    expect(["red", "amber"]).toContain(light("airbag").colour);
  });
  it("is never red for the engine light: Directive 98/69/EC Annex XI 3.5.1 allows no red malfunction indicator", () => {
    // From memory; the United States rule 40 CFR 1048.110 (read) likewise says any colour except red.
    for (const id of ["engine-steady", "engine-flashing"]) expect(light(id).colour).not.toBe("red");
  });
  it("is the only colour that its line names", () => {
    for (const { id, colour, text } of lights) {
      if (colour === "any") continue;
      const named = text.symbol.toLowerCase().match(/\b(red|amber|blue|green)\b/g) ?? [];
      expect(
        [...new Set(named)].filter((c) => c !== colour),
        `${id}: ${text.symbol}`,
      ).toEqual([]);
    }
  });
  it("is the colour of its drawing", () => {
    const hueOf = (hex: string) => {
      const [r = 0, g = 0, b = 0] = [1, 3, 5].map((i) => Number.parseInt(hex.slice(i, i + 2), 16));
      const [most, least] = [Math.max(r, g, b), Math.min(r, g, b)];
      if (most - least < 40) return undefined; // a grey
      const turn = most - least;
      const sixth =
        most === r
          ? ((g - b) / turn + 6) % 6
          : most === g
            ? (b - r) / turn + 2
            : (r - g) / turn + 4;
      const degrees = sixth * 60;
      if (degrees < 15 || degrees > 345) return "red";
      if (degrees > 25 && degrees < 50) return "amber";
      if (degrees > 90 && degrees < 160) return "green";
      return degrees > 200 && degrees < 250 ? "blue" : `${hex}?`;
    };
    let drawn = 0;
    for (const { id, colour } of lights) {
      if (colour === "any") continue;
      const svg = readFileSync(
        join(projectFolder(), "knowledge", "pictures", `light-${id}.svg`),
        "utf8",
      );
      const hues = new Set((svg.match(/#[0-9a-f]{6}\b/gi) ?? []).map(hueOf));
      hues.delete(undefined);
      expect([...hues], id).toEqual([colour]);
      drawn++;
    }
    expect(drawn).toBeGreaterThanOrEqual(33);
  });
});

describe("what a colour means", () => {
  // ISO 2575:2021, clause 5 (meanings as restated in UN R60 Annex 4 note 8): red, danger to people or very serious damage,
  // now or imminent; amber, caution, outside normal limits; green, normal operation. UN R121: blue for main beam.
  it("is stop for red, but for the belt that anyone can fasten and the airbag that may be amber too", () => {
    for (const one of lights.filter((e) => e.colour === "red"))
      expect(actsOn(one), one.id).toBe(
        one.id === "seat-belt" ? "note" : one.id === "airbag" ? "soon" : "stop",
      );
  });
  it("is at least a word to us for amber, but for what a driver sets right at once", () => {
    // Glow plugs before a start, the rear fog light and screenwash are normal operation in amber.
    const ordinary = new Set(["glow-plug", "rear-fog", "washer-low"]);
    for (const one of lights.filter((e) => e.colour === "amber"))
      if (ordinary.has(one.id)) expect(actsOn(one), one.id).toBe("note");
      else expect(["soon", "stop"], one.id).toContain(actsOn(one));
  });
  it("is information for green and blue", () => {
    const calm = lights.filter((e) => e.colour === "green" || e.colour === "blue");
    expect(calm.map((e) => e.id).sort()).toEqual(["indicators", "main-beam"]);
    for (const one of calm) expect(actsOn(one), one.id).toBe("note");
  });
  it("is told so of a light that nobody knows: the road operator's advice of 2025, red stop, amber check, the rest information", () => {
    // National Highways (England) dashboard light advice, as reported in the press; Highway Code Annex 6: stop and investigate.
    for (const van of vans) {
      const text = told("unknown-light", van);
      expect(
        outOfOrder(text, [/Red or flashing: stop/, /Amber: tell us/, /Blue or green/]),
      ).toEqual([]);
    }
    expect(book.phrases.get("light-colours")).toMatch(
      /red, or amber that flashes: stop.*amber: slow down.*blue or green/i,
    );
  });
});

/** The van types of an entry whose engine it can be about; the electric one is told that it has no such light. */
const diesel = (id: string) =>
  vansOf(id).filter((van) => book.vans.get(van)?.has.includes("engine"));

describe("the first act at a light", () => {
  it("is engine off and no new start for red oil, as makers' handbooks say", () => {
    for (const van of vansOf("oil-pressure"))
      expect(told("oil-pressure", van)).toMatch(/Engine off at once\. Do not start it again/);
  });
  it("is loads off with the engine kept running to a place of safety for the charging light", () => {
    // Makers' handbooks: reduce the load, keep it running, seek help; Highway Code Annex 6: lights and electrics can be lost.
    for (const van of vansOf("charging-system")) {
      const text = told("charging-system", van);
      expect(text).toMatch(/Keep it running until you are/);
      expect(text).toMatch(/Turn off the fan, heated windows/);
      expect(text).toMatch(/Keep the headlights on if it is dark/);
      expect(text).not.toContain("Once stopped: engine off");
    }
  });
  it("is stop for a flashing engine light: UN R83 Annex 11 keeps flashing for misfire that harms the catalyst", () => {
    expect(actsOn(light("engine-flashing"))).toBe("stop");
    expect(actsOn(light("engine-steady"))).toBe("soon");
  });
  it("is a steady run of 40 to 70 mph for 10 to 20 minutes for the soot filter, and never on dry grass", () => {
    // Makers' owner information (two): 60 to 112 km/h, 10 to 20 minutes; hot exhaust over dry grass.
    for (const van of diesel("particle-filter")) {
      const text = told("particle-filter", van);
      const [, mph, minutes] = /(\d+) mph or more for about (\d+) minutes/.exec(text) ?? [];
      expect(Number(mph)).toBeGreaterThanOrEqual(40);
      expect(Number(mph)).toBeLessThanOrEqual(70);
      expect(Number(minutes)).toBeGreaterThanOrEqual(10);
      expect(Number(minutes)).toBeLessThanOrEqual(20);
      expect(text).toMatch(/Where the road and the law allow it/);
      expect(text).toMatch(/Never stop on dry grass/);
      expect(text).not.toContain("Once stopped: engine off");
    }
  });
  it("is to keep running to a filling point where exhaust fluid bars the next start", () => {
    // UN R83 Annex 11 Appendix 6, 8.3, and three makers' handbooks: it runs until switched off, and does not start when empty.
    for (const van of diesel("exhaust-fluid-no-restart")) {
      const text = told("exhaust-fluid-no-restart", van);
      expect(text).toMatch(/Do not switch off before you stand at a filling point/);
      expect(text).not.toContain("Once stopped: engine off");
    }
  });
  it("is never to fill something in where the van has no such tank: the electric van says so before any step", () => {
    for (const id of ["oil-level", "exhaust-fluid-low", "exhaust-fluid-no-restart", "low-fuel"]) {
      const text = told(id, "plover");
      expect(outOfOrder(text, [/no such light\. Pour nothing in/, /\n1\. /]), id).toEqual([]);
      expect(text, id).not.toMatch(/fill up|top up|put in|litres|petrol/i);
    }
    // Its own low-charge symbol is a small pump with a cable.
    expect(told("low-fuel", "plover")).toMatch(/pump with a cable.*low charge\.\n2\. Then charge/);
  });
  it("is never a reach under a hot exhaust: from dry grass people keep away, and watch", () => {
    // Vehicle handbooks: a catalyst that burns fuel glows, and lights dry grass.
    for (const van of diesel("engine-flashing")) {
      const text = told("engine-flashing", van);
      expect(text).toMatch(/dry grass or leaves\? Everyone away, and watch it\..*ring 999/);
      expect(text).toMatch(/Do not reach under the van/);
    }
  });
  it("is a stop where somebody rides unbelted, before it is said that nothing else speaks against driving", () => {
    // Highway Code, rule 99: a seat belt must be worn.
    for (const van of vansOf("seat-belt"))
      expect(
        outOfOrder(told("seat-belt", van), [
          /Nobody rides unbelted: stop at the next safe place/,
          /\n4\. /,
          /I know of no reason to stop/,
        ]),
      ).toEqual([]);
  });
  it("leaves the coolant cap shut while hot, as Highway Code Annex 6 says", () => {
    for (const id of ["coolant-hot", "overheating", "coolant-low", "coolant-check"])
      for (const van of vansOf(id))
        expect(told(id, van)).toMatch(
          /Never open the (coolant )?cap (while it is|on a) (hot|warm)/,
        );
  });
});
