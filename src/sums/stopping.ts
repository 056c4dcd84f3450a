/** Stopping distance: "at least". Pure. Source: Highway Code, rule 126 and its chart; rule 227 (wet: double) and 230 (ice: ten times). */
import { units } from "../knowledge/measures/units.js";

const foot = units.length.ft;
export const factors = { dry: 1, wet: 2, ice: 10 } as const;

/**
 * Metres at a speed in mph on a dry road, for a car: the rule behind the chart, a foot a mph to react and the
 * square of the speed over 20 feet to brake. To the nearest metre, as the chart; never under it.
 */
export function stopping(mph: number): { thinking: number; braking: number; metres: number } {
  const metres = Math.round((mph + (mph * mph) / 20) * foot);
  const thinking = Math.round(mph * foot);
  return { thinking, braking: metres - thinking, metres };
}
