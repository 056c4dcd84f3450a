/**
 * Units of the sums as exact definitions: international yard and pound agreement of 1959, SI brochure, Weights and
 * Measures Act 1985 (gallon), International Hydrographic Conference 1929 (knot). Pure.
 */

/** What one of each unit is in the base unit of its kind. */
export const units = {
  /** Metres a second. */
  speed: { "m/s": 1, "km/h": 1000 / 3600, mph: 1609.344 / 3600, knots: 1852 / 3600 },
  /** Metres. */
  length: {
    m: 1,
    cm: 0.01,
    mm: 0.001,
    ft: 0.3048,
    in: 0.0254,
    km: 1000,
    miles: 1609.344,
    yd: 0.9144,
  },
  /** Watts. */
  power: { W: 1, kW: 1000, hp: 745.699872 },
  /** Bar: 100,000 pascals. A psi is 6,894.757293168 pascals. */
  pressure: { bar: 1, psi: 0.06894757293168, kPa: 0.01 },
  /** Kilograms. */
  mass: { kg: 1, g: 0.001, lb: 0.45359237, oz: 0.028349523125 },
  /** Litres. The gallon and pint are the imperial ones. */
  volume: { l: 1, ml: 0.001, gal: 4.54609, pt: 0.56826125 },
  /** Hours. */
  time: { h: 1, min: 1 / 60, days: 24, nights: 24 },
  /** Watt-hours. */
  energy: { Wh: 1, kWh: 1000, MJ: 1e6 / 3600 },
  current: { A: 1 },
  voltage: { V: 1, kV: 1000 },
  charge: { Ah: 1 },
} as const;

export type UnitKind = keyof typeof units;

/** A value of the base unit in another unit of its kind. */
export function inUnit<K extends UnitKind>(
  kind: K,
  value: number,
  unit: keyof (typeof units)[K],
): number {
  return value / (units[kind][unit] as number);
}

/** A value of a unit in the base unit of its kind. */
export function fromUnit<K extends UnitKind>(
  kind: K,
  value: number,
  unit: keyof (typeof units)[K],
): number {
  return value * (units[kind][unit] as number);
}
