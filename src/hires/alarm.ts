/** Raising a call-out and getting somebody: alerts in the call order, the next contact, what the hirer is told. Pure. */

import { after } from "../calendar.js";
import type { Callout, CalloutKind } from "../callouts/callout.js";
import { needWords } from "../callouts/card.js";
import {
  adds,
  awake,
  limitMin,
  open,
  raise,
  ringNext,
  type Told,
  tells,
} from "../callouts/steps.js";
import { sameStop, toldOfStop } from "../callouts/together.js";
import { isOf } from "../callouts/whose.js";
import type { Address, FileRef } from "../post.js";
import { addressesOf } from "../roster/reach.js";
import { isGrave, type Severity, worse } from "../severity.js";
import { sameTrouble } from "../triage/matter.js";
import { callOrder } from "../triage/order.js";
import { staffButtons } from "../wording/staff-taps.js";
import { hearFrom } from "./callouts/silence.js";
import { roles, rungAbout, triedFor } from "./callouts/told.js";
import { reportOnVan } from "./handover/known.js";
import { lastPlace, whereItStands } from "./heard/last.js";
import { hasBegun, type Person } from "./hire.js";
import {
  line,
  openCallout,
  put,
  quote,
  setDue,
  staffClock,
  type Turn,
  tellContact,
  vanNamed,
} from "./turn.js";

export type Matter = {
  kind: CalloutKind;
  matter: string;
  title: string;
  severity: Severity;
  words: string;
  /** What the words tell of place and need. */
  told?: Told;
  /** What else the same words told: the alert names it. */
  also?: readonly string[];
  /** It was open without its name, and staff were told the name already. */
  named?: boolean;
};
/**
 * A call-out that was raised. `reached`: who was told now; `isNew`: it was not open before; `rises`: it was,
 * and is worse or more urgent now.
 */
export type Raised = { callout: Callout; reached: string[]; isNew: boolean; rises: boolean };
/** So many letters of what is passed on reach whoever has the matter. */
const mostRelayed = 1500;
/** Words that come again within this time after an alert are passed on, not alerted anew. */
const panicMs = 60_000;

const urgentWhy = (c: Callout): string =>
  (c.needs ?? []).map((need) => needWords[need]).join(", ") || "it cannot wait";

/** What staff read: van, people, phone, place, what was said, how soon. */
function alertText(turn: Turn, callout: Callout, words: string): string {
  const { hire } = turn;
  const person = rungAbout(hire, callout);
  // Who is in need is where they are now, whichever van it was.
  const at = callout.urgent ? hire : whereItStands(hire, callout);
  const place = lastPlace(at, turn.now, turn.facts.book.firm.zone);
  return [
    `${callout.severity.toUpperCase()}: ${callout.title}${callout.urgent ? ` (urgent: ${urgentWhy(callout)})` : ""}`,
    `Van ${vanNamed(turn, callout)}, ${person?.name ?? "somebody"}${person?.phone ? `, ${person.phone}` : ""}`,
    ...(hasBegun(hire, turn.now)
      ? []
      : [
          `Their hire begins on ${staffClock(turn, hire.booking.pickupAt)}: ask which van they are in.`,
        ]),
    place ? `Last known place: ${place}` : "Place: not known yet",
    ...(callout.also ?? []).map((title) => `Also: ${title}`),
    `Said: "${quote(words)}"`,
    callout.answerBy > turn.now
      ? `Somebody must answer by ${staffClock(turn, callout.answerBy)}.`
      : `Nobody has answered: it was due by ${staffClock(turn, callout.answerBy)}.`,
  ].join("\n");
}

/** What was last said about a call-out, for the contacts who are alerted later. */
const wordsOf = (callout: Callout): string => callout.words ?? callout.title;

/** Whom to alert for it now, in order. */
function orderFor(turn: Turn, { kind, severity }: Callout): string[] {
  const { firm } = turn.facts.book;
  return callOrder(firm, kind === "person" ? "person" : severity, turn.now, kind);
}

/**
 * Alerts the next contact (danger: all), skipping at once those whom no channel reaches, and sets the due
 * of the step after. Returns the contacts who were really alerted.
 */
