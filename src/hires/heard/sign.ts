/** What every sign of life from a hirer does, whatever it is: the first greeting, and the "hear from" moves. Pure. */

import type { Callout } from "../../callouts/callout.js";
import { worstFirst } from "../../callouts/together.js";
import { isSecret } from "../../callouts/whose.js";
import { heardFrom } from "../callouts/silence.js";
import { openFor } from "../callouts/told.js";
import type { Person } from "../hire.js";
import { line, type Turn, talkOf, tell } from "../turn.js";

/** A sign of life of a person moves the "hear from" of the open matters that they may know of, and answers what they were asked by one word. */
export function heard(turn: Turn, person: Person): void {
  const talk = talkOf(turn, person.id);
  delete talk.wellAsked;
  delete talk.roadsideAsked;
  heardFrom(turn, openFor(turn.hire, person), person.name);
}

/** The first message tells that this is an automated assistant, and how to get a person. */
export function greet(turn: Turn, person: Person): void {
  if (person.greeted) return;
  person.greeted = true;
  tell(turn, person, { text: line(turn, "greeting") });
}

/** The open matters that a person may know of, their own threat first, then the worst. */
export function openOf(turn: Turn, person: Person): Callout[] {
  const all = openFor(turn.hire, person);
  return [...all.filter(isSecret), ...worstFirst(all.filter((c) => !isSecret(c)))];
}

/** The worst open matter of theirs that is more than a question. */
export const openTrouble = (turn: Turn, person: Person): Callout | undefined =>
  openOf(turn, person).find((c) => c.severity !== "note");
