/** What is wrong with the words of an entry, for each van that is told them. Pure. */
import { type Book, concerns, type Entry } from "../book.js";
import { forbiddenIn } from "../forbidden.js";
import { fill, fillSteps, named, type VanType } from "../placeholders.js";
import type { AnswerText, FaultText, LightText } from "../schema.js";
import { unknown, unlessIn } from "./nearest.js";

export type Path = (string | number)[];
type Told = Pick<AnswerText, "lead" | "steps" | "ifNot" | "ring" | "cautions">;
type Text = [path: Path, words: string];
export type Fits = (van: VanType) => boolean;
/** What every check of a file is given. */
export type Check = {
  /** Where what is found in the file goes; without a message nothing is. */
  say: (path: Path, message: string | undefined) => void;
  book: Book;
  /** Each van in each nation, with the values of its placeholders. */
  places: { van: VanType; values: ReadonlyMap<string, string | string[]> }[];
  /** Ask, as `plain` has it → the entry in which it stood last. */
  askedIn: Map<string, string>;
  /** The ids of answers, lights, faults and dangers that were met. */
  seen: Set<string>;
};

/** Lengths in characters. A phone screen holds about 700; a Telegram caption 1,024. */
const limits = { body: 700, whole: 1000 } as const;
const figure =
  /\d\s?(mm|cm|m|km|mph|kg|litres?|l|v|volts?|a|amps?|w|kw|bar|psi|minutes?|min|seconds?|hours?|h|days?|miles?|°c|c|%|ppm|nm)\b/i;

/** The texts under these keys of what lies at a path, in this order. */
export const textsOf = <K extends string>(
  at: Path,
  from: { [k in K]?: string | string[] | undefined },
  keys: readonly K[],
): Text[] =>
  keys.flatMap((key): Text[] => {
    const words: string | string[] | undefined = from[key];
    if (Array.isArray(words)) return words.map((line, i) => [[...at, key, i], line]);
    return words ? [[[...at, key], words]] : [];
  });

/** Placeholders must resolve for every van that the text fits; a missing one is told for the first such van. */
export function resolves({ say, places }: Check, [path, words]: Text, fits: Fits) {
  for (const name of new Set(named(words))) {
    const place = places.find(({ van, values }) => fits(van) && !values.has(name));
    if (place)
      say(path, `${unknown("placeholder", name, place.values.keys())} (for ${place.van.id})`);
  }
}

function sayForbidden({ say }: Check, [path, words]: Text) {
  for (const wording of forbiddenIn(words)) say(path, `forbidden wording "${wording}"`);
}

export function checkTexts(check: Check, texts: Text[], fits: Fits) {
  for (const text of texts) {
    sayForbidden(check, text);
    resolves(check, text, fits);
  }
}

/** What a phone screen holds, for each van that is told it. `around`: what is told beside it. */
function checkLengths(
  { say, places }: Check,
  told: Told,
  { at, fits, around }: { at: Path; fits: Fits; around: string[] },
) {
  for (const { van, values } of places.filter((place) => fits(place.van))) {
    const steps = fillSteps(told.steps, values);
    if (steps.length > 7)
      say([...at, "steps"], `${steps.length} steps for ${van.id}; at most 7 fit a phone`);
    const filled = (lines: string[]) => lines.map((t) => fill(t, values)).join("\n").length;
    const body = filled([told.lead ?? "", ...steps, told.ifNot ?? "", told.ring ?? "", ...around]);
    const whole = body + filled(told.cautions) + `${at[0]}`.length;
    if (body > limits.body)
      say(at, `${body} characters for ${van.id}; about ${limits.body} fit a phone`);
    else if (whole > limits.whole)
      say(at, `${whole} characters with cautions for ${van.id}; at most ${limits.whole}`);
  }
}

/** One text for the vans that it fits; whether it has a figure. `at` begins with the entry's id. */
function checkTold(
  check: Check,
  told: Told,
  where: { at: Path; fits: Fits; hazards: string[]; around: string[] },
): boolean {
  const { at, fits, hazards } = where;
  const texts = textsOf(at, told, ["lead", "steps", "ifNot", "ring", "cautions"]);
  if (hazards.length > 0 && told.cautions.length === 0)
    check.say([...at, "cautions"], `tagged ${hazards.join(", ")} but carries no caution`);
  const first = check.places.find(({ van }) => fits(van));
  if (first && told.steps.length === 0 && !told.lead)
    check.say(at, `has neither lead nor steps for ${first.van.id}`);
  else {
    for (const text of texts) resolves(check, text, fits);
    checkLengths(check, told, where);
  }
  for (const text of texts) sayForbidden(check, text);
  return texts.some(([, words]) => figure.test(words.replace(/\{[^}]*\}/g, "")));
}

/** An entry's text and its variants, each for the vans that are told it; whether a figure stands in one. */
export function checkVariants(
  check: Check,
  entry: Entry,
  text: AnswerText | LightText | FaultText,
  around: string[],
): boolean {
  const { hazards } = text;
  const { say, book } = check;
  const fits = (van: VanType) =>
    concerns(entry, van) && !text.variants.some((v) => van.has.includes(v.when));
  let figures = checkTold(check, text, { at: [entry.id], fits, hazards, around });
  for (const [i, v] of text.variants.entries()) {
    const at = [entry.id, "variants", i];
    say([...at, "when"], unlessIn(book.features, "feature", v.when));
    const fits = (van: VanType) => concerns(entry, van) && van.has.includes(v.when);
    figures = checkTold(check, v, { at, fits, hazards, around: [] }) || figures;
    if ("picture" in v && v.picture)
      say([...at, "picture"], unlessIn(book.pictures, "picture", v.picture));
  }
  return figures;
}
