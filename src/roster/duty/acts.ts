/** What staff do to roster, contacts and shifts: change, "I am here", stand in, go off, stay. Pure. */

import { after, clockOf, dayOf, type Instant, isoIn } from "../../calendar.js";
import type { Exception } from "../../knowledge/firm/roster.js";
import type { FirmAct } from "../../post.js";
import { gravity } from "../../severity.js";
import { changed } from "../change.js";
import { dutyEnd, nextChange, nextOn, whoIsOn } from "../on-duty.js";
import { momentOf } from "../shifts.js";
import { look, offerMatters } from "./look.js";
import { refusal } from "./refusal.js";
import type { FirmState, ShiftTest } from "./state.js";
import { askToTakeOver, closeTest, openTestOf, standsFor } from "./tests.js";
import { change, nameOf, tell, time, type Watch } from "./watch.js";

/** One act of a member of staff. `by` is a contact's id. */
export function act(w: Watch, by: string, what: FirmAct): void {
  switch (what.do) {
    case "roster":
    case "contact":
      return edit(w, by, what);
    case "here":
      return here(w, by, what.test);
    case "stand-in":
      return standIn(w, by, what.test);
    case "off":
      return off(w, by, what.to);
    case "stay":
      return stay(w, by);
    default:
      what satisfies never;
  }
}

function edit(w: Watch, by: string, what: Extract<FirmAct, { base: number }>): void {
  if (what.base !== w.state.version) {
    w.because.push(refusal(`made on version ${what.base}, but ${w.state.version} holds`));
    return;
  }
  if (what.do === "roster") change(w, by, what.says, { roster: what.roster });
  else {
    const { contact } = what;
    const merged = { ...w.state.contacts[contact], ...what.change };
    const contacts = { ...w.state.contacts, [contact]: merged };
    change(w, by, what.says, { contacts });
  }
  look(w, by);
}

/** Adds what differs from the pattern from now on. */
function addException(w: Watch, by: string, says: string, exception: Exception): void {
  change(w, by, says, { roster: changed(w.firm, { op: "add", exception }, w.now) });
}

/** Somebody comes on until an instant: what says that they are away then is taken out of that time. */
function bringBack(w: Watch, contact: string, until: Instant): void {
  const { zone } = w.firm;
  const exceptions = w.firm.roster.exceptions.flatMap((e): Exception[] => {
    if (e.kind !== "away" || e.contact !== contact) return [e];
    const [from, to] = [momentOf(e.from, zone), momentOf(e.to, zone)];
    if (to <= w.now || from >= until) return [e];
    return [
      ...(from < w.now ? [{ ...e, to: isoIn(w.now, zone) }] : []),
      ...(to > until ? [{ ...e, from: isoIn(until, zone) }] : []),
    ];
  });
  const roster = { ...w.firm.roster, exceptions };
  w.state.roster = roster;
  w.firm = { ...w.firm, roster };
}

/** From now until an instant, `by` is on in somebody's place; where nobody is on the roster, by a shift of their own. */
function replace(
  w: Watch,
  from: string,
  by: string,
  until: Instant,
  why: "went-off" | "no-answer",
  says: string,
): void {
  const { zone } = w.firm;
  bringBack(w, by, until);
  if (!whoIsOn(w.firm, w.now).gap) return leave(w, from, until, why, says, by);
  const end = Math.min(until, after(w.now, 23 * 60)) as Instant;
  addException(w, by, says, {
    kind: "shift",
    contact: by,
    on: dayOf(w.now, zone),
    from: clockOf(w.now, zone),
    to: clockOf(end, zone),
    beside: true,
  });
}

/** Somebody is away from now until an instant. */
function leave(
  w: Watch,
  contact: string,
  until: Instant,
  why: "went-off" | "no-answer",
  says: string,
  instead?: string,
): void {
  const from = isoIn(w.now, w.firm.zone);
  const away = { kind: "away", contact, from, to: isoIn(until, w.firm.zone), why } as const;
  addException(w, instead ?? contact, says, instead === undefined ? away : { ...away, instead });
}

/** The test that `by` answers; where it is over they are told so. */
function testOf(w: Watch, by: string, n: number): ShiftTest | undefined {
  const test = w.state.tests.find((t) => t.n === n);
  if (test?.state === "open") return test;
  tell(w, by, "That test alert is over: nothing needs an answer.");
  w.because.push(`ignored: test ${n} is not open`);
  return undefined;
}

function here(w: Watch, by: string, n: number): void {
  const test = testOf(w, by, n);
  if (!test) return;
  if (test.contact !== by) {
    tell(w, by, `That test alert is for ${nameOf(w, test.contact)}. You can stand in at the desk.`);
    w.because.push(`ignored: test ${n} is for ${test.contact}`);
    return;
  }
  closeTest(w, test, "answered", by);
  w.because.push(`test ${n} answered by ${by}`);
  relieve(w, by, test);
  thank(w, by, test);
}

/** Who wanted to go off does so, now that `by` has answered the test that they waited for. */
function relieve(w: Watch, by: string, test: ShiftTest): void {
  const { leaving } = w.state;
  if (leaving?.test !== test.n) return;
  delete w.state.leaving;
  const name = nameOf(w, leaving.contact);
  const end = dutyEnd(w.firm, leaving.contact, w.now);
  if (test.why === "asked") {
    const says = `${name} goes off duty early, ${nameOf(w, by)} instead until ${time(w, test.until)}`;
    replace(w, leaving.contact, by, test.until, "went-off", says);
  } else if (end !== undefined) leaveOthers(w, leaving.contact, end);
  tell(w, leaving.contact, `${nameOf(w, by)} is on. You are off duty.`);
  look(w, by);
}

