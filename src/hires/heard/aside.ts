/** Words that surely tell or ask something else than what was asked of them. Pure. */
import type { Person } from "../hire.js";
import { type Turn, talkOf } from "../turn.js";
import type { Choice } from "../understand.js";

/** From this probability on a trouble told beside an answer is one of its own. Set by hand. */
export const surely = 0.7;

/** Whether words that came while a sum waits for a figure plainly ask about something else: "hob won't light". */
export function saysOther(turn: Turn, person: Person, words: string, choice: Choice): boolean {
  const [top] = choice.entries;
  const isOther = choice.answered > 0 && top?.id !== talkOf(turn, person.id).sum?.entry;
  return (
    isOther && (top?.p ?? 0) >= surely && !/\d/.test(words) && words.trim().split(/\s+/).length > 2
  );
}

/**
 * Whether words that begin like an answer surely ask for something else: "no hot water", or, while the sheet of
 * lights is on the screen, "can't find the waste drain".
 */
export function tellsOther(turn: Turn, person: Person, words: string, choice: Choice): boolean {
  const [top] = choice.entries;
  const kind = turn.facts.book.entries.get(top?.id ?? "")?.kind;
  const tells = choice.answered > 0 || choice.outcome === "lacks";
  if (!tells || (top?.p ?? 0) < surely || kind === "courtesy") return false;
  const onSheet = talkOf(turn, person.id).asking?.steps[0] === "sheet";
  return onSheet || (kind === "answer" && /^\W*no \w/i.test(words));
}
