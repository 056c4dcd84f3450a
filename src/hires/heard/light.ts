/** A light that the hirer cannot name: its colour first, then the numbered sheet, then steady or flashing. Pure. */
import { minuteMs } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import type { Entry, FaultEntry, LightEntry } from "../../knowledge/book.js";
import { digits } from "../../knowledge/measures/numerals.js";
import { fill } from "../../knowledge/placeholders.js";
import type { Question } from "../../knowledge/schema.js";
import type { Severity } from "../../severity.js";
import { optionIn } from "../../triage/check.js";
import { colourOf } from "../../triage/lights.js";
import { relay } from "../alarm.js";
import { questionsFor } from "../callouts/questions.js";
import type { Asking, Person } from "../hire.js";
import { openCallouts, put, type Turn, talkOf } from "../turn.js";

export const unclear = "unknown-light";

const before =
  "(?:no|nope|sorry|oops|wait|actually|correction|i (?:think|guess|meant?)|it'?s|it is|it was|(?:it )?looks like|probably|maybe|perhaps|number|but|not \\d{1,2})\\b";
const behind =
  "(?:i (?:think|guess|meant?)|on the sheet|sorry|please|probably|maybe|instead|not \\d{1,2})\\b";
/** A number and little else: "I think it's number 2", "sorry, 2 not 13". */
const numbered = new RegExp(`^\\W*(?:${before}\\W*)*(\\d{1,2})\\b(?:\\W*${behind})*\\W*$`, "i");
/** Words by which a number takes back another. */
const corrects = /\b(?:no|nope|sorry|oops|wait|actually|correction|meant?|not|number)\b/i;
/** For so many minutes a number can be taken back. */
const correctMin = 30;

/**
 * The light that a number on the sheet names: while the sheet is on the screen, and where such a number is taken
 * back ("no, 2") before the check of its light is answered, or something else is asked.
 */
export function lightOnSheet(turn: Turn, person: Person, words: string): Entry | undefined {
  const { sheet, namedAt, staffLast } = talkOf(turn, person.id);
  const isOpen = namedAt !== undefined && turn.now - namedAt <= correctMin * minuteMs;
  if (!sheet && !(isOpen && !staffLast && corrects.test(words))) return undefined;
  const isNobody = /^\W*no[ -]?one\b/i.test(words);
  const number = isNobody ? undefined : numbered.exec(digits(words.toLowerCase()))?.[1];
  const { entries, lightSheet } = turn.facts.book;
  return number ? entries.get(lightSheet[Number(number) - 1] ?? "") : undefined;
}

/** Words by which nothing on the sheet is theirs. */
export const notOnSheet = (words: string): boolean =>
  /^\W*(?:none|no\b|nope|neither|nothing|not (?:there|sure|on|any)|(?:i )?(?:can'?t|cannot|don'?t|do not) (?:find|see|know|tell))/i.test(
    words,
  );

/**
 * What is still to be asked of a light that is not named: its colour unless it was said, the sheet, and for
 * amber whether all is as usual. `path`: the answers that the words gave already.
 */
export function stepsFor(
  check: Question,
  severity: Severity,
  words: string,
): { steps: Asking[]; path: number[] } {
  const colour = colourOf(words);
  if ((colour && colour !== "amber") || severity !== "stop") return { steps: ["sheet"], path: [] };
  const amber = colour === "amber" ? optionIn(check, "amber") : undefined;
  return amber === undefined
    ? { steps: ["check", "sheet"], path: [] }
    : { steps: ["sheet", "check"], path: [amber] };
}

/** Words that tell of one more light, not of the one that had no name. */
const oneMore = /\b(another|too|also|as well|second|both|now there)\b/i;

/** For so many minutes what another of the hire names may be the light that had no name. */
const sameMin = 30;

/**
 * The open call-out of a light without a name that this light is: the one that this person is asked about, else one
 * that another of the hire told of just before, where the colour fits and this light is no mere notice.
 */
export function unclearMatter(
  turn: Turn,
  person: Person,
  entry: Entry,
  words: string,
): Callout | undefined {
  // A title that was picked tells of nothing more: "Red thermometer: too hot".
  if (entry.kind !== "light" || entry.id === unclear) return undefined;
  if (oneMore.test(words.replace(entry.title, ""))) return undefined;
  const open = openCallouts(turn.hire);
  if (open.some((c) => c.matter === entry.id)) return undefined;
  const nameless = open.filter((c) => c.matter === unclear && c.van === undefined);
  const asked = questionsFor(talkOf(turn, person.id)).map((q) => q.callout);
  const own = nameless.find((c) => c.n === asked[0]);
  if (own || entry.severity === "note" || nameless.some((c) => asked.includes(c.n))) return own;
  return nameless.find(
    (c) =>
      c.person !== person.id &&
      turn.now - c.openedAt <= sameMin * minuteMs &&
      fits(colourOf(c.words ?? ""), colourOf(`${entry.title} ${words}`)),
  );
}

const fits = (a: string | undefined, b: string | undefined): boolean =>
  a === undefined || b === undefined || a === b;

/** Whose questions of a nameless light are over, now that another has named it: what else they were asked goes on. */
export function namedByAnother(turn: Turn, { id }: Person, n: number): Person[] {
  return turn.hire.people.filter((other) => {
    const { asking } = talkOf(turn, other.id);
    if (other.id === id || asking?.callout !== n) return false;
    asking.steps = asking.steps.filter((step) => step !== "check" && step !== "sheet");
    return true;
  });
}

/** A call-out gets the name of what it turned out to be; whoever knows of it reads it. */
export function nameMatter(
  turn: Turn,
  person: Person,
  callout: Callout,
  entry: LightEntry | FaultEntry,
  severity: Severity,
): void {
  const title = fill(entry.title, turn.voice.values);
  const named = { ...callout, kind: entry.kind, matter: entry.id, title };
  put(turn, severity === "note" ? { ...named, checked: severity } : named);
  const current = turn.hire.callouts.find((c) => c.n === callout.n);
  if (current) relay(turn, person, current, `it is: ${title}`);
  turn.because.push(`call-out ${callout.n} is ${entry.id}`);
}
