/** What may stand in {braces} in a text, and what it becomes for one van, nation and firm. Pure. */

import type { RegionFile } from "./firm/region.js";
import { roadsideOf } from "./firm/roadside.js";
import { inUnit, kmPerMile } from "./measures/units.js";
import type { FirmFile, VanFile } from "./schema.js";

/** A van type with its facts from all its files. */
export type VanType = VanFile & { id: string; facts: Record<string, string | string[]> };

/** Metres as hirers read them on signs: rounded up, since a height is compared with a limit. */
export function feetInches(metres: number): string {
  const inches = Math.ceil(inUnit("length", metres, "in") - 1e-9);
  return `${Math.floor(inches / 12)} ft ${inches % 12} in`;
}

const psi = (bar: number) => Math.round(inUnit("pressure", bar, "psi"));
const metres = (m: number) => `${m.toFixed(2)} m (${feetInches(m)})`;
const grouped = (n: number) => n.toLocaleString("en-GB");
const kg = (n: number) => `${grouped(n)} kg`;
const watts = (n: number | undefined) => (n === undefined ? undefined : `${grouped(n)} W`);
const pressure = (bar: number) => `${bar.toFixed(1)} bar (${psi(bar)} psi)`;
/** Rounded down to tens: nobody plans a range to the mile. */
const distance = (km: number, unit: "miles" | "km") =>
  `${grouped(Math.floor(km / (unit === "km" ? 10 : 10 * kmPerMile)) * 10)} ${unit}`;
const litres = (n: number | undefined) =>
  n === undefined ? undefined : `${grouped(n)} ${n === 1 ? "litre" : "litres"}`;

/** The values of the {van.…} placeholders that come from the van's figures. */
function vanFigures(van: VanType, region: RegionFile): Record<string, string | undefined> {
  const f = van.figures;
  const unit = region.distanceUnit;
  const fluidKm =
    f.exhaustFluidTankL && f.exhaustFluidLPer1000Km
      ? (f.exhaustFluidTankL / f.exhaustFluidLPer1000Km) * 1000
      : undefined;
  return {
    name: van.name,
    fuel: van.fuel,
    height: metres(f.heightM),
    length: metres(f.lengthM),
    width: metres(f.widthM),
    mass: kg(f.maxMassKg),
    unladen: kg(f.unladenKg),
    payload: kg(f.maxMassKg - f.unladenKg),
    berths: `${f.berths}`,
    belts: `${f.beltedSeats}`,
    gears: `${f.gears}`,
    range: distance(f.rangeKm, unit),
    "tyre-front": pressure(f.tyreFrontBar),
    "tyre-rear": pressure(f.tyreRearBar),
    "wheel-nut": `${f.wheelNutNm} Nm`,
    battery: `${f.leisureAh} Ah ${f.leisureChemistry}`,
    "hook-up": `${f.hookUpA} A`,
    "awning-wind": `${f.awningMaxMph} mph (${Math.floor(f.awningMaxMph * kmPerMile)} km/h)`,
    "upper-bed-mass": f.upperBedMaxKg === undefined ? undefined : kg(f.upperBedMaxKg),
    tank: litres(f.tankL),
    "fluid-tank": litres(f.exhaustFluidTankL),
    "fluid-range": fluidKm === undefined ? undefined : distance(fluidKm, unit),
    "oil-grade": f.oilGrade,
    "oil-span": litres(f.oilBetweenMarksL),
    fresh: litres(f.freshL),
    waste: litres(f.wasteL),
    gas: f.gasKg === undefined ? undefined : `${f.gasKg} kg`,
    solar: watts(f.solarW),
    inverter: watts(f.inverterW),
    "drive-battery": f.driveKWh === undefined ? undefined : `${f.driveKWh} kWh`,
    "ac-charge": f.acChargeKW === undefined ? undefined : `${f.acChargeKW} kW`,
    "rapid-charge": f.rapidChargeKW === undefined ? undefined : `${f.rapidChargeKW} kW`,
    "bike-rack-mass": f.bikeRackMaxKg === undefined ? undefined : kg(f.bikeRackMaxKg),
  };
}

/** The values of the {region.…} placeholders; speed limits follow the van's unladen mass. */
function regionFigures(
  van: VanType,
  region: RegionFile,
  nationId: string,
): Record<string, string | undefined> {
  const nation = region.nations[nationId] ?? region.nations[region.defaultNation];
  if (!nation) return {};
  const s =
    van.figures.unladenKg > region.heavierThanKg ? nation.speeds.heavy : nation.speeds.light;
  const speed = (n: number) => `${n} ${region.speedUnit}`;
  return {
    name: region.name,
    nation: nation.name,
    emergency: region.emergency,
    "emergency-text": region.emergencyText,
    police: region.police,
    health: nation.health ?? region.health,
    "power-cut": nation.powerCut ?? region.powerCut,
    "gas-emergency": nation.gasEmergency,
    "roads-line": nation.roadsLine ?? region.police,
    distance: region.distanceUnit,
    "speed-built-up": speed(s.builtUp),
    "speed-single": speed(s.single),
    "speed-dual": speed(s.dual),
    "speed-motorway": speed(s.motorway),
    "drink-breath": `${nation.drinkBreathUg} µg in 100 ml of breath`,
    "drink-blood": `${nation.drinkBloodMg} mg in 100 ml of blood`,
    ...nation.facts,
  };
}

/**
 * Everything that {…} may name for this van, nation and firm: `van.*` (figures, then the van's own
 * facts), `region.*`, `firm.*`. A list value becomes steps. Pure.
 */
export function placeholders(
  van: VanType,
  region: RegionFile,
  nation: string,
  firm: FirmFile,
): Map<string, string | string[]> {
  const values = new Map<string, string | string[]>();
  const put = (scope: string, from: Record<string, string | string[] | undefined>) => {
    for (const [key, value] of Object.entries(from))
      if (value !== undefined) values.set(`${scope}.${key}`, value);
  };
  put("van", van.facts);
  put("van", vanFigures(van, region));
  put("region", regionFigures(van, region, nation));
  const roadside = roadsideOf(firm);
  put("firm", firm.facts);
  put("firm", {
    name: firm.name,
    place: firm.place,
    phone: firm.phone,
    hours: firm.hours,
    roadside: roadside?.phone ?? firm.phone,
  });
  return values;
}

const brace = /\{([a-z]+\.[a-z0-9-]+)\}/g;

/** The placeholder names in a text, in order. Pure. */
export function named(text: string): string[] {
  return [...text.matchAll(brace)].map((m) => m[1] as string);
}

/** The text with its placeholders filled; an unknown one stays as it is (the check refuses it). Pure. */
export function fill(text: string, values: ReadonlyMap<string, string | string[]>): string {
  return text.replace(brace, (whole, name: string) => {
    const value = values.get(name);
    return value === undefined ? whole : Array.isArray(value) ? value.join(" ") : value;
  });
}

/** Steps with their placeholders filled; a step that is one list placeholder becomes its lines. Pure. */
export function fillSteps(
  steps: readonly string[],
  values: ReadonlyMap<string, string | string[]>,
): string[] {
  return steps.flatMap((step) => {
    const only = /^\{([a-z]+\.[a-z0-9-]+)\}$/.exec(step)?.[1];
    const value = only === undefined ? undefined : values.get(only);
    return Array.isArray(value) ? value.map((line) => fill(line, values)) : [fill(step, values)];
  });
}
