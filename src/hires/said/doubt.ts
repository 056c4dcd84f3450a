/** What may be a danger: a danger is met before all else, a doubt by the number and the one question. Pure. */
import { minuteMs } from "../../calendar.js";
import { choose } from "../../matching/choose.js";
import { isFigures } from "../../sums/words/quantities.js";
import { anyDanger } from "../../triage/danger.js";
import { readNeeds } from "../../triage/needs.js";
import { saysYes } from "../../yes-no.js";
import { relay } from "../alarm.js";
import { isPlain, saysNone } from "../callouts/settle.js";
import { surely, tellsOther } from "../heard/aside.js";
import { awaitAnswer } from "../heard/doubt.js";
import { isOfPlace, namesPlace, placeBeside } from "../heard/place.js";
import { greet, openOf } from "../heard/sign.js";
import type { Person, Talk } from "../hire.js";
import { act } from "../reply.js";
import { danger } from "../trouble.js";
import { line, type Turn, talkOf, tell, wroteBefore } from "../turn.js";
import type { Handler, Handling } from "./handling.js";
import { dangerOf, stillInDanger } from "./in-danger.js";

/** A danger, also by the name of a fault that is one: met at once, whatever else was asked. */
export const metDanger: Handler = (turn, person, said) => {
  const { triaged, first, matter, choice, words } = said;
  if (!triaged || (first?.kind !== "danger" && matter === first?.id)) return false;
  placeBeside(turn, person, words);
  act(turn, person, choice, words);
  said.passOn();
  return true;
};

/** So many minutes a plain yes or no answers the question of a doubt; later "no hot water" is not meant for it. */
const openMin = 30;
function isAsked(turn: Turn, { at = turn.now, overtaken }: NonNullable<Talk["doubt"]>): boolean {
  return !overtaken && turn.now - at <= openMin * minuteMs && !wroteBefore(turn, at);
}

/** Whether words of a denial surely tell of a trouble, or ask for something else. */
const tellsMore = (turn: Turn, person: Person, { triaged, choice, words }: Handling): boolean =>
  (triaged && (choice.entries[0]?.p ?? 0) >= surely) || tellsOther(turn, person, words, choice);

/** The yes or no to whether it is a danger. "No, nobody hurt, but the red oil light is on" settles it and tells more. */
export const answeredDoubt: Handler = (turn, person, said) => {
  const { words, choice } = said;
  const talk = talkOf(turn, person.id);
  if (!talk.doubt || !isAsked(turn, talk.doubt)) return false;
  if (!saysYes(words) && !saysNone(words)) return false;
  // "No brakes" begins like an answer, and is a trouble.
  if (saysNone(words) && isPlain(words) && tellsMore(turn, person, said)) return false;
  if (saysNone(words) && !isPlain(words) && choice.answered > 0) {
    settleDoubt(talk);
    return false;
  }
  said.passOn();
  doubtSettled(turn, person, saysYes(words));
  return true;
};

/** A road, or "not safe, on a bend", answers what was asked: no doubt is left to settle. */
const answersPlace = (turn: Turn, { askedPlace, safety, choice, words }: Handling): boolean =>
  askedPlace &&
  ((choice.danger === "live-lane" && (safety === "unsafe" || namesPlace(words))) ||
    (isOfPlace(turn.facts.book, choice.danger) && safety === "safe"));

/** "I am alone, cold" was asked for and makes it urgent; "ill" may be more. */
function answersNeeds(talk: Talk, words: string): boolean {
  const needs = talk.asking?.steps[0] === "need" ? readNeeds(words) : [];
  return needs.length > 0 && !needs.includes("medical");
}

/**
 * What may be a danger, unless it answers what was asked. While a danger is open the number has been told, and staff
 * read every word: no doubt is left.
 */
export const raisedDoubt: Handler = (turn, person, said) => {
  const { feared, words, inDanger } = said;
  const talk = talkOf(turn, person.id);
  if (feared === undefined || inDanger || answersPlace(turn, said)) return false;
  if ((talk.sum && isFigures(words)) || answersNeeds(talk, words)) return false;
  ask(turn, person, feared, words, said.passOn());
  return true;
};

/** The number and the one question. `seen`: staff have the words already. */
function ask(turn: Turn, person: Person, id: string, words: string, seen: boolean): void {
  const waits = seen ? {} : awaitAnswer(turn, person, words);
  talkOf(turn, person.id).doubt = { danger: id, text: words, at: turn.now, ...waits };
  const text = `${line(turn, "doubt")}\n${line(turn, "doubt-question")}`;
  const buttons = [
    { tap: `doubt:yes:${id}`, label: line(turn, "doubt-yes") },
    { tap: `doubt:no:${id}`, label: line(turn, "doubt-no") },
  ];
  tell(turn, person, { text, buttons }, { safety: true });
  turn.because.push(`doubt about ${id}`);
}

/** The doubt is over; its buttons still stand on the screen. */
function settleDoubt(talk: Talk): void {
  if (talk.doubt) talk.doubted = talk.doubt.text;
  delete talk.doubt;
}

/** The one question of a doubt was answered: a danger, or what the words meant otherwise. */
export function doubtSettled(turn: Turn, person: Person, isDanger: boolean): void {
  const talk = talkOf(turn, person.id);
  const open = talk.doubt;
  settleDoubt(talk);
  if (!open) {
    turn.because.push("ignored: no doubt is open");
    return;
  }
  // A danger that the book no longer has is met with the one that tells to ring and to help.
  const entry = [open.danger, anyDanger]
    .map((id) => turn.facts.book.entries.get(id))
    .find((e) => e?.kind === "danger");
  if (isDanger && entry?.kind === "danger") return danger(turn, person, entry, open.text);
  greet(turn, person);
  const inDanger = dangerOf(openOf(turn, person));
  if (inDanger) {
    const told = relay(turn, person, inDanger, open.text);
    return stillInDanger(turn, person, inDanger, told, "says");
  }
  const choice = choose(turn.facts.matcher, {
    text: open.text,
    van: turn.van,
    lang: turn.hire.booking.lang,
    danger: { verdict: "none", because: ["the hirer says nobody is in danger"] },
  });
  act(turn, person, choice, open.text);
}
