/** Who of a hire hears of a call-out, and the one status message of each step. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { isTask } from "../../callouts/steps.js";
import type { Button } from "../../post.js";
import { whoIsOn } from "../../roster/on-duty.js";
import type { Hire, Person } from "../hire.js";
import { clock, line, nameOf, openCallouts, personOf, type Turn, tell, tellAll } from "../turn.js";

/** A threat is spoken of with whoever wrote of it, and with nobody else of the hire: they may be the threat. */
export const isSecret = (callout: Callout): boolean => callout.matter === "threat";

/** The open call-outs that this person may hear of. */
export const openFor = (hire: Hire, person: Person): Callout[] =>
  openCallouts(hire).filter((c) => !isTask(c) && (!isSecret(c) || c.person === person.id));

/**
 * Contacts as the hirer hears of them before anyone took it: by role, each once. Whoever is on duty at that
 * instant is the duty person, and nobody else is.
 */
export function roles(turn: Turn, ids: readonly string[], at = turn.now): string {
  const { firm } = turn.facts.book;
  const { contacts, gap } = whoIsOn(firm, at);
  const role = (id: string) =>
    contacts.includes(id) && !gap ? line(turn, "duty-role") : (firm.contacts[id]?.role ?? id);
  const named = [...new Set(ids.map(role))];
  return named.length > 1
    ? `${named.slice(0, -1).join(", ")} and ${named.at(-1)}`
    : (named[0] ?? "");
}

/** Where another matter of theirs is open and stands otherwise, a status says which one it is about. */
function named(turn: Turn, callout: Callout, text: string): string {
  const person = personOf(turn.hire, callout.person);
  const others = person ? openFor(turn.hire, person).filter((c) => c.n !== callout.n) : [];
  const sameAsOthers = others.every(
    (c) => c.beside === callout.n && c.state === callout.state && c.with === callout.with,
  );
  return sameAsOthers ? text : line(turn, "about", { title: callout.title, text });
}

/** Whom an alert of it has reached so far. */
export const triedFor = (c: Callout): string[] => c.tried ?? c.alerted;

/** How a matter stands now, in one line; true at this instant. */
export function standing(turn: Turn, c: Callout): string {
  const { firm } = turn.facts.book;
  const name = nameOf(turn, c.with ?? "");
  if (c.state === "done")
    return line(turn, "is-done", {
      title: c.title,
      outcome: firm.outcomes[c.outcome ?? ""] ?? "",
    });
  if (c.state === "with")
    return c.promisedAt === undefined
      ? line(turn, "taken", { name })
      : line(turn, "taken-rings", { name, time: clock(turn, c.promisedAt) });
  if (c.waitsUntil !== undefined)
    return line(turn, "waits-until", { time: clock(turn, c.waitsUntil) });
  const tried = triedFor(c);
  return tried.length > 0
    ? line(turn, "not-taken", { who: roles(turn, tried) })
    : line(turn, "alerted-none");
}

/** One status message a step: to everybody on the hire; of a threat or a question only to whoever wrote. */
export function status(turn: Turn, n: number, said: string, buttons: Button[] = []): void {
  const callout = turn.hire.callouts.find((c) => c.n === n);
  if (!callout || isTask(callout)) return;
  const text = named(turn, callout, said);
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
