/** Fuel, exhaust fluid, oil, tyres and wind against standards, the Highway Code and makers' handbooks. */
import { describe, expect, it } from "vitest";
import { book, sources, told, vans, vansOf } from "./told.js";

describe("fuel", () => {
  it("is diesel by the square B7 label, and petrol by the circle", () => {
    // EN 16942: square for diesel (B7, B10, XTL), circle for petrol (E5, E10, E85). The figure is the greatest share of biofuel.
    for (const van of vansOf("fuel-type")) {
      const text = told("fuel-type", van);
      expect(text).toMatch(/B7 in a square/);
      expect(text).toMatch(/Petrol is E5 or E10 in a circle/);
      expect(text).not.toMatch(/B7 in a circle|E10 in a square/);
      expect(told("misfuel", van)).toMatch(/B7 in a square/);
      expect(told("misfuel", van)).toMatch(/Petrol nozzles fit: they are thinner/);
    }
  });
  it("that is wrong means no start and no ignition", () => {
    // Motoring guides: the pump in the tank runs with the ignition.
    for (const van of vansOf("misfuel"))
      for (const id of ["misfuel", "wrong-fuel"]) {
        expect(told(id, van), id).toMatch(/Do not start it\. Do not even switch/);
        expect(told(id, van), id).toMatch(/thin it/);
      }
  });
});

describe("diesel exhaust fluid", () => {
  it("is AUS 32 by ISO 22241, and nothing else", () => {
    // ISO 22241-1: AUS 32, 32.5 % urea.
    for (const van of vansOf("exhaust-fluid"))
      expect(told("exhaust-fluid", van)).toContain("AUS 32 or ISO 22241");
  });
  it("never goes into the diesel tank, nor diesel into its own, wherever it is told to be filled", () => {
    // Technical guides: it ruins pump and injectors; do not start.
    for (const van of vansOf("exhaust-fluid")) {
      expect(told("exhaust-fluid", van)).toMatch(/Never in the diesel tank, never diesel/);
      expect(told("exhaust-fluid-low", van)).toMatch(/Never put it into the diesel tank, nor/);
      expect(told("exhaust-fluid-no-restart", van)).toMatch(/Never put it into the diesel tank/);
      // Screenwash has a blue cap too, under the bonnet: where this one lies is said beside it.
      for (const id of ["exhaust-fluid-low", "exhaust-fluid-no-restart"])
        expect(told(id, van), id).toMatch(
          /blue cap (beside|behind).* left side\..* under the bonnet/,
        );
      expect(told("fuel-type", van)).toMatch(/never goes into the diesel tank/);
      expect(told("exhaust-fluid-in-fuel", van)).toMatch(
        /Do not start it\. Do not switch the ignition on/,
      );
    }
    expect(book.reminders.rules["exhaust-fluid"]?.text).toMatch(/Never in the diesel tank/);
  });
  it("freezes at −11 °C, and the van's tank is heated", () => {
    // ISO-based guides and makers' handbooks: −11 °C (12 °F).
    for (const van of vansOf("exhaust-fluid-range"))
      expect(told("exhaust-fluid-range", van)).toMatch(
        /from −11 °C, it freezes in its can\. The van thaws its own tank/,
      );
  });
  it("warns 2,400 km before the tank is empty, so it is topped up well before the end", () => {
    // UN R83 (07 series), Annex 11, Appendix 6, 3.5.
    expect(sources("exhaust-fluid-low")).toMatch(/2,400 km before empty/);
    for (const van of vansOf("exhaust-fluid-range")) {
      const f = book.vans.get(van)?.figures;
      const range = ((f?.exhaustFluidTankL ?? 0) / (f?.exhaustFluidLPer1000Km ?? 1)) * 1000;
      // A tank that is full is far from its warning, and no advice fills more than was used by then.
      expect(range).toBeGreaterThan(2400);
      expect(told("exhaust-fluid-low", van)).not.toMatch(/at least \d+ litres/);
    }
  });
  it("is used by vans at the rate of two handbooks, 2.0 to 3.6 litres in 1,000 km", () => {
    // Two makers' handbooks (2018): 2.0 l per 1,000 km; 3.5 l per 600 miles.
    for (const van of vansOf("exhaust-fluid")) {
      const rate = book.vans.get(van)?.figures.exhaustFluidLPer1000Km ?? 0;
      expect(rate).toBeGreaterThanOrEqual(2.0);
      expect(rate).toBeLessThanOrEqual(3.63);
    }
  });
});

