/** A light that the hirer cannot name: its colour first, then the numbered sheet, then steady or flashing. Pure. */
import type { Callout } from "../../callouts/callout.js";
import type { Entry, FaultEntry, LightEntry } from "../../knowledge/book.js";
import { fill } from "../../knowledge/placeholders.js";
import type { Question } from "../../knowledge/schema.js";
import type { Severity } from "../../severity.js";
import { optionIn } from "../../triage/check.js";
import { colourOf } from "../../triage/lights.js";
import { relay } from "../alarm.js";
import type { Asking, Person } from "../hire.js";
import { openCallouts, put, type Turn, talkOf } from "../turn.js";

export const unclear = "unknown-light";

/** The light that a number on the sheet names, while the sheet is on the screen. */
export function lightOnSheet(turn: Turn, person: Person, words: string): Entry | undefined {
  if (!talkOf(turn, person.id).sheet) return undefined;
  const number = /^\W*(?:number |no\.? ?|it'?s (?:number )?)?(\d{1,2})\W*$/i.exec(words)?.[1];
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

/** The open call-out of a light without a name that this person is being asked about, and that this light is. */
export function unclearMatter(
  turn: Turn,
  person: Person,
  entry: Entry,
  words: string,
): Callout | undefined {
  if (entry.kind !== "light" || entry.id === unclear || oneMore.test(words)) return undefined;
  const open = openCallouts(turn.hire);
  const asked = talkOf(turn, person.id).asking?.callout;
  return open.some((c) => c.matter === entry.id)
    ? undefined
    : open.find((c) => c.matter === unclear && c.n === asked && c.van === undefined);
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
