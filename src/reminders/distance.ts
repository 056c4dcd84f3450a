/** The odometer in a hirer's words, and whether it can be right. Pure. */
import { hourMs, type Instant } from "../calendar.js";
import { kmPerMile } from "../knowledge/measures/units.js";

/**
 * More than this in a day is asked about: 12 hours at 60 mph are 720 miles, 1,159 km. Common practice, no
 * source: a hirer who really drove further only has to say so again, and staff see it.
 */
const mostKmPerDay = 1200;
/** Odometers of vans show six digits. */
const mostKm = 1_600_000;
/** A hire van with fewer km than this on the clock is rarer than a trip counter that was read instead. */
const leastKm = 1000;

export type Unit = "miles" | "km";
/** `said`: its unit was. */
export type Distance = { value: number; unit: Unit; said: boolean; rounded: boolean };
/** A figure that was asked about; `doubt`: why. */
export type Doubted = Pick<Distance, "value" | "unit" | "said"> & { doubt: string };

const figures = new RegExp(
  "(?<![\\d.,:/])(\\d{1,3}(?:[ ,.'\\u00a0\\u202f]\\d{3})+(?!\\d)|\\d+)([.,]\\d{1,2})?(?![\\d/%]|:\\d)\\s?" +
    "(k(?![a-z])|thousand|tkm)?\\s?(miles?|mi|mls|m|kilometres?|kilometre|km|klicks?)?(?![a-z])",
  "g",
);
const otherThing =
  /^\s?(?:psi|bar|bars|l|litres?|liters?|°|am|pm|min|mins|minutes|hours?|hrs?|h|percent|per|degrees?|days?|%|o'clock|ish|quarters?|thirds?|mm|cm|inch)\b/;

/** Every figure of the text that may be a distance; `ownUnit` where none is given. */
export function distances(piece: string, ownUnit: Unit): Distance[] {
  const found: Distance[] = [];
  for (const match of piece.matchAll(figures)) {
    const [whole, number = "", decimals = "", thousands, unit] = match;
    if (!unit && otherThing.test(piece.slice((match.index ?? 0) + whole.trimEnd().length)))
      continue;
    const value =
      Number(number.replace(/[^\d]/g, "") + decimals.replace(",", ".")) * (thousands ? 1000 : 1);
    const named: Unit | undefined =
      unit === undefined ? undefined : /^k/.test(unit) ? "km" : "miles";
    found.push({
      value,
      unit: named ?? ownUnit,
      said: named !== undefined,
      rounded: thousands !== undefined,
    });
  }
  return found;
}

export const inKm = (d: Pick<Distance, "value" | "unit">): number =>
  Math.round(d.value * (d.unit === "km" ? 1 : kmPerMile) * 10) / 10;

/** "57,340 miles": whole, in the unit asked for. */
export const sayKm = (km: number, unit: Unit): string =>
  `${Math.round(unit === "km" ? km : km / kmPerMile).toLocaleString("en-GB")} ${unit}`;

export type Doubt = { id: string; words: Record<string, string> };
type Last = { at: Instant; odometerKm: number };

/** A reading of one km less is a rounding of units, not a van that went backwards. */
const roundingKm = 1.7;

function fits(km: number, at: Instant, last: Last): "back" | "far" | "fits" {
  if (km < last.odometerKm - roundingKm) return "back";
  const days = Math.max(1, (at - last.at) / (24 * hourMs));
  return km - last.odometerKm > mostKmPerDay * days ? "far" : "fits";
}

/** What is doubtful about an odometer reading, if anything; nothing doubtful is ever kept. */
export function doubtAbout(d: Distance, at: Instant, last: Last | undefined): Doubt | undefined {
  const said = `${d.value.toLocaleString("en-GB")} ${d.unit}`;
  const bare = d.value.toLocaleString("en-GB");
  const km = inKm(d);
  if (d.rounded) return { id: "odometer-round", words: { said } };
  if (km > mostKm) return { id: "odometer-high", words: { said } };
  if (!last) return km < leastKm ? { id: "odometer-trip", words: { said } } : undefined;
  const verdict = fits(km, at, last);
  if (verdict === "fits") return undefined;
  const other = inKm({ value: d.value, unit: d.unit === "km" ? "miles" : "km" });
  if (!d.said && fits(other, at, last) === "fits")
    return { id: "odometer-unit", words: { said: bare } };
  const lastSaid = sayKm(last.odometerKm, d.unit);
  if (verdict === "back")
    return km < 2 * leastKm && last.odometerKm > 5 * leastKm
      ? { id: "odometer-trip", words: { said } }
      : { id: "odometer-back", words: { said, last: lastSaid } };
  const days = Math.max(1, Math.round((at - last.at) / (24 * hourMs)));
  return {
    id: "odometer-far",
    words: {
      said,
      last: lastSaid,
      distance: sayKm(km - last.odometerKm, d.unit),
      span: days === 1 ? "one day" : `${days} days`,
    },
  };
}

/** Whether a figure is the one that was asked about, told again; with its unit where it had none before, it is another. */
export const isAgain = (d: Distance, before: Doubted): boolean =>
  d.value === before.value && (before.said ? !d.said || d.unit === before.unit : !d.said);

/** As it was told, without a unit where none was. */
export const sayDoubted = ({ value, unit, said }: Doubted): string =>
  `${value.toLocaleString("en-GB")}${said ? ` ${unit}` : ""}`;

const unitAlone =
  /^(?:(?:it'?s|it is|they'?re|they are|that'?s|in|the)\s)*(miles?|mi|km|kilometres?)(?: please)?\W*$/;
const yes =
  /^(?:yes|yeah|yep|correct|it is|it does|(?:that|it)(?:'s| is)? (?:right|correct|what it (?:says|shows|reads)))\b[^\d]*$/;

/** A plain reply to the question about a figure, as that figure: the unit alone, or a yes, which tells it again. */
export function asFigure(plain: string, before: Doubted): string {
  const unit = unitAlone.exec(plain)?.[1];
  if (unit) return `${before.value} ${unit}`;
  return before.doubt !== "odometer-unit" && yes.test(plain) ? sayDoubted(before) : plain;
}