describe("oil", () => {
  it("is read on level ground with the engine off for five to ten minutes", () => {
    // Makers' handbooks: 5 to 10 minutes.
    for (const van of vansOf("oil-check"))
      expect(told("oil-check", van)).toMatch(/Level ground, engine off for ten minutes/);
  });
  it("is added in steps of at most half a litre, read again after minutes, never above the mark", () => {
    // A light-van handbook: about 0.5 l, wait some 10 minutes, re-check; makers' handbooks (two): above the mark, do not start.
    expect(book.firm.facts["oil-top-up-limit"]).toBe("half a litre");
    for (const van of vansOf("oil-top-up")) {
      const text = told("oil-top-up", van);
      expect(text).toMatch(/Pour in a quarter of a litre\. Wait ten minutes\. Read the stick/);
      expect(text).toMatch(/You may add up to half a litre/);
      expect(text).toMatch(/Never over the upper mark/);
      expect(text).toMatch(/Above the upper mark: do not start/);
      // A step never fills more than what lies between the marks.
      expect(book.vans.get(van)?.figures.oilBetweenMarksL).toBeGreaterThanOrEqual(0.5);
    }
  });
});

describe("tyres and wheels", () => {
  it("have 1.6 mm of tread at least over the middle three-quarters", () => {
    // Highway Code, Annex 6 (Construction and Use Regulations, regulation 27).
    for (const van of vans)
      expect(told("tyre-check", van)).toMatch(
        /1\.6 mm at least, all round, over the middle three-q/,
      );
  });
  it("are measured cold, weekly looked at, and bar and psi say the same", () => {
    // Highway Code, Annex 6: weekly, cold. 1 bar = 14.5038 psi.
    for (const van of vans) {
      const text = told("tyre-pressure", van);
      expect(text).toMatch(/^.*\nCold tyres:/);
      const pairs = [...text.matchAll(/([\d.]+) bar \((\d+) psi\)/g)];
      expect(pairs.length).toBeGreaterThanOrEqual(2);
      for (const [, bar, psi] of pairs)
        expect(Math.abs(Number(bar) * 14.503773773 - Number(psi))).toBeLessThanOrEqual(0.5);
      expect(told("tyre-check", van)).toMatch(/Once a week/);
      // Whoever drives to the air line comes with warm tyres: about 0.3 bar more, common practice.
      expect(text).toMatch(/Let no air out, fill to 0\.3 bar \(4 psi\) above the figure/);
      expect(told("tyre-pressure-light", van)).toMatch(
        /Warm from driving: 0\.3 bar \(4 psi\) more/,
      );
    }
  });
  it("have their nuts checked again 25 to 50 miles after a change, dry, with a torque wrench", () => {
    // DVSA, careless torque costs lives: 25 to 50 miles (40 to 80 km); makers' handbooks: no oil or grease.
    for (const van of vans) {
      const text = told("wheel-nuts", van);
      expect(text).toMatch(/25 to 50 miles \(40 to 80 km\) later/);
      expect(text).toMatch(/torque wrench: \d+ Nm, wheels on the ground/);
      expect(text).toMatch(/No oil or grease on the threads/);
    }
  });
  it("are never changed over somebody under the van", () => {
    // Wheel-change guides; handbook rule from memory.
    for (const van of vansOf("flat-tyre"))
      expect(told("puncture", van)).toMatch(
        /Never go under a van on a jack|jacked only at set points/,
      );
  });
});

describe("wind", () => {
  it("takes an awning down no later than force 4, in which small branches move", () => {
    // WMO Beaufort scale: force 4, moderate breeze, 13 to 18 mph, small branches move.
    for (const van of vans) {
      const max = book.vans.get(van)?.figures.awningMaxMph ?? 99;
      expect(max).toBeLessThanOrEqual(18);
      const text = told("awning-wind", van);
      expect(text).toContain(`${max} mph (${Math.floor(max * 1.609344)} km/h)`);
      expect(text).toMatch(/small branches move all the time/);
    }
    expect(sources("awning-wind")).toMatch(/force 4 is 13 to 18 mph/);
  });
  it("is told in gusts, and never turned into a force: the scale is one of mean wind", () => {
    // WMO: mean over 10 minutes at 10 m; gusts are much higher.
    for (const van of vans) {
      expect(told("wind-driving", van)).toMatch(/From gusts of \d+ mph \(\d+ km\/h\), wait/);
      expect(told("wind-driving", van)).not.toMatch(/force \d|gale/i);
      const [, mph, kmh] =
        /gusts of (\d+) mph \((\d+) km\/h\)/.exec(told("wind-driving", van)) ?? [];
      expect(Math.abs(Number(mph) * 1.609344 - Number(kmh))).toBeLessThan(1);
    }
  });
});
