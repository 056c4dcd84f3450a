/** The guided check of a matter: one option after the other, and where it ends. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { adds } from "../../callouts/steps.js";
import { concerns, type Entry } from "../../knowledge/book.js";
import { checkOf } from "../../knowledge/checks/for-van.js";
import { fill } from "../../knowledge/placeholders.js";
import type { End } from "../../knowledge/schema.js";
import { worse } from "../../severity.js";
import { chosen, walk } from "../../triage/check.js";
import { tellAnswer } from "../../wording/entry.js";
import { callOut, relay } from "../alarm.js";
import type { Person } from "../hire.js";
import { danger, troubles } from "../trouble.js";
import { line, openCallout, openCallouts, put, type Turn, talkOf, tell } from "../turn.js";
import { ask, next } from "./questions.js";

/** A button whose question is over, or no longer in the book: the plain way on, and a person. */
export function closed(turn: Turn, person: Person): void {
  turn.because.push("that question is closed");
  const buttons = [{ tap: "person", label: line(turn, "get-a-person") }];
  tell(turn, person, { text: line(turn, "check-closed"), buttons });
}

/** The hirer chose an option of the current check. */
export function answered(turn: Turn, person: Person, option: number): void {
  const talk = talkOf(turn, person.id);
  const { asking } = talk;
  if (!asking) return;
  delete talk.namedAt;
  asking.path.push(option);
  const entry = turn.facts.book.entries.get(asking.entry);
  const check = checkOf(turn.voice, entry);
  const node = check && walk(check, asking.path);
  if (!node) {
    // The book has changed: the button was on the screen, and its question is in it no more.
    closed(turn, person);
    return next(turn, person);
  }
  if ("ask" in node) {
    // The colour is known: now the sheet of lights, then the rest of the check.
    if (asking.steps[1] === "sheet") asking.steps = ["sheet", "check", ...asking.steps.slice(2)];
    return ask(turn, person);
  }
  finish(
    turn,
    person,
    entry,
    node,
    fill(chosen(check, asking.path).join(" · "), turn.voice.values),
  );
}

/** The end of a check. `answers`: what was asked and chosen; staff read it. */
function finish(
  turn: Turn,
  person: Person,
  entry: Entry | undefined,
  end: End,
  answers: string,
): void {
  const talk = talkOf(turn, person.id);
  const n = talk.asking?.callout;
  const callout = openCallout(turn, n);
  const named = end.goTo ? turn.facts.book.entries.get(end.goTo) : undefined;
  const goTo = named && concerns(named, turn.van) ? named : undefined;
  turn.because.push(`check of ${entry?.id ?? "?"} ended: ${end.end}`);
  if (goTo?.kind === "danger") {
    talk.asking?.steps.shift();
    return danger(turn, person, goTo, answers);
  }
  const parts = [fill(end.say, turn.voice.values)];
  if (end.end === "firm") parts.push(line(turn, "check-firm"));
  if (end.end === "roadside") parts.push(line(turn, "check-roadside"));
  if (end.end === "cleared" && callout) parts.push(line(turn, "check-cleared-note"));
  tell(turn, person, { text: parts.join("\n") }, n === undefined ? {} : { callout: n });
  const becomes = goTo?.kind === "light" || goTo?.kind === "fault" ? goTo : undefined;
  if (callout) checked(turn, person, callout, end, answers);
  if (goTo?.kind === "answer") tell(turn, person, { text: tellAnswer(turn.voice, goTo).text });
  if (becomes && becomes.id !== entry?.id) {
    // It was this all the time, unless that is open as a matter of its own.
    const open = openCallouts(turn.hire);
    const own = open.find((c) => c.n === callout?.n);
    const from = open.some((c) => c.matter === becomes.id) ? undefined : own;
    talk.asking?.steps.shift();
    return troubles(turn, person, [becomes], answers, from);
  }
  if (end.end === "cleared" && talk.asking)
    talk.asking.steps = talk.asking.steps.filter((step) => step === "check" || step === "sheet");
  next(turn, person);
}

/** What a check found is noted on its call-out, and passed on to whoever knows of it. */
function checked(turn: Turn, person: Person, callout: Callout, end: End, answers: string): void {
  const found = `check: ${answers} (${end.end}${end.severity ? `, now ${end.severity}` : ""})`;
  const noted = {
    ...adds(callout, [person.id], found),
    checkedAt: turn.now,
    ...(end.severity ? { checked: end.severity } : {}),
  };
  put(turn, noted);
  const { kind, matter, title, van } = callout;
  const { severity = callout.severity } = end;
  if (worse(severity, callout.severity) && van === undefined)
    callOut(turn, person, { kind, matter, title, severity, words: found });
  else relay(turn, person, noted, found, { noted: true });
}
