/** Raising a call-out and getting somebody: alerts in the call order, the next contact, what the hirer is told. Pure. */
import type { Callout, CalloutKind } from "../callouts/callout.js";
import { needWords } from "../callouts/card.js";
import { open, raise, ringNext, type Told, tells, worse } from "../callouts/steps.js";
import type { Severity } from "../knowledge/schema.js";
import type { FileRef } from "../post.js";
import { whoIsOn } from "../roster/on-duty.js";
import { callOrder } from "../triage/order.js";
import { staffButtons } from "../wording/staff-taps.js";
import { hearFrom } from "./callouts/silence.js";
import { isSecret } from "./callouts/told.js";
import { reportOnVan } from "./handover/known.js";
import { lastPlace } from "./heard/last.js";
import type { Person } from "./hire.js";
import { clock, line, openCallouts, put, setDue, type Turn, tellContact } from "./turn.js";

export type Matter = {
  kind: CalloutKind;
  matter: string;
  title: string;
  severity: Severity;
  words: string;
  /** What the words tell of place and need. */
  told?: Told;
};
/** Words that come again within this time after an alert are passed on, not alerted anew. */
const panicMs = 60_000;

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

const urgentWhy = (c: Callout): string =>
  (c.needs ?? []).map((need) => needWords[need]).join(", ") || "it cannot wait";

/** What staff read: van, people, phone, place, what was said, how soon. */
function alertText(turn: Turn, callout: Callout, words: string): string {
  const { hire } = turn;
  const person = hire.people.find((p) => p.id === callout.person);
  const place = lastPlace(turn);
  return [
    `${callout.severity.toUpperCase()}: ${callout.title}${callout.urgent ? ` (urgent: ${urgentWhy(callout)})` : ""}`,
    `Van ${hire.booking.van.registration} (${turn.van.name}), ${person?.name ?? "somebody"}${person?.phone ? `, ${person.phone}` : ""}`,
    place ? `Last known place: ${place}` : "Place: not known yet",
    `Said: "${words.slice(0, 500)}"`,
    `Somebody must answer by ${clock(turn, callout.answerBy)}.`,
  ].join("\n");
}

/** What was last said about a call-out, for the contacts who are alerted later. */
const wordsOf = (callout: Callout): string => callout.words ?? callout.title;

/**
 * Alerts the next contact (danger: all), skipping at once those whom no channel reaches, and sets the due
 * of the step after. Returns the contacts who were really alerted.
 */
export function ring(turn: Turn, callout: Callout): string[] {
  const { firm } = turn.facts.book;
  const order = callOrder(
    firm,
    callout.kind === "person" ? "person" : callout.severity,
    turn.now,
    callout.kind,
  );
  const reached: string[] = [];
  let next = callout;
  let againAt = turn.now;
  for (let tries = 0; tries < order.length && reached.length === 0; tries++) {
    const step = ringNext(next, order, firm, turn.now);
    next = step.callout;
    againAt = step.againAt;
    for (const id of step.ring) {
      const message = {
        text: alertText(turn, next, wordsOf(next)),
        buttons: [staffButtons(turn.hire.id, next.n).take],
      };
      if (
        tellContact(turn, id, message, {
          safety: true,
          callout: next.n,
          severity: next.severity,
          ring: next.severity !== "note",
        })
      )
        reached.push(id);
      else turn.because.push(`no channel reaches ${id}`);
    }
    if (callout.severity === "danger") break;
  }
  put(turn, next);
  setDue(
    turn,
    `callout:${next.n}:next`,
    againAt,
    { kind: "next-contact", callout: next.n },
    next.generation,
  );
  turn.because.push(`alerted ${reached.join(", ") || "nobody"} for call-out ${next.n}`);
  return reached;
}

/** The line that tells the hirer who was alerted; true whatever happened. */
export function alertedLine(turn: Turn, reached: readonly string[], id = "alerted"): string {
  return reached.length > 0
    ? line(turn, id, { who: roles(turn, reached) })
    : line(turn, "alerted-none");
}

/**
 * Raises a call-out, or joins the open one of the same matter (its severity only rises). `quiet`: alerts
 * nobody now; the caller sets the due. Returns the call-out, who was alerted, and whether it is new.
 */
