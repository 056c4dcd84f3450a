/** How long gas lasts. Pure. Source: LPG property tables, lower heating values: propane 46.35, n-butane 45.74 MJ/kg. */
import { fromUnit, inUnit } from "../knowledge/measures/units.js";

type Gas = "propane" | "butane";
/** Kilowatt-hours in a kilogram: the lower heating value, since the steam in the flame's exhaust is lost. */
const kwh = (mj: number) => inUnit("energy", fromUnit("energy", mj, "MJ"), "kWh");
export const kwhPerKg: Record<Gas, number> = { propane: kwh(46.35), butane: kwh(45.74) };
/** A camping burner at full, in kW. Common practice, no source. */
export const burnerKw = 2.2;

/** Hours that a mass of gas feeds a burner at full. */
export const gasHours = (kg: number, gas: Gas, kw: number): number => (kg * kwhPerKg[gas]) / kw;
