/** Wind: Beaufort force and an awning's limit. Pure. Source: WMO Beaufort scale; mean wind over 10 minutes at 10 m height. */
import type { units } from "../knowledge/measures/units.js";

export type SpeedUnit = keyof typeof units.speed;
/**
 * The lower limit of each force from 0 to 12 in each unit, as the scale prints them. The four columns are rounded
 * apart from each other (16 knots are force 4 in knots, and 8.2 m/s, force 5 in m/s), so a wind is read in its own unit.
 */
export const beaufortFrom: Record<SpeedUnit, readonly number[]> = {
  "m/s": [0, 0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7],
  "km/h": [0, 1, 6, 12, 20, 29, 39, 50, 62, 75, 89, 103, 118],
  mph: [0, 1, 4, 8, 13, 19, 25, 32, 39, 47, 55, 64, 73],
  knots: [0, 1, 4, 7, 11, 17, 22, 28, 34, 41, 48, 56, 64],
};
const names = [
  "calm",
  "light air",
  "light breeze",
  "gentle breeze",
  "moderate breeze",
  "fresh breeze",
  "strong breeze",
  "near gale",
  "gale",
  "strong gale",
  "storm",
  "violent storm",
  "hurricane force",
] as const;
/** Gusts over the mean wind. Common practice, no source: over land they are often half as strong again. */
export const gustFactor = 1.5;

/** The WMO name of a force. */
export const forceName = (force: number): string => names[force] ?? "";

/** The force of a mean wind, read as finely as the scale is printed. Not for gusts: the scale is one of means. */
export function beaufort(speed: number, unit: SpeedUnit): { force: number; name: string } {
  const read = unit === "m/s" ? Math.round(speed * 10) / 10 : Math.round(speed);
  const force = Math.max(
    0,
    beaufortFrom[unit].findLastIndex((from) => read >= from),
  );
  return { force, name: forceName(force) };
}

/** The strongest mean wind of a force in mph, as printed; force 12 has none. */
export const strongestMph = (force: number): number =>
  (beaufortFrom.mph[force + 1] ?? Number.POSITIVE_INFINITY) - 1;

/** Whether the awning must come down: what blows, gusts counted, reaches its limit. Both in mph. */
export const awningDown = (gustMph: number, limitMph: number): boolean =>
  gustMph >= limitMph - 1e-9;
