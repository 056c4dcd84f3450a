/** The quantities in a message: numbers with their units, in base units (see units.ts). Pure. */
import { digits } from "../../knowledge/measures/numerals.js";
import { type UnitKind, units } from "../../knowledge/measures/units.js";

export type Kind = UnitKind | "force" | "share" | "bare";
/**
 * `value` in the kind's base unit; `share` 0–1; `force` on the Beaufort scale; `bare` as written. `one`: one of its
 * unit. `at` and `end`: where it stands in the text.
 */
export type Quantity = {
  kind: Kind;
  value: number;
  one: number;
  said: string;
  at: number;
  end: number;
};

/** "1,500", "1 500", "2,1", "2.1", "-5". */
const number =
  "(?<![\\d.,])(-?\\d{1,3}(?:[ ,]\\d{3})+(?:\\.\\d+)?|-?\\d+(?:[.,]\\d+)?)(?![.,]?\\d)";

/** A comma or blank before three digits parts thousands; any other comma is a decimal one. */
export function readNumber(text: string): number {
  const grouped = /^-?\d{1,3}(?:[ ,]\d{3})+(?:\.\d+)?$/.test(text);
  return Number(grouped ? text.replace(/[ ,]/g, "") : text.replace(",", "."));
}

type Rule = { kind: Kind; pattern: RegExp; one?: number; value: (m: RegExpExecArray) => number };
const unit = (kind: UnitKind, words: string, name: string): Rule => ({
  kind,
  pattern: new RegExp(`${number} ?(?:${words})(?![a-z0-9])`, "g"),
  one: (units[kind] as Record<string, number>)[name] ?? 1,
  value: (m) => readNumber(m[1] ?? "") * ((units[kind] as Record<string, number>)[name] ?? 1),
});
const post =
  "(?: ?(?:site|camp ?site|pitch|post|hook|supply|socket|electric|fuse|breaker|outlet)|$|[?.,!;])";
/** A word of a level, unless it is part of a time, a way or a flame: "half the night", "half way to Ullapool", "full power". */
const level = (words: string): RegExp =>
  new RegExp(
    `\\b${words}\\b(?! (?:(?:of )?(?:the |an? ))?(?:hour|day|night|morning|afternoon|evening|week|time|past|power|blast|flame|heat|way (?:to|there|through|round|along|home|back))\\b)`,
    "g",
  );
