/** The owner of a matter: the promise that they gave or the sign that is awaited, and what follows when neither comes. Pure. */
import { after, type Instant, instantOf, minuteMs } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import { isTask, limitMin, longestPauseMin } from "../../callouts/steps.js";
import { addressesOf } from "../../roster/reach.js";
import { isGrave } from "../../severity.js";
import { callOrder, isNight, morningAfter } from "../../triage/order.js";
import { staffButtons } from "../../wording/staff-taps.js";
import { nag as nagTask } from "../care/tasks.js";
import {
  clock,
  line,
  nameOf,
  openCallout,
  openCallouts,
  put,
  quote,
  setDue,
  staffClock,
  type Turn,
  tellContact,
  vanOf,
} from "../turn.js";
import { hearsNoMore, isBack, roles, rungAbout, status } from "./told.js";

/** An owner is reminded so many minutes before a promised call: by the first of which twice as many are left. */
const remindersMin = [5, 2];
/** The first sign of a new owner is awaited after twice the time of an alert, in these limits: the hirer knows only a name. */
const firstSignMin = { least: 5, most: 60 };
/** Later signs come at leisure; of what wakes nobody they come seldom. */
const signMin = 30;
const sleepingSignMin = 120;
/** Roadside assistance has had its own chase by then. */
const afterRoadsideMin = 20;
/** So long after the night's end whoever has it has had time to look. */
const morningSignMin = 30;
/** Whoever is on the phone with the hirer is left alone for so long. */
const onPhoneMin = 5;
/** What is passed on is offered for so long at least. */
const offerLeastMin = 10;

/** A matter that wakes nobody at night. */
const canSleep = ({ hire }: Turn, c: Callout) =>
  isBack(hire, c) || (!isGrave(c.severity) && !c.urgent);

/** How many minutes before a promised call its owner is reminded; 0 where it is too near. */
function aheadMin(turn: Turn, at: Instant): number {
  const left = (at - turn.now) / minuteMs;
  return remindersMin.find((min) => left > 2 * min) ?? 0;
}

function setOwnerDue(turn: Turn, c: Callout, at: Instant): void {
  const key = `callout:${c.n}:promise`;
  setDue(turn, key, at, { kind: "promise", callout: c.n }, c.generation);
}

/** A call was promised: its owner is reminded shortly before it. */
export function awaitPromise(turn: Turn, n: number): void {
  const c = openCallout(turn, n);
  if (c?.promisedAt === undefined) return;
  const { promiseGraceMin } = turn.facts.book.firm.limits;
  // One that moved on with its matter and is past already has the grace that is left.
  const past = c.promisedAt <= turn.now;
  setOwnerDue(turn, c, after(c.promisedAt, past ? promiseGraceMin : -aheadMin(turn, c.promisedAt)));
}

/**
 * Somebody has it and no call is promised: a sign of them is awaited. The first one soon, since the hirer
 * knows only a name; later ones at leisure. What can sleep, or was agreed to, waits for the morning.
 */
export function awaitSign(turn: Turn, n: number, first = false): void {
  const c = openCallout(turn, n);
  if (c?.state !== "with" || isTask(c)) return;
  const { firm } = turn.facts.book;
  const limit = limitMin(firm, c.severity, c.urgent);
  const later = canSleep(turn, c) ? sleepingSignMin : signMin;
  const { least, most } = firstSignMin;
  const pause = first ? Math.min(Math.max(2 * limit, least), most) : later;
  const comes = c.roadside && !c.roadside.came ? c.roadside.arrivesAt : undefined;
  // While roadside assistance is awaited its own chase looks after the matter.
  const from = Math.max(comes ? after(comes, afterRoadsideMin) : 0, c.waitsUntil ?? 0);
  const soonest = instantOf(Math.max(after(turn.now, pause), from));
  const asleep = canSleep(turn, c) && isNight(firm, soonest);
  const signBy = asleep ? after(morningAfter(firm, soonest), morningSignMin) : soonest;
  const { promisedAt: _kept, promiseBroken: _broken, ...rest } = c;
  const next = { ...rest, signBy, generation: c.generation + 1 };
  put(turn, next);
  setOwnerDue(turn, next, signBy);
}

