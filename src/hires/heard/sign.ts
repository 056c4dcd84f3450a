/** What every sign of life from a hirer does, whatever it is: the first greeting, and the "hear from" moves. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { worse } from "../../callouts/steps.js";
import { hearFrom } from "../alarm.js";
import type { Person } from "../hire.js";
import { line, openCallouts, put, type Turn, tell } from "../turn.js";

/** Any sign of life moves the "hear from" of the open matters. */
export function heard(turn: Turn): void {
  for (const callout of openCallouts(turn.hire)) {
    if (callout.hearFromBy === undefined) continue;
    put(turn, { ...callout, silent: 0 });
    hearFrom(turn, callout.n);
  }
}

/** The first message tells that this is an automated assistant, and how to get a person. */
export function greet(turn: Turn, person: Person): void {
  if (person.greeted) return;
  person.greeted = true;
  tell(turn, person, { text: line(turn, "greeting") });
}

/** The worst open matter that is more than a question. */
export const openTrouble = (turn: Turn): Callout | undefined =>
  openCallouts(turn.hire)
    .filter((c) => c.severity !== "note")
    .sort((a, b) => (worse(a.severity, b.severity) ? -1 : 1))[0];
