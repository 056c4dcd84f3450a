/** What is wrong with a guided check, for each van that it concerns. Pure. */
import { actsOn, type Book, concerns, type Entry } from "../book.js";
import type { VanType } from "../placeholders.js";
import type { End, LightText, Question } from "../schema.js";
import { hasDoubt, isFor } from "./for-van.js";

type Path = (string | number)[];
/** Where what was found goes; `text` looks at words that these vans are told. */
type Report = {
  say: (path: Path, message: string) => void;
  text: (path: Path, text: string, vans: readonly VanType[]) => void;
  unknown: (what: string, word: string, valid: Iterable<string>) => string;
};

/** Examines the checks of a light or fault, each for the vans to which it is put. Paths begin in the entry. */
export function examineChecks(
  book: Book,
  entry: Entry,
  { check, variants }: Pick<LightText, "check" | "variants">,
  report: Report,
): void {
  const served = (van: VanType) => variants.find((v) => van.has.includes(v.when));
  const mine = [...book.vans.values()].filter((van) => concerns(entry, van));
  const general = mine.filter((van) => !served(van)?.check);
  const of = { ...report, book, entry };
  if (check) examineCheck(of, ["check"], check, general);
  for (const [i, v] of variants.entries()) {
    const theirs = mine.filter((van) => served(van) === v);
    if (v.check) examineCheck(of, ["variants", i, "check"], v.check, theirs);
  }
}

const names = (vans: readonly VanType[]) => vans.map((van) => van.id).join(", ");

/** What of a check lies at a path. `vans`: those to which this part of it is put. */
function examineCheck(
  of: Report & { book: Book; entry: Entry },
  at: Path,
  node: Question | End,
  vans: readonly VanType[],
): void {
  const { say, text, unknown, book, entry } = of;
  if ("end" in node) {
    text([...at, "say"], node.say, vans);
    if (node.goTo === undefined) return;
    const goTo = book.entries.get(node.goTo);
    if (!goTo) say([...at, "goTo"], unknown("entry", node.goTo, book.entries.keys()));
    const strange = goTo ? vans.filter((van) => !concerns(goTo, van)) : [];
    if (strange.length > 0)
      say([...at, "goTo"], `"${node.goTo}" does not concern ${names(strange)}`);
    return;
  }
  text([...at, "ask"], node.ask, vans);
  const count = (van: VanType) => node.options.filter((o) => isFor(o, van)).length;
  const odd = vans.filter((van) => count(van) < 2 || count(van) > 5);
  if (odd.length > 0) say([...at, "options"], `not 2 to 5 options for ${names(odd)}`);
  if (actsOn(entry) === "danger" && !hasDoubt(node))
    say([...at, "options"], "a danger until checked needs an option for who cannot tell");
  for (const [i, option] of node.options.entries()) {
    const to = [...at, "options", i];
    const features = [option.when, option.unless].filter((f) => f !== undefined);
    for (const f of features)
      if (!book.features.has(f)) say(to, unknown("feature", f, book.features.keys()));
    const theirs = vans.filter((van) => isFor(option, van));
    text([...to, "say"], option.say, theirs);
    examineCheck(of, [...to, "then"], option.then, theirs);
  }
}
