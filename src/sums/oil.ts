/** Oil that an engine uses. Pure. */

/** More than so many litres per 1,000 km needs a workshop: a maker's handbook, after running-in. */
export const muchOil = 0.5;

/** Litres per 1,000 km, rounded up to a hundredth. */
export const oilPer1000Km = (litres: number, km: number): number =>
  Math.ceil((litres / km) * 1000 * 100 - 1e-6) / 100;