/** Somebody goes off early beside others who are on. */
const leaveOthers = (w: Watch, contact: string, until: Instant): void =>
  leave(w, contact, until, "went-off", `${nameOf(w, contact)} goes off duty early; others are on`);

/** What is open, for whoever comes on: the worst first. */
function openLines(w: Watch): string[] {
  const open = [...w.facts.open].sort((a, b) => gravity(a.severity) - gravity(b.severity));
  if (open.length === 0) return ["Nothing is open."];
  return open.map(
    (m) =>
      `${m.severity.toUpperCase()}: ${m.title} (${m.registration}), ${m.with ? `with ${nameOf(w, m.with)}` : "nobody yet"}`,
  );
}

function thank(w: Watch, by: string, test: ShiftTest): void {
  const until = `Thank you. You are on until ${time(w, test.until)}.`;
  tell(w, by, [until, ...openLines(w)].join("\n"));
}

function standIn(w: Watch, by: string, n: number): void {
  const test = testOf(w, by, n);
  if (!test) return;
  if (test.contact === by) return here(w, by, n);
  const from = standsFor(test);
  if (from === by) return stay(w, by);
  closeTest(w, test, "stood-in", by);
  w.because.push(`${by} stands in for ${from}`);
  if (test.why !== "asked") {
    const says = `${nameOf(w, by)} stands in for ${nameOf(w, from)} until ${time(w, test.until)}`;
    replace(w, from, by, test.until, "no-answer", says);
    look(w, by);
    // Who wanted to go off and is on for somebody else stays.
    if (w.state.leaving?.contact === by) stay(w, by);
  }
  relieve(w, by, test);
  thank(w, by, test);
}

/** Whom somebody who wants to go off hands over to, where they name nobody. */
function successor(w: Watch, by: string): string | undefined {
  const { fallback } = w.firm.roster;
  const [next] = nextOn(w.firm, w.now, [by]);
  if (next) return next.contact;
  return fallback === by ? undefined : fallback;
}

function off(w: Watch, by: string, named: string | undefined): void {
  const { contacts, gap } = whoIsOn(w.firm, w.now);
  const end = dutyEnd(w.firm, by, w.now);
  if (named !== undefined && (named === by || w.firm.contacts[named]?.kind !== "staff"))
    return void w.because.push(`ignored: ${named} cannot take over from ${by}`);
  const held = w.facts.open.filter((m) => m.with === by).length;
  const each = held === 0 ? "" : ` ${held} open: each stays with you until it is taken.`;
  const others = contacts.filter((id) => id !== by);
  // Who has not answered a test alert may not be there.
  const isCovered = others.some((id) => !openTestOf(w.state, id));
  if (!contacts.includes(by) || (named === undefined && isCovered)) {
    if (end === undefined) offerMatters(w, by, named);
    else {
      leaveOthers(w, by, end);
      look(w);
    }
    // Who goes off takes over from nobody.
    const asked = openTestOf(w.state, by);
    if (asked?.why === "asked") closeTest(w, asked, "over");
    tell(w, by, `You are off duty.${each || " You have nothing open."}`);
    w.because.push(`${by} is off duty`);
    return;
  }
  const to = named ?? others[0] ?? successor(w, by);
  if (to === undefined) {
    tell(w, by, "Nobody else could take over: you stay on. Change the roster at the desk.");
    w.because.push(`ignored: nobody could take over from ${by}`);
    return;
  }
  const earlier = withdraw(w);
  if (earlier && earlier.to !== to) notAsked(w, earlier.to, `${nameOf(w, to)} is asked instead`);
  if (earlier && earlier.contact !== by)
    tell(w, earlier.contact, `You stay on: ${nameOf(w, by)} goes off duty first.`);
  const until = end ?? nextChange(w.firm, w.now);
  askToTakeOver(w, by, to, until);
  offerMatters(w, by, to);
  const name = nameOf(w, to);
  tell(w, by, `I have asked ${name} to take over. You stay on until ${name} answers.${each}`);
  w.because.push(`${by} wants to go off; ${to} is asked${gap ? " in a gap" : ""}`);
}

/** Takes back the question to take over, if one is open; gives it. */
function withdraw(w: Watch): FirmState["leaving"] {
  const { leaving } = w.state;
  if (!leaving) return undefined;
  delete w.state.leaving;
  const test = openTestOf(w.state, leaving.to);
  if (test?.why === "asked") closeTest(w, test, "over");
  return leaving;
}

/** Who was asked to take over hears that they are not any more; a shift of their own goes on. */
function notAsked(w: Watch, to: string, why: string): void {
  const isOn = whoIsOn(w.firm, w.now).contacts.includes(to);
  tell(w, to, `${why}. ${isOn ? "Your own shift goes on." : "You need not take over."}`);
}

/** A question to take over whose test is over without an answer asks nobody any more: who asked stays on. */
export function lapse(w: Watch): void {
  const { leaving } = w.state;
  if (!leaving || openTestOf(w.state, leaving.to)?.n === leaving.test) return;
  delete w.state.leaving;
  const text = `${nameOf(w, leaving.to)} does not take over now. You stay on: ask anew if you want to go off.`;
  tell(w, leaving.contact, text);
  offerMatters(w, leaving.contact);
  w.because.push(`${leaving.contact} stays on: ${leaving.to} does not take over`);
}

function stay(w: Watch, by: string): void {
  const { leaving } = w.state;
  if (leaving?.contact !== by) return void w.because.push(`ignored: ${by} was not going off`);
  withdraw(w);
  notAsked(w, leaving.to, `${nameOf(w, by)} stays on`);
  tell(w, by, "You stay on.");
  offerMatters(w, by);
  w.because.push(`${by} stays on`);
}
