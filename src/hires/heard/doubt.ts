/** Words that may tell of a danger, while their hirer has not said whether they do. Pure. */
import { after } from "../../calendar.js";
import type { Person } from "../hire.js";
import { toPerson } from "../reply.js";
import { setDue, type Turn, talkOf } from "../turn.js";

/** So many minutes after the question a person looks at the words, unless it was answered. */
const answerMin = 10;

/** Sets the due of words that no person has yet; gives all that wait for it. */
export function awaitAnswer(turn: Turn, { id }: Person, words: string): { waits: string } {
  const before = talkOf(turn, id).doubt?.waits;
  if (before !== undefined) return { waits: `${before} / ${words}` };
  const at = after(turn.now, answerMin);
  setDue(turn, `doubt:${id}`, at, { kind: "doubt", person: id }, 0);
  return { waits: words };
}

/** The due: a person gets the words, once; the question stays open, and its buttons still act. */
export function doubtDue(turn: Turn, id: string): void {
  const person = turn.hire.people.find((p) => p.id === id);
  const doubt = turn.hire.talks[id]?.doubt;
  if (!person || doubt?.waits === undefined) {
    turn.because.push("ignored: no doubt is open");
    return;
  }
  const { waits, ...open } = doubt;
  talkOf(turn, id).doubt = open;
  turn.because.push("a doubt was not answered");
  toPerson(turn, person, waits, "doubt");
}
