/** Raising a call-out and getting somebody: alerts in the call order, the next contact, what the hirer is told. Pure. */
import { after } from "../calendar.js";
import type { Callout, CalloutKind } from "../callouts/callout.js";
import { open, raise, ringNext, worse } from "../callouts/steps.js";
import type { Severity } from "../knowledge/schema.js";
import { callOrder } from "../triage/order.js";
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
};

/** Contacts as the hirer hears of them before anyone took it: by role, each once. */
export function roles(turn: Turn, ids: readonly string[]): string {
  const named = [...new Set(ids.map((id) => turn.facts.book.firm.contacts[id]?.role ?? id))];
  return named.length > 1
    ? `${named.slice(0, -1).join(", ")} and ${named.at(-1)}`
    : (named[0] ?? "");
}

/** What staff read: van, people, phone, place, what was said, how soon. */
function alertText(turn: Turn, callout: Callout, words: string): string {
  const { hire } = turn;
  const person = hire.people.find((p) => p.id === callout.person);
  const place = lastPlace(turn);
  return [
    `${callout.severity.toUpperCase()}: ${callout.title}${callout.urgent ? " (urgent: somebody needs help or the place is unsafe)" : ""}`,
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
        buttons: [{ tap: `take:${turn.hire.id}:${next.n}`, label: "I take it" }],
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
  const known = openCallouts(turn.hire).find((c) => c.matter === matter.matter);
  if (known) {
    const risen = { ...raise(known, matter.severity, firm, turn.now), words: matter.words };
    put(turn, risen);
    const rises = worse(matter.severity, known.severity);
    turn.because.push(`call-out ${known.n} joined${rises ? " and raised" : ""}`);
    if (risen.state === "with" && risen.with) {
      const text = `${matter.severity.toUpperCase()} again: ${matter.title}\n${person.name}: "${matter.words.slice(0, 500)}"`;
      const how = { safety: true, callout: risen.n, severity: risen.severity, ring: true };
      const told = tellContact(turn, risen.with, { text }, how);
      // An owner whom nothing reaches any more does not keep the others from hearing it.
      if (told && !rises) return { callout: risen, reached: [risen.with], isNew: false };
    } else if (!rises && matter.severity !== "danger")
      return { callout: risen, reached: [], isNew: false };
    const reached = ring(turn, risen);
    return {
      callout: turn.hire.callouts.find((c) => c.n === risen.n) ?? risen,
      reached,
      isNew: false,
    };
  }
  const n = Math.max(0, ...turn.hire.callouts.map((c) => c.n)) + 1;
  const { words, ...what } = matter;
  const made: Callout = { ...open(n, { ...what, person: person.id }, firm, turn.now), words };
  turn.hire.callouts.push(made);
  turn.because.push(`call-out ${n} raised: ${matter.matter}, ${matter.severity}`);
  const reached = quiet ? [] : ring(turn, made);
  if (matter.severity === "danger" || matter.severity === "stop") hearFrom(turn, n);
  return { callout: turn.hire.callouts.find((c) => c.n === n) ?? made, reached, isNew: true };
}

/** Sets or moves the "hear from the hirer by" of an open danger or stop. */
export function hearFrom(turn: Turn, n: number): void {
  const callout = turn.hire.callouts.find((c) => c.n === n);
  if (
    !callout ||
    callout.state === "done" ||
    (callout.severity !== "danger" && callout.severity !== "stop")
  )
    return;
  const pause = turn.facts.book.firm.limits.hearFromMin * 2 ** Math.min(callout.silent ?? 0, 3);
  const at = after(turn.now, pause);
  put(turn, { ...callout, hearFromBy: at });
  setDue(turn, `callout:${n}:hear`, at, { kind: "hear-from", callout: n }, 0);
}

/**
 * Passes a hirer's words to whoever has the matter, or notes them on a matter that nobody has yet.
 * `noted`: they are kept elsewhere already, as a place is.
 */
export function relay(
  turn: Turn,
  person: Person,
  callout: Callout,
  words: string,
  noted = false,
): void {
  const text = `${turn.hire.booking.van.registration}, ${person.name}: "${words.slice(0, 1500)}"`;
  const to = callout.state === "with" && callout.with ? [callout.with] : callout.alerted;
  if (callout.state === "nobody-yet" && !noted)
    put(turn, { ...callout, words: `${wordsOf(callout)} / ${words}`.slice(-900) });
  for (const id of new Set(to))
    tellContact(turn, id, { text }, { callout: callout.n, severity: callout.severity });
  turn.because.push(`relayed to ${to.join(", ") || "nobody yet"}`);
}