/**
 * The owner has done something that the hirer hears of, or has written a note: a sign. It keeps a promised
 * call only once that is near or past; before, the call is still awaited.
 */
export function sign(turn: Turn, n: number, by: string, spoke = false): void {
  const c = openCallout(turn, n);
  if (!c || c.with !== by) return;
  put(turn, { ...c, signAt: turn.now });
  const far =
    c.promisedAt !== undefined && turn.now < after(c.promisedAt, -aheadMin(turn, c.promisedAt));
  if (far && !spoke && c.promiseBroken === undefined) return;
  awaitSign(turn, n);
}

const aboutIt = (turn: Turn, c: Callout) => `"${c.title}" (${vanOf(turn, c).registration})`;
const ownHow = (c: Callout) =>
  ({ callout: c.n, severity: c.severity, safety: true, ring: c.severity !== "note" }) as const;

/** The buttons that an owner needs most. */
export const ownerButtons = (turn: Turn, n: number) => {
  const b = staffButtons(turn.hire.id, n);
  return [b.phone, b.heard, b.ring, b.end];
};

/** The due of a promise or of an awaited sign: before, at, and after its time. */
export function ownerDue(turn: Turn, n: number): void {
  const c = openCallout(turn, n);
  const by = c?.promisedAt ?? c?.signBy;
  if (!c?.with || by === undefined) {
    turn.because.push("ignored: nothing of its owner is awaited");
    return;
  }
  if (isTask(c)) return nagTask(turn, c);
  if (c.promisedAt === undefined && putOffForOther(turn, c)) return;
  if (c.phone) {
    // Whoever is on the phone with the hirer is asked how it ended; until then nobody nags.
    setOwnerDue(turn, c, after(turn.now, onPhoneMin));
    turn.because.push("waits: somebody is on the phone with them");
    return;
  }
  const { firm } = turn.facts.book;
  const isFirst = c.promisedAt === undefined && c.promiseBroken === undefined;
  if (isFirst && isBack(turn.hire, c) && isNight(firm, turn.now)) {
    turn.because.push("waits for the morning: the van is back");
    return awaitSign(turn, n);
  }
  const graceEnds = after(by, firm.limits.promiseGraceMin);
  if (turn.now < by) return remindAhead(turn, c, by);
  if (turn.now < graceEnds && c.promiseBroken === undefined) {
    if (nag(turn, c)) return setOwnerDue(turn, c, graceEnds);
    turn.because.push(`no channel reaches ${c.with}`);
  }
  askOthers(turn, c, by);
}

/**
 * One call is about all that its owner has of a hire: while one is promised or was just made, the others wait.
 * A danger waits for no other. True where it was put off.
 */
function putOffForOther(turn: Turn, c: Callout): boolean {
  if (c.severity === "danger") return false;
  const { promiseGraceMin } = turn.facts.book.firm.limits;
  const others = openCallouts(turn.hire).filter((o) => o.n !== c.n && o.with === c.with);
  const promised = others.flatMap((o) =>
    o.promisedAt && o.promiseBroken === undefined ? [after(o.promisedAt, promiseGraceMin)] : [],
  );
  const until = Math.max(0, ...promised);
  const signAt = Math.max(0, ...others.map((o) => o.signAt ?? 0));
  if (until > turn.now) setOwnerDue(turn, c, instantOf(until));
  else if (signAt > (c.signAt ?? c.openedAt)) {
    put(turn, { ...c, signAt: instantOf(signAt) });
    awaitSign(turn, c.n);
  } else return false;
  turn.because.push("waits: its owner rings about another matter");
  return true;
}

function remindAhead(turn: Turn, c: Callout, by: Instant): void {
  const person = rungAbout(turn.hire, c);
  const who = `${person?.name ?? "the hirer"}${person?.phone ? `, ${person.phone}` : ""}`;
  const text = `By ${staffClock(turn, by)} you ring ${who} about ${aboutIt(turn, c)}, as promised.`;
  if (c.promisedAt !== undefined && c.with)
    tellContact(turn, c.with, { text, buttons: ownerButtons(turn, c.n) }, ownHow(c));
  setOwnerDue(turn, c, by);
  turn.because.push(`reminded ${c.with ?? ""} ahead`);
}

