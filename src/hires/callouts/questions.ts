/** The questions after the safety step: few, in order, one at a time, with buttons; resumed after an interruption. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { sameStop } from "../../callouts/together.js";
import { checkOf } from "../../knowledge/checks/for-van.js";
import { fill } from "../../knowledge/placeholders.js";
import type { Question } from "../../knowledge/schema.js";
import type { Button, Need } from "../../post.js";
import { walk } from "../../triage/check.js";
import { callOrder, isNight, morningAfter } from "../../triage/order.js";
import type { Asking, Person, Questions, Talk } from "../hire.js";
import {
  line,
  openCallout,
  overtake,
  put,
  setDue,
  sheetOver,
  type Turn,
  talkOf,
  tell,
  tellContact,
  vanOf,
} from "../turn.js";
import { hearFrom } from "./silence.js";
import { openFor, roles } from "./told.js";

/** The needs that have a button, in the order of the buttons. */
const offered: readonly Need[] = ["child", "alone", "cold-dark", "medical", "phone-flat"];

/** Needs as the hirer chose them: "a child, alone". */
export const needList = (turn: Turn, needs: readonly Need[]): string =>
  needs.map((need) => line(turn, `need-said-${need}`)).join(", ");

/** All questions of a person: those that are asked, and those that wait. */
export const questionsFor = ({ asking, later = [] }: Talk): Questions[] =>
  asking ? [asking, ...later] : later;

/** The first of these are asked, the others wait. */
function queue(talk: Talk, [first, ...rest]: readonly Questions[]): void {
  if (first) talk.asking = first;
  else delete talk.asking;
  if (rest.length > 0) talk.later = rest.slice(0, 4);
  else delete talk.later;
}

/** Starts the questions of a matter; while others are open, those of a matter that does not lead wait. */
export function begin(turn: Turn, person: Person, questions: Questions, leads: boolean): void {
  const talk = talkOf(turn, person.id);
  if (!leads && talk.asking) {
    if (questions.steps.length > 0) talk.later = [...(talk.later ?? []), questions].slice(0, 4);
    return;
  }
  // The questions of another matter that were in progress wait; those of this one are asked anew.
  const waiting = questionsFor(talk).filter(
    (q) =>
      q.steps.length > 0 &&
      q.callout !== questions.callout &&
      (q.callout === undefined || openCallout(turn, q.callout)),
  );
  queue(talk, questions.steps.length > 0 ? [questions, ...waiting] : waiting);
  delete talk.staffSpoke;
  ask(turn, person);
}

/** A danger breaks in: the questions in progress wait. */
export function park(turn: Turn, person: Person): void {
  const talk = talkOf(turn, person.id);
  if (talk.asking && talk.asking.steps.length > 0)
    talk.later = [talk.asking, ...(talk.later ?? [])].slice(0, 4);
  delete talk.asking;
}

/** A matter is over: who has questions waiting is asked them now, unless life is still in danger. */
export function unpark(turn: Turn): void {
  for (const person of turn.hire.people) {
    const talk = talkOf(turn, person.id);
    if (talk.asking || !talk.later?.length) continue;
    if (openFor(turn.hire, person).some((c) => c.severity === "danger")) continue;
    const [first, ...rest] = talk.later;
    if (first) talk.asking = first;
    talk.later = rest;
    resume(turn, person);
  }
}

/**
 * What is to be asked of a new matter of place and need: what is not known of other matters for which the van
 * stands there, and what was about to be asked of those; it is not asked of them any more.
 */
export function placeAndNeed(turn: Turn, person: Person, c: Callout): Asking[] {
  const others = sameStop(turn.hire.callouts, c);
  const talk = talkOf(turn, person.id);
  const waiting = questionsFor(talk).filter((q) => others.some((o) => o.n === q.callout));
  const taken = waiting.flatMap((q) => q.steps);
  for (const q of waiting) q.steps = q.steps.filter((step) => step !== "place" && step !== "need");
  if (talk.later) talk.later = talk.later.filter((q) => q.steps.length > 0);
  if (talk.asking?.steps.length === 0) delete talk.asking;
  const knowsNeed = others.some((o) => o.needs !== undefined) && !taken.includes("need");
  const steps: Asking[] = [
    ...(c.placeSafe === undefined ? (["place"] as const) : []),
    ...(knowsNeed ? [] : (["need"] as const)),
  ];
  return knowsNeed && steps.length === 0 && mayWait(turn, c) ? ["night"] : steps;
}

/** The van was given up: its guided checks and its sheet of lights are asked no more, those of a danger are. */
export function dropChecks(turn: Turn): void {
  const isOfVan = ({ callout }: Questions) =>
    callout === undefined || openCallout(turn, callout)?.van !== undefined;
  for (const talk of Object.values(turn.hire.talks)) {
    sheetOver(talk);
    for (const one of questionsFor(talk).filter(isOfVan))
      one.steps = one.steps.filter((step) => step !== "check" && step !== "sheet");
    queue(
      talk,
      questionsFor(talk).filter((one) => one.steps.length > 0),
    );
  }
}

