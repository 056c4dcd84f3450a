/** Units, and what one of each is in the base unit of its kind. The conversions are those of js-quantities. Pure. */
import Qty from "js-quantities";

/** Our names of units with the library's, as numbers of the base unit. */
const ones = <Name extends string>(
  base: string,
  names: Record<Name, string>,
): Readonly<Record<Name, number>> =>
  Object.fromEntries(
    Object.entries<string>(names).map(([ours, theirs]) => [
      ours,
      Qty(`1 ${theirs}`).to(base).scalar,
    ]),
  ) as Record<Name, number>;

/** What one of each unit is in the base unit of its kind, the first of each line. Gallon and pint are the imperial ones. */
export const units = {
  // A knot is a nautical mile an hour; the library's own knot has only nine digits.
  speed: ones("m/s", { "m/s": "m/s", "km/h": "km/h", mph: "mph", knots: "nmi/h" }),
  length: ones("m", {
    m: "m",
    cm: "cm",
    mm: "mm",
    ft: "ft",
    in: "in",
    km: "km",
    miles: "mi",
    yd: "yd",
  }),
  power: ones("W", { W: "W", kW: "kW", hp: "hp" }),
  pressure: ones("bar", { bar: "bar", psi: "psi", kPa: "kPa" }),
  mass: ones("kg", { kg: "kg", g: "g", lb: "lb", oz: "oz" }),
  volume: ones("l", { l: "l", ml: "ml", gal: "gallon-imp", pt: "pint-imp" }),
  time: ones("h", { h: "h", min: "min", days: "day", nights: "day" }),
  energy: ones("Wh", { Wh: "Wh", kWh: "kWh", MJ: "MJ" }),
  current: ones("A", { A: "A" }),
  voltage: ones("V", { V: "V", kV: "kV" }),
  charge: ones("Ah", { Ah: "Ah" }),
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

/** Kilometres in a mile. */
export const kmPerMile = fromUnit("length", 1, "miles") / 1000;
