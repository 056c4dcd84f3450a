/** What every sum needs to answer a message: its quantities, the van, the approved lines. Pure. */

import { fromUnit, inUnit } from "../../knowledge/measures/units.js";
import { fill, type VanType } from "../../knowledge/placeholders.js";
import type { SumsFile } from "../../knowledge/schema.js";
import type { Reading } from "../../post.js";
import type { Kind, Quantity } from "./quantities.js";

export type SumFacts = {
  van: VanType;
  sums: SumsFile;
  /** Values of {van.…}, {region.…} and {firm.…}. */
  values: ReadonlyMap<string, string | string[]>;
  distanceUnit: "miles" | "km";
  /** The reading at pick-up and the latest one since, where there are any. */
  pickup?: Pick<Reading, "odometerKm" | "fluid" | "fuel">;
  latest?: Pick<Reading, "odometerKm" | "fluid" | "fuel">;
  /** The days on which the values of the latest were read, as people say them. */
  readOn?: { [value in "odometerKm" | "fluid" | "fuel"]?: string };
  /** Days of the hire, for a distance allowance. */
  days?: number;
};
/**
 * `told`: the sum in whole lines. `missing`: a question for what it lacks; `unit` is the one in which a bare
 * number answers it, `odd` the quantity that cannot be right.
 */
export type Summed = { told: string[]; missing?: string; unit?: string; odd?: string };
export type Asked = SumFacts & { text: string; quantities: readonly Quantity[] };

/** An approved line with its words filled; what is in braces and not among the words is the book's. */
export function say(
  asked: SumFacts,
  id: string,
  words: Record<string, string | number> = {},
): string {
  const line = asked.sums.says[id] ?? "";
  return fill(
    line.replace(/\{([A-Za-z]+)\}/g, (whole, name: string) =>
      name in words ? `${words[name]}` : whole,
    ),
    asked.values,
  );
}

/** The quantities of a kind, in order. */
export const of = (asked: Asked, kind: Kind): Quantity[] =>
  asked.quantities.filter((q) => q.kind === kind);

/** A question about a quantity that cannot be right. */
export const odd = (asked: Asked, q: Quantity): Summed => ({
  told: [],
  missing: say(asked, "odd", { said: q.said }),
  odd: q.said,
});

/** A question for what the sum lacks. */
export const ask = (
  asked: Asked,
  id: string,
  more: { unit?: string; words?: Record<string, string>; told?: string[] } = {},
): Summed => ({
  told: more.told ?? [],
  missing: say(asked, id, more.words),
  ...(more.unit === undefined ? {} : { unit: more.unit }),
});

/** Whole numbers with commas for thousands. */
export const whole = (n: number): string => Math.round(n).toLocaleString("en-GB");
/** At most so many decimals, without trailing noughts. */
export const short = (n: number, decimals = 1): string => `${Number(n.toFixed(decimals))}`;
export const down = (n: number, step: number): number => Math.floor(n / step + 1e-9) * step;
export const up = (n: number, step: number): number => Math.ceil(n / step - 1e-9) * step;
export const percent = (share: number): number => Math.round(share * 100);

/** Kilometres in the region's unit: "900 miles". `round` says to which side; a distance left is rounded down. */
export function distance(
  asked: SumFacts,
  km: number,
  round: "down" | "nearest" = "nearest",
): string {
  const own = asked.distanceUnit === "km" ? km : inUnit("length", km * 1000, "miles");
  return `${whole(round === "down" ? down(own, own >= 100 ? 10 : 1) : own)} ${asked.distanceUnit}`;
}
/** The kilometres of a distance that was said; metres, feet and the like are no distances of a trip. */
export const kilometres = (q: Quantity): number => q.value / fromUnit("length", 1, "km");
/** Whether a length was said as a trip: in miles or kilometres. */
export const isTrip = (q: Quantity): boolean =>
  q.kind === "length" && /mi|mls|km|kilom|klick/.test(q.said);

/** Hours as people say them, rounded down: "3 hours", "1 hour 30 minutes", "45 minutes", "2 days 4 hours". */
export function hours(h: number): string {
  const many = (n: number, what: string): string =>
    n === 0 ? "" : `${n} ${what}${n === 1 ? "" : "s"}`;
  if (h >= 48)
    return [many(Math.floor(h / 24), "day"), many(Math.floor(h % 24), "hour")]
      .filter(Boolean)
      .join(" ");
  if (h >= 10) return many(Math.floor(h + 1e-9), "hour");
  const minutes = down(h * 60, h >= 4 ? 30 : h >= 1 ? 15 : 5);
  if (minutes < 5) return "less than 5 minutes";
  return [many(Math.floor(minutes / 60), "hour"), many(minutes % 60, "minute")]
    .filter(Boolean)
    .join(" ");
}

/** Litres, rounded up to half a litre: what to buy. */
export const litres = (n: number): string =>
  `${short(up(n, 0.5))} ${up(n, 0.5) === 1 ? "litre" : "litres"}`;
