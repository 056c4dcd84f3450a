import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { fromUnit, inUnit, units } from "../../src/knowledge/measures/units.js";
import { projectFolder, readBook } from "../../src/knowledge/read.js";
import { batteryHours, chemistries, peukertHours } from "../../src/sums/battery.js";
import { fluidRange } from "../../src/sums/fluid.js";
import { gasHours, kwhPerKg } from "../../src/sums/gas.js";
import { feetAndInches, gapCm } from "../../src/sums/height.js";
import { oilPer1000Km } from "../../src/sums/oil.js";
import { factors, stopping } from "../../src/sums/stopping.js";
import { ampsFor, postFor, supplyWatts } from "../../src/sums/supply.js";
import { beaufort, beaufortFrom, type SpeedUnit, strongestMph } from "../../src/sums/wind.js";

const { book } = readBook();
const van = (id: string) => {
  const found = book.vans.get(id);
  if (!found) throw new Error(`no van ${id}`);
  return found;
};

describe("the Beaufort scale", () => {
  // WMO Beaufort scale, all thirteen forces: name, and the bands in m/s, km/h, mph and knots as printed by weather services.
  const table: [string, [number, number], [number, number], [number, number], [number, number]][] =
    [
      ["calm", [0, 0.2], [0, 0], [0, 0], [0, 0]],
      ["light air", [0.3, 1.5], [1, 5], [1, 3], [1, 3]],
      ["light breeze", [1.6, 3.3], [6, 11], [4, 7], [4, 6]],
      ["gentle breeze", [3.4, 5.4], [12, 19], [8, 12], [7, 10]],
      ["moderate breeze", [5.5, 7.9], [20, 28], [13, 18], [11, 16]],
      ["fresh breeze", [8.0, 10.7], [29, 38], [19, 24], [17, 21]],
      ["strong breeze", [10.8, 13.8], [39, 49], [25, 31], [22, 27]],
      ["near gale", [13.9, 17.1], [50, 61], [32, 38], [28, 33]],
      ["gale", [17.2, 20.7], [62, 74], [39, 46], [34, 40]],
      ["strong gale", [20.8, 24.4], [75, 88], [47, 54], [41, 47]],
      ["storm", [24.5, 28.4], [89, 102], [55, 63], [48, 55]],
      ["violent storm", [28.5, 32.6], [103, 117], [64, 72], [56, 63]],
      ["hurricane force", [32.7, 99], [118, 300], [73, 200], [64, 180]],
    ];
  it("is the WMO table in full, both ends of every band in every unit", () => {
    for (const [force, [name, ms, kmh, mph, knots]] of table.entries())
      for (const [unit, band] of [
        ["m/s", ms],
        ["km/h", kmh],
        ["mph", mph],
        ["knots", knots],
      ] as [SpeedUnit, [number, number]][])
        for (const end of band)
          expect(beaufort(end, unit), `${end} ${unit}`).toEqual({ force, name });
    for (let force = 1; force < 12; force++) expect(strongestMph(force)).toBe(table[force]?.[3][1]);
  });

  it("has the m/s limits that v = 0.836 B^1.5 gives at the half steps", () => {
    // WMO (1970): the empirical relation between force and speed.
    for (let force = 1; force <= 12; force++) {
      const limit = 0.836 * (force - 0.5) ** 1.5;
      expect(Math.abs((beaufortFrom["m/s"][force] ?? 0) - limit), `force ${force}`).toBeLessThan(
        0.11,
      );
    }
  });
});

