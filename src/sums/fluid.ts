/** Diesel exhaust fluid: used, left, owed. Pure. Litres, kilometres; levels 0–1. */

/** Litres used over a distance. */
export const fluidUsed = (km: number, litresPer1000Km: number): number =>
  (km / 1000) * litresPer1000Km;

/** Kilometres that what is in the tank lasts. */
export const fluidRange = (level: number, tankL: number, litresPer1000Km: number): number =>
  ((level * tankL) / litresPer1000Km) * 1000;

/** Litres from one level up to another; 0 when it stands there already. Also for fuel and, in kWh, for a drive battery. */
export const owed = (now: number, then: number, tank: number): number =>
  Math.max(0, then - now) * tank;