/** The numbered sheet of lights, colour first; the next number that is written names one. */
export function showSheet(turn: Turn, person: Person, buttons?: Button[]): void {
  talkOf(turn, person.id).sheet = true;
  const text = `${line(turn, "light-colours")}\n${line(turn, "sheet-number")}`;
  tell(turn, person, { text, pictures: ["lights-sheet"], ...(buttons ? { buttons } : {}) });
}

/** Asks again where a talk stood before an interruption; not into a talk of staff's. */
export function resume(turn: Turn, person: Person): void {
  if (!talkOf(turn, person.id).staffSpoke) ask(turn, person);
}

/** Puts the current question of a talk, if there is one. */
export function ask(turn: Turn, person: Person): void {
  const talk = talkOf(turn, person.id);
  const { asking } = talk;
  const now = asking?.steps[0];
  if (!asking || !now) return;
  const n = asking.callout ?? 0;
  overtake(talk, turn.now);
  // Another question is on the screen: a number is no choice, and no light of the sheet, any more.
  delete talk.offered;
  if (now !== "sheet") delete talk.sheet;
  const how = asking.callout === undefined ? {} : { callout: asking.callout };
  const put = (text: string, buttons: Button[]) => tell(turn, person, { text, buttons }, how);
  const button = (tap: string, label: string): Button => ({ tap, label: line(turn, label) });
  const c = openCallout(turn, n);
  if (now === "place")
    return put(line(turn, "place-question"), [
      button(`place:safe:${n}`, "place-safe"),
      button(`place:unsafe:${n}`, "place-unsafe"),
    ]);
  if (now === "need") {
    const noted = (c?.needs ?? []).filter((need) => offered.includes(need));
    const text = noted.length > 0 ? line(turn, "need-more") : line(turn, "need-question");
    return put(text, [
      ...offered
        .filter((need) => !noted.includes(need))
        .map((need) => button(`need:${need}:${n}`, `need-${need}`)),
      button(`need:none:${n}`, noted.length > 0 ? "need-all" : "need-none"),
    ]);
  }
  if (now === "night")
    return put(line(turn, "night-question"), [
      button(`night:yes:${n}`, "night-yes"),
      button(`night:no:${n}`, "night-no"),
    ]);
  if (now === "sheet") return showSheet(turn, person, [button(`sheet:none:${n}`, "none-of-these")]);
  const question = questionOf(turn, asking.entry, asking.path);
  if (!question) {
    // The book has changed under a stored talk: start the check again, or leave it to the call-out.
    asking.path = [];
    if (!questionOf(turn, asking.entry, [])) asking.steps.shift();
    return ask(turn, person);
  }
  put(
    fill(question.ask, turn.voice.values),
    question.options.map((o, i) => ({
      tap: `c:${asking.entry}:${[...asking.path, i].join(".")}`,
      label: o.say,
    })),
  );
}

/** The question that a path of a guided check leads to; undefined at an end or where the book has changed. */
export function questionOf(
  turn: Turn,
  entry: string,
  path: readonly number[],
): Question | undefined {
  const check = checkOf(turn.voice, turn.facts.book.entries.get(entry));
  const node = check && walk(check, path);
  return node && "ask" in node ? node : undefined;
}

/** Whether a van that must not move may wait for the morning: night, parked safely, nobody in need, nobody on it. */
export function mayWait(turn: Turn, c: Callout | undefined): boolean {
  return (
    c?.severity === "stop" &&
    c.state === "nobody-yet" &&
    c.placeSafe === true &&
    !c.urgent &&
    c.waitsUntil === undefined &&
    isNight(turn.facts.book.firm, turn.now)
  );
}

/** Moves a talk to its next question, and asks it; after the last one, those of a matter that waited. */
export function next(turn: Turn, person: Person): void {
  const talk = talkOf(turn, person.id);
  const asked = talk.asking?.steps.shift();
  if (asked === "sheet") delete talk.sheet;
  const n = talk.asking?.callout;
  if (talk.asking && asked === "need" && mayWait(turn, openCallout(turn, n)))
    talk.asking.steps.unshift("night" satisfies Asking);
  if (talk.asking?.steps.length === 0) queue(talk, talk.later ?? []);
  ask(turn, person);
}

/** The hirer agreed to wait: staff who were alerted hear it, and the matter comes up when the night ends. */
export function untilMorning(turn: Turn, n: number): void {
  const c = turn.hire.callouts.find((one) => one.n === n);
  if (c?.state !== "nobody-yet") return;
  const at = morningAfter(turn.facts.book.firm, turn.now);
  const generation = c.generation + 1;
  put(turn, { ...c, waitsUntil: at, generation, answerBy: at });
  setDue(turn, `callout:${n}:next`, at, { kind: "next-contact", callout: n }, generation);
  hearFrom(turn, n);
  const text = `"${c.title}" (${vanOf(turn, c).registration}) waits for the morning: they are safe and warm until then. Nothing to do now.`;
  for (const id of c.alerted) tellContact(turn, id, { text }, { callout: n, severity: c.severity });
}

/** The role of whoever is on duty when the night ends. */
export function morningRole(turn: Turn): string {
  const { firm } = turn.facts.book;
  const morning = morningAfter(firm, turn.now);
  return roles(turn, callOrder(firm, "person", morning).slice(0, 1), morning);
}