describe("units", () => {
  it("are the exact legal definitions", () => {
    // International yard and pound agreement of 1959; Weights and Measures Act 1985; IHC 1929; SI brochure.
    expect(units.length.miles).toBe(1609.344);
    expect(units.length.ft).toBe(0.3048);
    expect(units.length.in).toBe(0.0254);
    expect(units.volume.gal).toBe(4.54609);
    expect(units.mass.lb).toBe(0.45359237);
    expect(units.length.ft).toBeCloseTo(12 * units.length.in, 12);
    expect(units.length.miles).toBeCloseTo(5280 * units.length.ft, 9);
    expect(units.volume.pt * 8).toBeCloseTo(units.volume.gal, 12);
    // A psi is a pound-force (0.45359237 kg × 9.80665 m/s²) on a square inch.
    // The library has six digits of it: a gauge shows three.
    const psi = (0.45359237 * 9.80665) / 0.0254 ** 2;
    expect((units.pressure.psi * 1e5) / psi).toBeCloseTo(1, 6);
    expect(units.speed.knots).toBeCloseTo(1852 / 3600, 12);
    expect(units.speed.mph).toBeCloseTo(1609.344 / 3600, 12);
    expect(inUnit("energy", fromUnit("energy", 3.6, "MJ"), "kWh")).toBeCloseTo(1, 12);
  });

  it("convert speeds as the Highway Code's list does", () => {
    // Highway Code, "Other information": 20 = 32.19, 30 = 48.28, 40 = 64.37, 50 = 80.47, 60 = 96.56, 70 = 112.65 km/h.
    for (const [mph, kmh] of [
      [20, 32.19],
      [30, 48.28],
      [40, 64.37],
      [50, 80.47],
      [60, 96.56],
      [70, 112.65],
    ] as const)
      expect(inUnit("speed", fromUnit("speed", mph, "mph"), "km/h")).toBeCloseTo(kmh, 2);
  });

  const facts = join(projectFolder(), "..", "shared", "facts.json");
  if (!existsSync(facts)) console.log(`collected facts skipped: there is no ${facts}`);
  it.skipIf(!existsSync(facts))(
    "agree with the collected facts, where that file is present",
    () => {
      const all = JSON.parse(readFileSync(facts, "utf8")) as {
        id: string;
        value: { value?: number };
      }[];
      const fact = (id: string): number => all.find((f) => f.id === id)?.value.value ?? Number.NaN;
      expect(units.length.miles).toBe(fact("CONV-01"));
      expect(units.volume.pt).toBe(fact("CONV-06"));
      expect((units.pressure.psi * 1e5) / fact("CONV-07")).toBeCloseTo(1, 6);
      expect(units.speed.knots).toBeCloseTo(fact("CONV-13"), 8);
    },
  );
});

describe("a site supply", () => {
  it("gives volts times amps", () => {
    // P = V × I at the nominal 230 V of BS EN 50160; sockets of 16 A by IEC 60309-2 and BS 7671 section 708.
    expect([6, 10, 16].map(supplyWatts)).toEqual([1380, 2300, 3680]);
    // 1 kW at 230 V draws 4.348 A.
    expect(ampsFor(1000)).toBe(4.4);
    expect(ampsFor(2300)).toBe(10);
    expect([800, 1380, 1381, 2300, 3680, 3681].map(postFor)).toEqual([6, 6, 10, 10, 16, undefined]);
  });
});

describe("a leisure battery", () => {
  it("follows Peukert's law as worked in battery engineering texts", () => {
    // 100 Ah at 20 h, k 1.2, 10 A: 8.71 h. 250 Ah at 20 h, k 1.3, 20 A: 10.86 h.
    expect(peukertHours(100, 20, 10, 1.2)).toBeCloseTo(8.706, 3);
    expect(peukertHours(250, 20, 20, 1.3)).toBeCloseTo(10.856, 3);
  });

  it("at its rated current lasts its rated hours, whatever the exponent", () => {
    for (const k of [1, 1.05, 1.2, 1.3]) expect(peukertHours(100, 20, 5, k)).toBeCloseTo(20, 9);
  });

  it("uses half of lead-acid and four fifths of lithium, and never promises more than the label", () => {
    expect(chemistries.AGM.usable).toBe(0.5);
    expect(batteryHours(100, "AGM", 5)).toBeCloseTo(10, 9);
    expect(batteryHours(100, "AGM", 1)).toBeCloseTo(50, 9);
    expect(batteryHours(100, "LiFePO4", 1)).toBeCloseTo(80, 9);
    expect(batteryHours(100, "AGM", 5, 0.5)).toBe(0);
    expect(batteryHours(100, "AGM", 5, 0.75)).toBeCloseTo(5, 9);
  });
});

