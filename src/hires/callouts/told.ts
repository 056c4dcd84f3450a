/** Who of a hire hears of a call-out, and the one status message of each step. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { isTask } from "../../callouts/steps.js";
import { isOf } from "../../callouts/whose.js";
import type { Button } from "../../post.js";
import { whoIsOn } from "../../roster/on-duty.js";
import { isGrave } from "../../severity.js";
import type { Hire, Person } from "../hire.js";
import { clock, line, nameOf, openCallouts, personOf, type Turn, tell } from "../turn.js";

/** The people of a hire who may hear of a call-out. */
const readersOf = (hire: Hire, c: Callout): Person[] =>
  hire.people.filter((p) => isOf(hire.callouts, c, p.id));

/** With whom a call-out is spoken of: whoever raised it, else the booker where it is theirs too. */
export const speaksFor = (hire: Hire, c: Callout): Person | undefined =>
  personOf({ people: readersOf(hire, c) }, c.person);

/** Who is rung about a call-out, as staff read it; whoever was taken off the hire as they were last known. */
export function rungAbout(hire: Hire, c: Callout): { name: string; phone?: string } | undefined {
  const { left } = c;
  return (
    speaksFor(hire, c) ??
    (left && { ...left, name: `${left.name}, who is not on the hire any more` })
  );
}

/** Whether its hirers have brought their van back: it stays open and wakes nobody any more, but for a danger. */
export const isBack = ({ returnRecordAt }: Hire, { severity }: Callout): boolean =>
  returnRecordAt !== undefined && severity !== "danger";

/** Whether its hirers hear no more of it by itself: they are back, and it is no question of theirs. */
export const hearsNoMore = (hire: Hire, c: Callout): boolean =>
  isBack(hire, c) && c.kind !== "person";

/** The open call-outs that this person may hear of. */
export const openFor = (hire: Hire, person: Person): Callout[] =>
  openCallouts(hire).filter((c) => !isTask(c) && isOf(hire.callouts, c, person.id));

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

/** Where another matter of the reader's is open and stands otherwise, a status says which one it is about. */
function named(turn: Turn, callout: Callout, reader: Person, text: string): string {
  const others = openFor(turn.hire, reader).filter((c) => c.n !== callout.n);
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
  // Told at night, it is put to them by what the hirer says of it, or in a few minutes.
  if (c.alerted.length === 0 && c.rungAt === undefined) return line(turn, "not-alerted");
  const tried = triedFor(c);
  return tried.length > 0
    ? line(turn, "not-taken", { who: roles(turn, tried) })
    : line(turn, "alerted-none");
}

/** One status message a step, to everybody who may hear of it. */
export function status(turn: Turn, n: number, said: string, buttons: Button[] = []): void {
  const callout = turn.hire.callouts.find((c) => c.n === n);
  if (!callout || isTask(callout)) return;
  const how = {
    callout: n,
    severity: callout.severity,
    safety: isGrave(callout.severity),
    everywhere: true,
  };
  for (const reader of readersOf(turn.hire, callout)) {
    const text = named(turn, callout, reader, said);
    tell(turn, reader, { text, ...(buttons.length > 0 ? { buttons } : {}) }, how);
  }
}