/** Asks the owner; tells the hirer of a call that did not come, unless they hear no more of it. False when no channel reaches the owner. */
function nag(turn: Turn, c: Callout): boolean {
  const owner = c.with ?? "";
  const text =
    c.promisedAt === undefined
      ? `You have ${aboutIt(turn, c)}, and there is no sign of you since. On the phone, a new time, or done?`
      : `You promised to ring about ${aboutIt(turn, c)} now. Done, or a new time?`;
  const buttons = ownerButtons(turn, c.n);
  if (!tellContact(turn, owner, { text, buttons }, ownHow(c))) return false;
  turn.because.push(`nagged ${owner}`);
  if (c.promisedAt !== undefined && !hearsNoMore(turn.hire, c)) {
    const words = { name: nameOf(turn, owner), time: clock(turn, c.promisedAt) };
    status(turn, c.n, line(turn, "promise-late", words));
  }
  return true;
}

/** The others are asked, one after the other with growing pauses; the owner keeps it until one takes it. */
function askOthers(turn: Turn, c: Callout, by: Instant): void {
  const { firm } = turn.facts.book;
  const owner = c.with ?? "";
  const name = nameOf(turn, owner);
  const missed = c.promiseBroken ?? 0;
  // A question whose hirer has written nothing since its owner's last sign is only its owner's, and the hirer is
  // told nothing: it is put to the others only where no channel reaches the owner.
  const answered = c.signAt !== undefined && (c.wroteAt ?? 0) <= c.signAt;
  const isOwners = c.promisedAt === undefined && c.severity === "note" && answered;
  const isReached = addressesOf(firm, turn.facts.reach, owner).length > 0;
  if (isOwners && isReached) return awaitSign(turn, c.n);
  const others = callOrder(firm, c.severity, turn.now, c.kind).filter((id) => id !== owner);
  const asleep = canSleep(turn, c) && isNight(firm, turn.now);
  const turnOf =
    c.severity === "danger"
      ? others
      : others.slice(missed % Math.max(1, others.length)).slice(0, 1);
  const gone =
    c.promisedAt === undefined
      ? `${name} has ${aboutIt(turn, c)} and has given no sign since ${staffClock(turn, by)}.`
      : `${name} promised to ring about ${aboutIt(turn, c)} by ${staffClock(turn, by)} and has not said that it was done.`;
  const message = {
    text: `${gone} Said: "${quote(c.words ?? "")}"`,
    buttons: [staffButtons(turn.hire.id, c.n).take],
  };
  const reached = asleep ? [] : turnOf.filter((id) => tellContact(turn, id, message, ownHow(c)));
  if (!asleep) put(turn, { ...c, promiseBroken: missed + 1 });
  const longest = longestPauseMin(c.severity);
  const pause = Math.min(limitMin(firm, c.severity, c.urgent) * 2 ** (missed + 1), longest);
  setOwnerDue(turn, c, asleep ? morningAfter(firm, turn.now) : after(turn.now, pause));
  turn.because.push(`no sign of the owner; alerted ${reached.join(", ") || "nobody"}`);
  if (asleep || missed > 0 || isOwners || hearsNoMore(turn.hire, c)) return;
  const id = c.promisedAt === undefined ? "sign-passed" : "promise-passed";
  const text =
    reached.length > 0
      ? line(turn, id, { name, who: roles(turn, reached) })
      : line(turn, "alerted-none");
  status(turn, c.n, text);
}

/** What is passed on and not taken stays with its owner, who is told so. */
export function offerDue(turn: Turn, n: number): void {
  const c = openCallout(turn, n);
  if (!c?.with || !c.offeredTo || c.handing) {
    turn.because.push("ignored: nothing is being passed on");
    return;
  }
  const { offeredTo, ...rest } = c;
  put(turn, rest);
  const text = `${nameOf(turn, offeredTo)} has not taken ${aboutIt(turn, c)}. It is still with you.`;
  tellContact(turn, c.with, { text, buttons: ownerButtons(turn, n) }, ownHow(c));
  turn.because.push(`${offeredTo} did not take it`);
}

/** When a passing on that nobody took is over. */
export const offerEnds = (turn: Turn, c: Callout): Instant =>
  after(turn.now, Math.max(offerLeastMin, limitMin(turn.facts.book.firm, c.severity, c.urgent)));
