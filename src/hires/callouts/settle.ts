/** Answers to the questions after the safety step, tapped or written. Pure. */

import type { Callout } from "../../callouts/callout.js";
import { sameStop } from "../../callouts/together.js";
import type { Entry } from "../../knowledge/book.js";
import { safetyOf } from "../../place/read.js";
import type { Need } from "../../post.js";
import { isOption, optionIn } from "../../triage/check.js";
import { readNeeds } from "../../triage/needs.js";
import { isNight, morningAfter } from "../../triage/order.js";
import { saysNo, saysNobody, saysNotWell, saysYes } from "../../yes-no.js";
import { relay } from "../alarm.js";
import { placeKnown } from "../heard/last.js";
import { notOnSheet } from "../heard/light.js";
import { asksForPerson, asksHelp } from "../heard/person.js";
import type { Asking, Person } from "../hire.js";
import { clock, line, openCallout, put, type Turn, talkOf, tell } from "../turn.js";
import { answered } from "./check.js";
import { inNeed, nobodyInNeed, noteTold } from "./needs.js";
import { awaitSign } from "./owner.js";
import { ask, mayWait, morningRole, next, questionOf, resume, untilMorning } from "./questions.js";
import { roadsideSeen } from "./roadside.js";
import { hearFrom } from "./silence.js";
import { standing } from "./told.js";

/** So many words are a plain yes or no; more tell something of their own. */
const plainWords = 5;
/** Whether words begin with a no, or with nobody or nothing. */
export const saysNone = (words: string): boolean => saysNo(words) || saysNobody(words);
export const isPlain = (words: string) => words.trim().split(/\s+/).length <= plainWords;
/** Whether words are nothing but a number with which a question may be answered. */
export const isNumber = (words: string): boolean =>
  /^\W*(?:\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten)\W*$/i.test(words);
/** A plain yes or no; undefined for anything else, and for an answer to what staff have asked since. */
const plainly = (words: string, toStaff: boolean | undefined): boolean | undefined =>
  toStaff || !isPlain(words)
    ? undefined
    : saysYes(words)
      ? true
      : saysNone(words)
        ? false
        : undefined;

const allWell =
  /\b(?:fine|all (?:good|well|ok|okay|right)|no (?:problems?|worries|need|trouble))\b/i;
/** A no that denies a harm, or tells that nothing has changed: no answer to "are you all right?". */
const deniesHarm =
  /^\W*(?:(?:nobody|no[- ]?one|none of us)(?: here)? (?:is |are |was |got |needs |in )?(?:hurt|injured|ill|cold|help|danger)|no (?:change|news)|nothing (?:yet|new))\b(?!.*\bbut\b)/is;
/** Whether words of any length say that they are not all right: nothing but help follows from it. */
const isUnwell = (words: string): boolean =>
  asksHelp(words) ||
  ((saysNotWell(words) || saysNone(words)) &&
    !deniesHarm.test(words) &&
    (isPlain(words) || !allWell.test(words)));

/** Whether the words answer "are you all right?" about a matter; a no makes it urgent. */
export function answersAllRight(turn: Turn, person: Person, n: number, words: string): boolean {
  const well = isUnwell(words) ? false : plainly(words, false) || undefined;
  const c = openCallout(turn, n);
  if (well === undefined || !c) return false;
  if (well || (c.urgent && c.needs?.includes("some"))) noteThanks(turn, person, n);
  else inNeed(turn, person, n, ["some"]);
  resume(turn, person);
  return true;
}

const notYet = /^\W*not (?:yet|here|there)\b/i;

/** Whether the words plainly tell whether roadside assistance, of a matter, is there. */
export function answersRoadside(turn: Turn, person: Person, n: number, words: string): boolean {
  const came = notYet.test(words) && isPlain(words) ? false : plainly(words, false);
  const job = openCallout(turn, n)?.roadside;
  if (came === undefined || !job || job.came) return false;
  roadsideSeen(turn, person, n, came);
  resume(turn, person);
  return true;
}

/**
 * Whether the words answer the question on the screen; if so they are taken as its answer. `placed`: they told
 * a place; `meant`: the light or fault that they name.
 */