export function ring(turn: Turn, { failed: _before, ...callout }: Callout): string[] {
  const { firm } = turn.facts.book;
  const order = orderFor(turn, callout);
  const reached: string[] = [];
  let next: Callout = callout;
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
  put(turn, { ...next, tried: [...new Set([...triedFor(callout), ...reached])] });
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

/**
 * It is worse or more urgent than it was: the next contact is alerted, and whoever was before reads it too, as they
 * may be on their way at leisure. `said`: the words that told it. Returns the contacts who were alerted now.
 */
export function ringWorse(turn: Turn, was: Callout, c: Callout, said?: string): string[] {
  const reached = ring(turn, c);
  if (c.state !== "nobody-yet") return reached;
  const rose = worse(c.severity, was.severity);
  const why = c.urgent ? ` (${rose ? "urgent: " : ""}${urgentWhy(c)})` : "";
  const now = `${rose ? c.severity.toUpperCase() : "URGENT"} now: ${c.title}${why}`;
  const text = [now, `Van ${vanNamed(turn, c)}`, ...(said ? [said] : [])].join("\n");
  const buttons = [staffButtons(turn.hire.id, c.n).take];
  const how = { callout: c.n, severity: c.severity, safety: true, ring: c.severity !== "note" };
  for (const id of was.alerted)
    if (!reached.includes(id)) tellContact(turn, id, { text, buttons }, how);
  return reached;
}

/**
 * A channel did not carry an alert to its contact: with none left, the next contact is alerted at once, while
 * somebody is left who was not. The rest is the next due's, or a dead channel would be a storm.
 */
export function alertLost(turn: Turn, { channel, to }: Address, n: number | undefined): void {
  turn.because.push(`not delivered on ${channel}`);
  const callout = openCallout(turn, n);
  if (callout?.state !== "nobody-yet") return;
  const { reach, book } = turn.facts;
  const contact = Object.keys(book.firm.contacts).find(
    (id) => id === to || reach.telegram[id] === to,
  );
  if (contact === undefined) return;
  const failed = [
    ...(callout.failed ?? []).filter((f) => f.channel !== channel || f.contact !== contact),
    { contact, channel },
  ];
  put(turn, { ...callout, failed });
  const ways = addressesOf(book.firm, reach, contact).filter(
    (way) => !failed.some((f) => f.contact === contact && f.channel === way.channel),
  );
  const left = orderFor(turn, callout).some((id) => !callout.alerted.includes(id));
  if (ways.length === 0 && left) ring(turn, callout);
}

/** The line that tells the hirer who was alerted; true whatever happened. */
export function alertedLine(turn: Turn, reached: readonly string[], id = "alerted"): string {
  return reached.length > 0
    ? line(turn, id, { who: roles(turn, reached) })
    : line(turn, "alerted-none");
}

/**
 * Raises a call-out, or joins the open one of the same trouble (its severity only rises). `quiet`: alerts
 * nobody now; the caller sets the due.
 */
export function callOut(turn: Turn, person: Person, matter: Matter, quiet = false): Raised {
  reportOnVan(turn, person, matter);
  const { firm } = turn.facts.book;
  const told = matter.told ?? { needs: [] };
  const same = openOne(turn, person, matter.matter);
  if (same) return joins(turn, person, same, matter);
  const n = Math.max(0, ...turn.hire.callouts.map((c) => c.n)) + 1;
  const { words, told: _told, also, named: _named, ...what } = matter;
  const fresh = open(n, { ...what, person: person.id }, firm, turn.now);
  // Where the van stands, and who is in need there, was told of another matter already.
  const known = matter.severity === "stop" ? sameStop(turn.hire.callouts, fresh) : [];
  const made: Callout = {
    ...tells(tells(fresh, toldOfStop(known), firm, turn.now), told, firm, turn.now),
    words,
    ...(also?.length ? { also: [...also] } : {}),
  };
  turn.hire.callouts.push(made);
  turn.because.push(`call-out ${n} raised: ${matter.matter}, ${matter.severity}`);
  const reached = quiet ? [] : ring(turn, made);
  if (isGrave(matter.severity)) hearFrom(turn, n);
  return { callout: calloutNow(turn, made), reached, isNew: true, rises: false };
}

/**
 * Raises a matter that the same words told beside one that leads. The alert of the one that leads names it too, so
 * it waits beside that one, and whoever takes that one has it. `waitMin`: minutes that the one that leads waits.
 */
export function callOutBeside(
  turn: Turn,
  person: Person,
  matter: Matter,
  lead: Raised | undefined,
  waitMin?: number,
): Raised {
  const named = lead?.isNew === true;
  const raised = callOut(turn, person, matter, named);
  if (!named || !raised.isNew) return raised;
  const { n, alerted } = lead.callout;
  const callout = { ...raised.callout, alerted: [...alerted], tried: [...lead.reached], beside: n };
  put(turn, callout);
  const { firm } = turn.facts.book;
  alertIn(turn, callout, waitMin ?? limitMin(firm, matter.severity, callout.urgent));
  return { ...raised, callout, reached: lead.reached };
}

/** Sets its next contact so many minutes from now. */
export function alertIn(turn: Turn, { n, generation }: Callout, minutes: number): void {
  const due = { kind: "next-contact", callout: n } as const;
  setDue(turn, `callout:${n}:next`, after(turn.now, minutes), due, generation);
}

const calloutNow = (turn: Turn, c: Callout): Callout =>
  turn.hire.callouts.find((one) => one.n === c.n) ?? c;

/** The open call-out of this trouble, or the one that it was joined to, of those that are a matter of this person. */
function openOne(turn: Turn, person: Person, matter: string): Callout | undefined {
  const mine = turn.hire.callouts.filter((c) => isOf(turn.hire.callouts, c, person.id));
  const open = mine.filter((c) => c.state !== "done");
  const joined = mine.filter((c) => c.matter === matter && c.joinedTo !== undefined);
  return (
    open.find((c) => c.matter === matter) ??
    open.find((c) => sameTrouble(turn.facts.book, c.matter, matter)) ??
    open.find((c) => joined.some((j) => j.joinedTo === c.n))
  );
}

/** It is open already: what is written again goes to whoever has it or was alerted; worse than before, it is alerted anew. */
function joins(turn: Turn, person: Person, open: Callout, matter: Matter): Raised {
  // What is told now is of the van that they have now.
  const { van: _before, ...known } = open;
  const { firm } = turn.facts.book;
  const told = matter.told ?? { needs: [] };
  const also = [...new Set([...(known.also ?? []), ...(matter.also ?? [])])];
  const rises =
    worse(matter.severity, known.severity) || (told.needs.length > 0 && known.urgent !== true);
  const before = rises ? awake(known, firm, turn.now) : known;
  const raised = raise(before, matter.severity, firm, turn.now);
  const callout = {
    ...tells(adds(raised, [person.id], matter.words), told, firm, turn.now),
    ...(also.length > 0 ? { also } : {}),
  };
  put(turn, callout);
  turn.because.push(`call-out ${known.n} joined${rises ? " and raised" : ""}`);
  const said = saidBy(person, matter.words);
  const reached =
    toldAgain(turn, person, callout, matter, rises) ??
    (rises ? ringWorse(turn, known, callout, said) : ring(turn, callout));
  if (callout.hearFromBy === undefined || rises) hearFrom(turn, callout.n);
  return { callout: calloutNow(turn, callout), reached, isNew: false, rises };
}

/** What this person said, as staff read it. */
const saidBy = ({ name }: Person, words: string): string => `${name}: "${quote(words)}"`;

/** Passes on what is written again; undefined where that does not do, and contacts are to be alerted anew. */
function toldAgain(
  turn: Turn,
  person: Person,
  c: Callout,
  { title, severity, words, named }: Matter,
  rises: boolean,
): string[] | undefined {
  const again = c.person === person.id ? "again" : "too";
  const said = saidBy(person, words);
  const how = { callout: c.n, severity: c.severity, about: person.id };
  const tellThem = (ids: readonly string[], text: string, more = {}) =>
    ids.filter((id) => tellContact(turn, id, { text }, { ...how, ...more }));
  // What a call-out turned out to be was passed on with its name.
  if (named && !rises) return c.state === "with" && c.with ? [c.with] : triedFor(c);
  if (c.state === "with" && c.with) {
    const now = rises ? "now" : "again";
    const text = `${severity.toUpperCase()} ${now}: ${title}\n${said}`;
    const told = tellThem([c.with], text, { safety: true, ring: true });
    // An owner whom nothing reaches any more does not keep the others from hearing it.
    return told.length > 0 && !rises ? told : undefined;
  }
  if (rises) return undefined;
  if (c.severity !== "danger") return tellThem(c.alerted, `Again: ${title}\n${said}`);
  const fresh = c.rungAt === undefined || turn.now - c.rungAt >= panicMs;
  return fresh
    ? undefined
    : tellThem(c.alerted, `${person.name} ${again}: "${quote(words)}"`, { safety: true });
}

/**
 * Passes a hirer's words, or a file, to whoever has the matter, or notes them on one that nobody has yet.
 * `noted`: they are kept elsewhere already, as a place is. True when a channel carries them to somebody.
 */
export function relay(
  turn: Turn,
  person: Person,
  of: Callout,
  words: string,
  more: { noted?: boolean; file?: FileRef | undefined } = {},
): boolean {
  const text = `${turn.hire.booking.van.registration}, ${person.name}: "${words.slice(0, mostRelayed)}"`;
  const callout = calloutNow(turn, of);
  const to = callout.state === "with" && callout.with ? [callout.with] : callout.alerted;
  if (callout.state === "with") put(turn, { ...callout, wroteAt: turn.now });
  else if (!more.noted) put(turn, adds(callout, [person.id], words));
  const message = { text, ...(more.file ? { file: more.file } : {}) };
  const { n, severity } = callout;
  const how = { callout: n, severity, about: person.id, safety: isGrave(severity) };
  // Whoever was alerted with these very words in this turn has them.
  const known = (id: string) =>
    turn.sends.some((s) => s.contact === id && s.message.text.includes(quote(words)));
  const told = [...new Set(to)].filter(
    (id) => (!more.file && known(id)) || tellContact(turn, id, message, how),
  );
  turn.because.push(`relayed to ${told.join(", ") || "nobody yet"}`);
  return told.length > 0;
}