/** Longer units first: what a rule has read is taken out of the text before the next looks. */
const rules: Rule[] = [
  unit("speed", "mph|miles? (?:an|per|a) hour|mi/h", "mph"),
  unit("speed", "km/?h|kph|kmph|kilomet\\w+ (?:an|per) hour|km (?:an|per) hour", "km/h"),
  unit("speed", "m/s|mps|met\\w+ (?:a|per) second", "m/s"),
  unit("speed", "knots?|kts?|kn", "knots"),
  {
    kind: "force",
    pattern: /\b(?:force|bft|beaufort)(?: force)? ?(\d{1,2})\b/g,
    value: (m) => Number(m[1]),
  },
  {
    kind: "force",
    pattern: /\b(\d{1,2}) ?(?:bft|beaufort|on the beaufort)\b/g,
    value: (m) => Number(m[1]),
  },
  unit("energy", "kwh|kilowatt hours?", "kWh"),
  unit("energy", "wh|watt hours?", "Wh"),
  unit("charge", "ah|amp ?-?hours?", "Ah"),
  {
    kind: "length",
    pattern:
      /(\d{1,2}) ?(?:ft|foot|feet|') ?(\d{1,2}(?:\.\d+)?) ?(?:in|ins|inch|inches|"|'')?(?![a-z0-9'])/g,
    value: (m) => Number(m[1]) * units.length.ft + Number(m[2]) * units.length.in,
  },
  // "2m60", as signs on the Continent are read out.
  {
    kind: "length",
    pattern: /(?<![\d.,])(\d{1,2})m(\d{2})(?!\d)/g,
    value: (m) => Number(m[1]) + Number(m[2]) / 100,
  },
  unit("power", "kw|kilowatts?|kilo watts?", "kW"),
  unit("power", "watts?|w", "W"),
  unit("voltage", "kv|kilovolts?", "kV"),
  unit("voltage", "volts?|v", "V"),
  unit("current", "amps?|amperes?", "A"),
  {
    kind: "current",
    pattern: new RegExp(`(\\d{1,3})a(?![a-z0-9])|(\\d{1,3}) a(?=${post})`, "g"),
    value: (m) => Number(m[1] ?? m[2]),
  },
  unit("pressure", "psi|pounds? per square inch", "psi"),
  unit("pressure", "bars?", "bar"),
  unit("pressure", "kpa", "kPa"),
  unit("mass", "kgs?|kilos?|kilograms?", "kg"),
  unit("mass", "g|grams?|grammes?|gr", "g"),
  unit("mass", "lbs?|pounds?", "lb"),
  unit("volume", "litres?|liters?|ltrs?|l", "l"),
  unit("volume", "ml|millilit\\w+", "ml"),
  unit("volume", "gallons?|gal", "gal"),
  unit("volume", "pints?", "pt"),
  unit("time", "hours?|hrs?|h", "h"),
  unit("time", "minutes?|mins?", "min"),
  unit("time", "days?", "days"),
  unit("time", "nights?", "nights"),
  unit("length", "miles?|mi|mls", "miles"),
  unit("length", "kilomet\\w+|kms?|klicks?", "km"),
  // "2 metres 10".
  {
    kind: "length",
    pattern:
      /(?<![\d.,])([1-9]) ?met(?:re|er)s? (\d{2})(?: ?(?:cms?|centimet\w+))?(?![.,:]?\d| ?(?:m|mm|millimet\w+|met\w+|feet|foot|ft|ins?|inch\w*|per ?cent|pct)\b| ?[%'"])/g,
    value: (m) => Number(m[1]) + Number(m[2]) / 100,
  },
  unit("length", "cms?|centimet\\w+", "cm"),
  unit("length", "mm|millimet\\w+", "mm"),
  unit("length", "feet|foot|ft|'", "ft"),
  unit("length", "inch(?:es)?|ins?|\"|''", "in"),
  unit("length", "met(?:re|er)s?|mtrs?|m", "m"),
  {
    kind: "share",
    pattern: new RegExp(`${number} ?(?:%|per ?cent|pct)(?: full\\b)?`, "g"),
    value: (m) => readNumber(m[1] ?? "") / 100,
  },
  {
    kind: "share",
    // "3/8" and "7/10" of a gauge; after such words it is a day.
    pattern:
      /(?<!\b(?:since|until|till|by|(?:back|return) on) )\b([1-7])(?: ?eighths?|\/8)\b(?: full\b)?/g,
    value: (m) => Number(m[1]) / 8,
  },
  {
    kind: "share",
    pattern: /(?<!\b(?:since|until|till|by|(?:back|return) on) )\b([1-9])\/10\b(?: full\b)?/g,
    value: (m) => Number(m[1]) / 10,
  },
  // As a reminder's reply is read (reminders/marks.ts).
  { kind: "share", pattern: /\b(?:almost|nearly|not quite) full\b/g, value: () => 0.9 },
  { kind: "share", pattern: /\b(?:almost|nearly) empty\b/g, value: () => 0.1 },
  { kind: "share", pattern: /\b(?:three[ -]quarters?|3\/4)(?: full)?\b/g, value: () => 0.75 },
  { kind: "share", pattern: /\b(?:two[ -]thirds?|2\/3)(?: full)?\b/g, value: () => 2 / 3 },
  { kind: "share", pattern: /\b(?:a third|one third|1\/3)(?: full)?\b/g, value: () => 1 / 3 },
  { kind: "share", pattern: level("(?:half|1\\/2)(?: full)?"), value: () => 0.5 },
  { kind: "share", pattern: level("(?:quarter|1\\/4)(?: full)?"), value: () => 0.25 },
  { kind: "share", pattern: level("full"), value: () => 1 },
  { kind: "time", pattern: /\bhalf an hour\b/g, value: () => 0.5 },
  { kind: "time", pattern: /\ban? hour\b/g, value: () => 1 },
  { kind: "bare", pattern: new RegExp(number, "g"), value: (m) => readNumber(m[1] ?? "") },
];

/** Units of which nobody says thousandths: "1.500 W" and "1.250 miles" are written so where a point parts thousands. */
const pointed =
  /(?<![\d.,])([1-9]\d{0,2})\.(\d{3})(?= ?(?:w|watts?|wh|km|kms|kilomet\w+|miles?|mi|mls|mm|millimet\w+|g|gr|grams?|grammes?|ml|millilit\w+)(?![a-z0-9/]))/g;

/** Lower case, plain quotes and fractions, number words as digits, thousands parted by commas. */
export function plain(text: string): string {
  return digits(text.normalize("NFKC").toLowerCase())
    .replace(/[’‘′]/g, "'")
    .replace(/[”“″]|''/g, '"')
    .replace(/(?:[−–]|\bminus )(?=\d)/g, "-")
    .replace(/(\d)-(?=\d|[a-z])/g, "$1 ")
    .replace(/\u2044/g, "/")
    .replace(/\b(?:half a|0\.5) (lit(?:re|er)|kilo)/g, "0.5 $1")
    .replace(/\ban? (hour|day|night) and a half\b/g, "1.5 $1s")
    .replace(/\ba (lit(?:re|er)|gallon|kilo)\b/g, "1 $1")
    .replace(/\s+/g, " ")
    .replace(pointed, "$1,$2");
}

/** As it is repeated: "1500km" reads "1500 km". */
const tidy = (said: string): string => said.trim().replace(/(\d)(?=[a-z])/, "$1 ");

/** The quantities of a plain text, in the order in which they stand; numbers without a unit last of all kinds. */
export function quantities(text: string): Quantity[] {
  let rest = text;
  const found: Quantity[] = [];
  for (const { kind, pattern, one = 1, value } of rules) {
    rest = rest.replace(pattern, (...args) => {
      const groups = args.slice(0, -2) as string[];
      const offset = args.at(-2) as number;
      const whole = groups[0] ?? "";
      const read = value(groups as unknown as RegExpExecArray);
      if (Number.isFinite(read))
        found.push({
          ...{ kind, value: read, one, said: tidy(whole) },
          ...{ at: offset, end: offset + whole.length },
        });
      return " ".repeat(whole.length);
    });
  }
  return found.sort((a, b) => a.at - b.at);
}

/** Whether a message is a figure with its unit and no other word. */
export function isFigures(text: string): boolean {
  const close = (words: string) => words.replace(/\s/g, "");
  const words = plain(text);
  const found = quantities(words);
  const rest = found.reduce((left, { said }) => left.replace(close(said), ""), close(words));
  return found.length > 0 && !/\p{L}/u.test(rest);
}
