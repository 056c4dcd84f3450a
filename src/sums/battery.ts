/** How long a leisure battery runs a load. Pure. */

type Chemistry = "AGM" | "LiFePO4";
/**
 * By chemistry: the share of the capacity to use (lead-acid half, lithium four fifths: common industry guidance,
 * from memory), Peukert's exponent (lead-acid 1.1 to 1.3, near 1.05 for lithium: battery engineering texts), and
 * the hours at which the capacity is rated (C20).
 */
export const chemistries: Record<
  Chemistry,
  { usable: number; exponent: number; ratedHours: number }
> = {
  AGM: { usable: 0.5, exponent: 1.2, ratedHours: 20 },
  LiFePO4: { usable: 0.8, exponent: 1.05, ratedHours: 20 },
};
/** Nominal volts, for watts to amps: the lower of the two chemistries, so the longer draw. */
export const batteryVolts = 12;
/** Share of the power that an inverter loses. Common practice, no source. */
export const inverterLoss = 0.15;

/**
 * Hours from full to empty by Peukert's law in its rated form: t = H × (C / (I × H))^k. C in Ah at the H-hour
 * rate, I in amps. At the rated current it gives exactly H hours for any k.
 */
export const peukertHours = (
  ah: number,
  ratedHours: number,
  amps: number,
  exponent: number,
): number => ratedHours * (ah / (amps * ratedHours)) ** exponent;

/**
 * Hours that a load of so many amps runs from `level` (0–1) down to what should stay in. Below the rated
 * current Peukert's law promises more than the label; the label counts then. 0 when nothing is to be used.
 */
export function batteryHours(ah: number, chemistry: Chemistry, amps: number, level = 1): number {
  const { usable, exponent, ratedHours } = chemistries[chemistry];
  const share = Math.max(0, level - (1 - usable));
  return share * Math.min(peukertHours(ah, ratedHours, amps, exponent), ah / amps);
}