export function answersQuestion(
  turn: Turn,
  person: Person,
  words: string,
  placed: boolean,
  meant: Entry | undefined,
): boolean {
  const { asking, staffSpoke, staffLast, sheet } = talkOf(turn, person.id);
  const plain = plainly(words, staffSpoke);
  const now = asking?.steps[0];
  if (!asking || !now) return false;
  const n = asking.callout ?? 0;
  if (now === "check") {
    const question = questionOf(turn, asking.entry, asking.path);
    // Words may be meant for staff, or tell of another light or fault, and not answer the check.
    const other = (meant !== undefined && meant.id !== asking.entry) || asksForPerson(words);
    const option = question && optionIn(question, words, staffSpoke === true || other);
    const toStaff =
      (staffSpoke && isPlain(words) && (saysYes(words) || saysNone(words))) ||
      (staffLast && isNumber(words));
    if (option === undefined || toStaff) return false;
    answered(turn, person, option);
    return true;
  }
  if (now === "sheet") {
    if (!sheet || !notOnSheet(words)) return false;
    leaveSheet(turn, person);
    return true;
  }
  if (now === "place") {
    const safety =
      staffSpoke && plain === undefined && isPlain(words) ? undefined : safetyOf(words);
    if (!placed && !safety) return false;
    // Where they are is known now; whether it is safe there is still to be said.
    if (safety) settle(turn, person, now, n, safety, readNeeds(words));
    else ask(turn, person);
    return true;
  }
  if (now === "need") {
    const found = readNeeds(words, turn.van.fuel === "electric").length > 0;
    if (found) {
      if (!noteTold(turn, person, n, words)) noteThanks(turn, person, n);
    } else if (plain === true) inNeed(turn, person, n, ["some"]);
    else if (plain === false) {
      nobodyInNeed(turn, n);
      noteThanks(turn, person, n);
    } else return false;
    // One answer in words says it all; buttons may be tapped one after the other.
    next(turn, person);
    return true;
  }
  if (plain === undefined) return false;
  // "Yes, but the kids are cold" does not wait; a child who is well does.
  const needs = readNeeds(words, turn.van.fuel === "electric");
  const waits = plain && !needs.some((need) => need !== "child") && !/\bbut\b/i.test(words);
  if (waits) settle(turn, person, "night", n, "yes");
  else cannotWait(turn, person, n, needs);
  return true;
}

/** It cannot wait for the morning, they say: staff are alerted now, and that is asked no more. */
export function cannotWait(turn: Turn, person: Person, n: number, needs: readonly Need[]): void {
  inNeed(turn, person, n, needs);
  onward(turn, person, "night", n);
}

/** Whether the words are an option of the guided check on the screen, as it stands on its button. */
export function saysOption(turn: Turn, person: Person, words: string): boolean {
  const { asking } = talkOf(turn, person.id);
  const question =
    asking?.steps[0] === "check" ? questionOf(turn, asking.entry, asking.path) : undefined;
  return question !== undefined && isOption(question, words);
}

/** Nothing on the sheet is theirs: the next question, or that it was read where there is none. */
export function leaveSheet(turn: Turn, person: Person): void {
  const talk = talkOf(turn, person.id);
  const n = talk.asking?.callout;
  next(turn, person);
  if (talk.asking) return;
  if (n !== undefined) return noteThanks(turn, person, n);
  const buttons = [{ tap: "person", label: line(turn, "get-a-person") }];
  tell(turn, person, { text: line(turn, "else"), buttons });
}

const noteThanks = (turn: Turn, person: Person, n: number): void =>
  tell(turn, person, { text: line(turn, "noted") }, { callout: n });

/** What was tapped, for whoever has the matter or was alerted; words have gone there by themselves. */
function passTapOn(turn: Turn, person: Person, c: Callout, label: string): void {
  if (turn.arrival.body.kind === "tapped")
    relay(turn, person, c, line(turn, label), { noted: true });
}

