/** Watts at a campsite supply. Pure. Sources: P = V × I; 230 V nominal (BS EN 50160); 16 A connector (IEC 60309-2, BS 7671 section 708). */

/** Nominal site voltage in volts. */
const siteVolts = 230;
/** What posts are rated at, in amps: 6 on older and continental sites, 10, and 16 (BS 7671, 708.55). */
const posts = [6, 10, 16] as const;

/** The watts that a post of so many amps gives at most. */
export const supplyWatts = (amps: number): number => amps * siteVolts;

/** The amps that a load draws, rounded up to a tenth. */
export const ampsFor = (watts: number): number => Math.ceil((watts / siteVolts) * 10 - 1e-9) / 10;

/** The smallest usual post that carries a load; undefined when none does. */
export const postFor = (watts: number): number | undefined =>
  posts.find((amps) => watts <= supplyWatts(amps));
