/** Who of a hire hears of a call-out, and the one status message of each step. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { isTask } from "../../callouts/steps.js";
import type { Button } from "../../post.js";
import type { Hire, Person } from "../hire.js";
import { openCallouts, personOf, type Turn, tell, tellAll } from "../turn.js";

/** A threat is spoken of with whoever wrote of it, and with nobody else of the hire: they may be the threat. */
export const isSecret = (callout: Callout): boolean => callout.matter === "threat";

/** The open call-outs that this person may hear of. */
export const openFor = (hire: Hire, person: Person): Callout[] =>
  openCallouts(hire).filter((c) => !isTask(c) && (!isSecret(c) || c.person === person.id));

/** One status message a step: to everybody on the hire; of a threat or a question only to whoever wrote. */
export function status(turn: Turn, n: number, text: string, buttons: Button[] = []): void {
  const callout = turn.hire.callouts.find((c) => c.n === n);
  if (!callout || isTask(callout)) return;
  const how = {
    callout: n,
    severity: callout.severity,
    safety: callout.severity === "danger" || callout.severity === "stop",
  };
  const message = { text, ...(buttons.length > 0 ? { buttons } : {}) };
  const person = personOf(turn.hire, callout.person);
  if (person && (isSecret(callout) || callout.kind === "person"))
    tell(turn, person, message, { ...how, everywhere: true });
  else tellAll(turn, message, how);
}
