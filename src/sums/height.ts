/** Clearance under a signed height. Pure. */
import { inUnit } from "../knowledge/measures/units.js";

/** Under so many metres nobody drives in: signs are rounded down, but ramps, bumps and suspension take more. */
export const leastGapM = 0.1;

/** Whole centimetres between sign and van with its load, rounded down; negative when the van is higher. Lengths in metres. */
export const gapCm = (signM: number, vanM: number, loadM = 0): number =>
  Math.floor((signM - vanM - loadM) * 100 + 1e-6);

/** Feet and whole inches; a sign is rounded down, a van up. */
export function feetAndInches(metres: number, up: boolean): string {
  const exact = inUnit("length", metres, "in");
  const inches = up ? Math.ceil(exact - 1e-6) : Math.floor(exact + 1e-6);
  return `${Math.floor(inches / 12)} ft ${inches % 12} in`;
}
