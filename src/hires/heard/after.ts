/** What is heard of people after the trip: of a hire that is over, and of one whose hirers were thanked. Pure. */
import { type Hire, isOver, type Person } from "../hire.js";
import { toPerson } from "../reply.js";
import { said, shown } from "../said.js";
import { begin, line, type Turn, tell } from "../turn.js";
import { understand } from "../understand.js";
import { asksForData } from "./data.js";

/** Whether they were asked what they left behind and what troubled them. */
const wasThanked = (hire: Hire): boolean => hire.sentReminders.some((s) => s.rule === "after");

/** Whether words are an answer to that for a person to read: nothing that is told to staff anyway, no courtesy, and nothing that may be a danger. */
function isForPerson(turn: Turn, words: string): boolean {
  const { matcher } = turn.facts;
  const { outcome, doubt } = understand(matcher, { text: words, van: turn.van });
  return !doubt && outcome !== "triage" && outcome !== "courtesy";
}

/**
 * Takes what is written after the trip; false where it is taken as on the trip. A danger is always heard. Once a
 * hire is over everything else is told so; until then a person reads it.
 */
export function heardAfter(turn: Turn, person: Person): boolean {
  const { book } = turn.facts;
  const isEnded = isOver(turn.hire, turn.now, book.keeping);
  if (!isEnded && !wasThanked(turn.hire)) return false;
  const { body } = turn.arrival;
  const words = body.kind === "said" ? body.text : "";
  const trial = begin(turn.hire, turn.arrival, turn.facts);
  const same = trial.hire.people.find((p) => p.id === person.id) ?? person;
  if (words) said(trial, same, words);
  else if (body.kind === "photo" && body.caption)
    shown(trial, same, "photo", body.file, body.caption);
  if (trial.sends.some((s) => s.severity === "danger")) {
    Object.assign(turn, trial);
    return true;
  }
  if (asksForData(words)) toPerson(turn, person, words, "data");
  else if (isEnded) {
    tell(turn, person, { text: line(turn, "ended") });
    turn.because.push("the hire has ended");
  } else if (words && isForPerson(turn, words)) toPerson(turn, person, words);
  else return false;
  return true;
}