/** An answer to "safe place?", "anyone in need?" or "until morning?"; `more`: needs told in the same words. */
export function settle(
  turn: Turn,
  person: Person,
  question: "place" | "need" | "night",
  n: number,
  answer: string,
  more: readonly Need[] = [],
): void {
  const c = openCallout(turn, n);
  if (!c) return onward(turn, person, question, n);
  if (question === "night") return night(turn, person, n, answer === "yes");
  if (question === "need") {
    if (answer === "none" || answer === "no") {
      nobodyInNeed(turn, n);
      if (!c.needs?.length) {
        passTapOn(turn, person, c, "need-none");
        noteThanks(turn, person, n);
      }
      return onward(turn, person, question, n);
    }
    inNeed(turn, person, n, [answer === "yes" ? "some" : (answer as Need)]);
    // Asked again with what is left, until they say that is all.
    if (answer === "yes" || !isAsked(turn, person, question, n))
      return onward(turn, person, question, n);
    return ask(turn, person);
  }
  const known = placeKnown(turn.hire, person, c.openedAt);
  const asked = talkOf(turn, person.id).whereAsked === n;
  const where = known || asked ? undefined : line(turn, "where-question");
  const thanks = line(turn, known ? "noted-place" : "noted");
  if (where) talkOf(turn, person.id).whereAsked = n;
  const asks = where ? { askPlace: line(turn, "share-place") } : {};
  const needs: Need[] = answer === "unsafe" ? ["unsafe-place", ...more] : [...more];
  if (needs.length > 0) inNeed(turn, person, n, needs);
  if (answer !== "unsafe") {
    passTapOn(turn, person, c, "place-safe");
    for (const one of [c, ...sameStop(turn.hire.callouts, c)])
      put(turn, { ...(openCallout(turn, one.n) ?? one), placeSafe: true });
  }
  // An unsafe place was answered already, with both numbers.
  if (where || answer !== "unsafe")
    tell(turn, person, { text: where ?? thanks, ...asks }, { callout: n });
  onward(turn, person, question, n);
}

const isAsked = (turn: Turn, person: Person, question: Asking, n: number): boolean => {
  const { asking } = talkOf(turn, person.id);
  return asking?.callout === n && asking.steps[0] === question;
};

/** The next question, where this one was on the screen; one that waits still is not asked any more. */
function onward(turn: Turn, person: Person, question: Asking, n: number): void {
  if (isAsked(turn, person, question, n)) return next(turn, person);
  const talk = talkOf(turn, person.id);
  for (const one of [talk.asking, ...(talk.later ?? [])])
    if (one?.callout === n) one.steps = one.steps.filter((step) => step !== question);
  if (talk.later) talk.later = talk.later.filter((one) => one.steps.length > 0);
}

/** They agreed that it waits for the morning: nobody is alerted of it until then, nor is whoever has it asked for a sign. */
function leaveUntilMorning(turn: Turn, n: number): void {
  const c = openCallout(turn, n);
  if (c?.state !== "with") return untilMorning(turn, n);
  put(turn, { ...c, waitsUntil: morningAfter(turn.facts.book.firm, turn.now) });
  hearFrom(turn, n);
  if (c.promisedAt === undefined) awaitSign(turn, n);
}

function night(turn: Turn, person: Person, n: number, isYes: boolean): void {
  if (!isYes) return cannotWait(turn, person, n, []);
  const c = openCallout(turn, n);
  if (!isNight(turn.facts.book.firm, turn.now)) {
    // The night is over, so nothing waits for its end: it goes on as it stands.
    if (c) tell(turn, person, { text: standing(turn, c) }, { callout: n });
    return onward(turn, person, "night", n);
  }
  // So do the others of that stop which nobody has, or who has this one.
  const sameNight = c
    ? sameStop(turn.hire.callouts, c).filter((o) =>
        mayWait(turn, o.with === c.with ? { ...o, state: "nobody-yet" } : o),
      )
    : [];
  const beside = turn.hire.callouts.filter((o) => o.beside === n && o.state === "nobody-yet");
  for (const o of new Set([...(c ? [c] : []), ...beside, ...sameNight]))
    leaveUntilMorning(turn, o.n);
  if (c?.state === "with") {
    passTapOn(turn, person, c, "night-yes");
    noteThanks(turn, person, n);
    return onward(turn, person, "night", n);
  }
  const until = openCallout(turn, n)?.waitsUntil;
  if (until !== undefined) {
    const words = { who: morningRole(turn), time: clock(turn, until) };
    tell(turn, person, { text: line(turn, "night-waits", words) }, { callout: n });
  }
  onward(turn, person, "night", n);
}