describe("gas", () => {
  it("holds what the tables of propane and butane say", () => {
    // LPG property tables, lower heating values: propane 46.35, n-butane 45.74 MJ/kg; trade average 12.8 kWh/kg.
    expect(kwhPerKg.propane).toBeCloseTo(12.875, 3);
    expect(kwhPerKg.butane).toBeCloseTo(12.706, 3);
    expect((kwhPerKg.propane + kwhPerKg.butane) / 2).toBeCloseTo(12.8, 1);
    expect(gasHours(6, "propane", 2)).toBeCloseTo(38.6, 1);
  });
});

describe("clearance", () => {
  it("is converted with the inch of 25.4 mm, a van rounded up and a sign down", () => {
    // 2.00 m is 6 ft 6.7 in, 2.30 m is 7 ft 6.6 in.
    expect([feetAndInches(2, true), feetAndInches(2, false)]).toEqual(["6 ft 7 in", "6 ft 6 in"]);
    expect([feetAndInches(2.3, true), feetAndInches(2.3, false)]).toEqual([
      "7 ft 7 in",
      "7 ft 6 in",
    ]);
    expect(feetAndInches(6.5 * 0.3048, false)).toBe("6 ft 6 in");
    expect([gapCm(2.1, 2.02), gapCm(2.0, 2.02), gapCm(2.12, 2.02), gapCm(2.5, 2.02, 0.4)]).toEqual([
      8, -2, 10, 8,
    ]);
  });
});

describe("stopping distances", () => {
  it("are those of the Highway Code, and never less", () => {
    // Highway Code, rule 126, typical stopping distances: thinking, braking, overall, in metres.
    const chart: [number, number, number, number][] = [
      [20, 6, 6, 12],
      [30, 9, 14, 23],
      [40, 12, 24, 36],
      [50, 15, 38, 53],
      [60, 18, 55, 73],
      [70, 21, 75, 96],
    ];
    for (const [mph, thinking, braking, overall] of chart) {
      const ours = stopping(mph);
      expect(ours.metres, `${mph} mph`).toBeGreaterThanOrEqual(overall);
      expect(ours.metres - overall, `${mph} mph`).toBeLessThanOrEqual(1);
      expect(
        Math.abs(ours.thinking - thinking) + Math.abs(ours.braking - braking),
      ).toBeLessThanOrEqual(1);
    }
    // Rules 227 and 230: at least double in the wet, up to ten times on ice.
    expect(factors).toEqual({ dry: 1, wet: 2, ice: 10 });
  });
});

describe("exhaust fluid and oil", () => {
  it("last as the trade expects: a full tank over 3,000 miles in the demo's diesel vans", () => {
    // Common practice: over 3,000 miles a fill; makers' handbooks: 2.0 (a car) to 3.6 litres (a van) per 1,000 km.
    for (const id of ["wren", "curlew"]) {
      const { exhaustFluidTankL: tank = 0, exhaustFluidLPer1000Km: rate = 1 } = van(id).figures;
      expect(fluidRange(1, tank, rate) / 1.609344, id).toBeGreaterThan(3000);
      expect(rate >= 2 && rate <= 3.62).toBe(true);
    }
  });

  it("are measured per 1,000 km, rounded up", () => {
    expect(oilPer1000Km(0.5, 1000)).toBe(0.5);
    expect(oilPer1000Km(0.5, 800)).toBe(0.63);
  });
});
