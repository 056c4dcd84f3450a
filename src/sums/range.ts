/** How far what is left in battery or tank takes the van. Pure. */

/** The share that stays in as a reserve. Common practice, no source. */
export const reserve = 0.2;

/** Kilometres until the reserve is reached; `rangeKm` from full to empty, `level` 0–1. */
export const rangeLeft = (level: number, rangeKm: number): number =>
  Math.max(0, level - reserve) * rangeKm;