export function callOut(
  turn: Turn,
  person: Person,
  matter: Matter,
  quiet = false,
): { callout: Callout; reached: string[]; isNew: boolean } {
  reportOnVan(turn, person, matter);
  const { firm } = turn.facts.book;
  // A threat is a matter of whoever wrote of it: two people of one hire never share one.
  const known = openCallouts(turn.hire).find(
    (c) => c.matter === matter.matter && (!isSecret(c) || c.person === person.id),
  );
  const told = matter.told ?? { needs: [] };
  if (known) {
    const words = [wordsOf(known), matter.words];
    const raised = {
      ...raise(known, matter.severity, firm, turn.now),
      words: [...new Set(words)].join(" / ").slice(-900),
    };
    const risen = tells(raised, told, firm, turn.now);
    put(turn, risen);
    const rises =
      worse(matter.severity, known.severity) || (risen.urgent === true && known.urgent !== true);
    turn.because.push(`call-out ${known.n} joined${rises ? " and raised" : ""}`);
    if (risen.state === "with" && risen.with) {
      const text = `${matter.severity.toUpperCase()} again: ${matter.title}\n${person.name}: "${matter.words.slice(0, 500)}"`;
      const how = { safety: true, callout: risen.n, severity: risen.severity, ring: true };
      const told = tellContact(turn, risen.with, { text }, how);
      // An owner whom nothing reaches any more does not keep the others from hearing it.
      if (told && !rises) return { callout: risen, reached: [risen.with], isNew: false };
    } else if (!rises && matter.severity !== "danger") {
      const message = {
        text: `Again: ${risen.title}\n${person.name}: "${matter.words.slice(0, 500)}"`,
      };
      const how = { callout: risen.n, severity: risen.severity };
      for (const id of risen.alerted) tellContact(turn, id, message, how);
      return { callout: risen, reached: [], isNew: false };
    } else if (!rises && known.rungAt !== undefined && turn.now - known.rungAt < panicMs) {
      const message = { text: `${person.name} again: "${matter.words.slice(0, 500)}"` };
      const how = { safety: true, callout: risen.n, severity: risen.severity };
      const reached = risen.alerted.filter((id) => tellContact(turn, id, message, how));
      return { callout: risen, reached, isNew: false };
    }
    const reached = ring(turn, risen);
    return {
      callout: turn.hire.callouts.find((c) => c.n === risen.n) ?? risen,
      reached,
      isNew: false,
    };
  }
  const n = Math.max(0, ...turn.hire.callouts.map((c) => c.n)) + 1;
  const { words, told: _told, ...what } = matter;
  const made: Callout = {
    ...tells(open(n, { ...what, person: person.id }, firm, turn.now), told, firm, turn.now),
    words,
  };
  turn.hire.callouts.push(made);
  turn.because.push(`call-out ${n} raised: ${matter.matter}, ${matter.severity}`);
  const reached = quiet ? [] : ring(turn, made);
  if (matter.severity === "danger" || matter.severity === "stop") hearFrom(turn, n);
  return { callout: turn.hire.callouts.find((c) => c.n === n) ?? made, reached, isNew: true };
}

/**
 * Passes a hirer's words, or a file, to whoever has the matter, or notes them on one that nobody has yet.
 * `noted`: they are kept elsewhere already, as a place is. True when a channel carries them to somebody.
 */
export function relay(
  turn: Turn,
  person: Person,
  callout: Callout,
  words: string,
  more: { noted?: boolean; file?: FileRef | undefined } = {},
): boolean {
  const text = `${turn.hire.booking.van.registration}, ${person.name}: "${words.slice(0, 1500)}"`;
  const to = callout.state === "with" && callout.with ? [callout.with] : callout.alerted;
  if (callout.state === "with") put(turn, { ...callout, wroteAt: turn.now });
  else if (!more.noted)
    put(turn, { ...callout, words: `${wordsOf(callout)} / ${words}`.slice(-900) });
  const message = { text, ...(more.file ? { file: more.file } : {}) };
  const how = { callout: callout.n, severity: callout.severity, about: person.id };
  const told = [...new Set(to)].filter((id) => tellContact(turn, id, message, how));
  turn.because.push(`relayed to ${told.join(", ") || "nobody yet"}`);
  return told.length > 0;
}
