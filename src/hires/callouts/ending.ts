/** How a call-out ends: only by staff, with an outcome; or joined to another, on which it goes on. Pure. */

import type { Callout } from "../../callouts/callout.js";
import { end, isTask, join } from "../../callouts/steps.js";
import { isSecret } from "../../callouts/whose.js";
import type { DeskAct } from "../../post.js";
import { worse } from "../../severity.js";
import { staffButtons } from "../../wording/staff-taps.js";
import { ring } from "../alarm.js";
import { taskDone } from "../care/tasks.js";
import { unclear } from "../heard/light.js";
import {
  line,
  nameOf,
  openCallout,
  openCallouts,
  put,
  quote,
  setDue,
  sheetOver,
  staffClock,
  type Turn,
  tellContact,
} from "../turn.js";
import { owns } from "./holding.js";
import { awaitPromise, awaitSign } from "./owner.js";
import { unpark } from "./questions.js";
import { awaitRoadside } from "./roadside.js";
import { hearFrom } from "./silence.js";
import { standing, status, triedFor } from "./told.js";

/** Drops every due of a call-out. */
function quiet(turn: Turn, c: Callout): void {
  for (const key of ["next", "promise", "hear", "phone", "roadside", "offer", "hand"])
    setDue(
      turn,
      `callout:${c.n}:${key}`,
      null,
      { kind: "next-contact", callout: c.n },
      c.generation,
    );
  for (const talk of Object.values(turn.hire.talks)) {
    if (talk.asking?.callout === c.n || c.matter === unclear) sheetOver(talk);
    if (talk.asking?.callout === c.n) delete talk.asking;
    if (talk.whereAsked === c.n) delete talk.whereAsked;
    if (talk.later) talk.later = talk.later.filter((a) => a.callout !== c.n);
  }
}

const how = (c: Callout) => ({ callout: c.n, severity: c.severity, safety: true }) as const;

/**
 * Whoever has it, offered to take it or was asked to hears how it went on, and so does whoever was alerted where
 * nobody has it; who ends it, and who hears more of it, does not.
 */
function tellStaff(turn: Turn, c: Callout, text: string, but: readonly (string | undefined)[]) {
  const alerted = c.state === "nobody-yet" && c.severity !== "note" ? triedFor(c) : [];
  for (const id of new Set([c.with, c.offeredTo, ...(c.offers ?? []), ...alerted]))
    if (id !== undefined && !but.includes(id)) tellContact(turn, id, { text }, how(c));
}

/** Ends it. An outcome that the firm does not know counts as "other"; with "joined" it goes on elsewhere. */
export function done(turn: Turn, c: Callout, by: string, act: Extract<DeskAct, { do: "done" }>) {
  if (act.outcome === "joined") {
    const others = openCallouts(turn.hire).filter((o) => o.n !== c.n);
    const only = others.length === 1 ? others[0] : undefined;
    const to = act.to === undefined ? only : others.find((o) => o.n === act.to);
    if (to || act.to !== undefined) return joinTo(turn, c, to, by);
  }
  const { outcomes } = turn.facts.book.firm;
  const known = outcomes[act.outcome] || (isTask(c) && act.outcome === "rung");
  const after = end(c, known ? act.outcome : "other", turn.now, act.note);
  put(turn, after);
  if (isTask(c)) taskDone(turn, c);
  quiet(turn, after);
  turn.because.push(`done by ${by}: ${after.outcome ?? "other"}`);
  const outcome = outcomes[act.outcome] ?? act.outcome;
  tellStaff(turn, c, `${nameOf(turn, by)} has ended "${c.title}": ${outcome}.`, [by]);
  status(turn, c.n, line(turn, "done", { name: nameOf(turn, by), outcome }));
  unpark(turn);
}

function joinTo(turn: Turn, c: Callout, to: Callout | undefined, by: string): void {
  if (!to || isTask(to) || isSecret(to) || isSecret(c)) {
    const own = to && isTask(to) ? "A ring about a check" : "A threat";
    const why = to ? `${own} stays a matter of its own.` : "That call-out is not open.";
    tellContact(turn, by, { text: `Not joined. ${why}` }, how(c));
    turn.because.push(`ignored: call-out ${c.n} cannot be joined`);
    return;
  }
  const joined = join(c, to, turn.facts.book.firm, turn.now);
  put(turn, joined.from);
  put(turn, joined.to);
  quiet(turn, joined.from);
  turn.because.push(`call-out ${c.n} joined to ${to.n} by ${by}`);
  const text = `${nameOf(turn, by)} has joined "${c.title}" to "${to.title}".`;
  tellStaff(turn, c, text, [by, joined.to.with]);
  const changed = goesOn(turn, c, to, by);
  hearFrom(turn, to.n);
  awaitRoadside(turn, to.n);
  const words = { name: nameOf(turn, by), title: to.title };
  const now = changed ? [standing(turn, joined.to)] : [];
  status(turn, c.n, [line(turn, "joined-to", words), ...now].join(" "));
  unpark(turn);
}

/**
 * Another matter goes on on this one: whoever has it hears so, and what is awaited of them is set anew; where
 * nobody has it and it has risen, it is alerted. True where somebody else has it now, or rings earlier.
 */
function goesOn(turn: Turn, from: Callout, before: Callout, by: string): boolean {
  const c = openCallout(turn, before.n);
  if (!c) return false;
  if (c.with === undefined) {
    if (worse(c.severity, before.severity)) ring(turn, c);
    return false;
  }
  const isNew = before.with === undefined;
  const rings = c.promisedAt !== undefined && c.promisedAt !== before.promisedAt;
  if (isNew) {
    owns(turn, before, c.with);
    handsOn(turn, c);
  }
  if (rings) awaitPromise(turn, c.n);
  else if (isNew) awaitSign(turn, c.n, true);
  if (c.with !== by) {
    const text = [
      `${nameOf(turn, by)} has joined "${from.title}" to ${isNew ? `"${c.title}", which is with you now` : `your "${c.title}"`}.`,
      ...(rings ? [`You ring by ${staffClock(turn, c.promisedAt ?? turn.now)}.`] : []),
      `Said: "${quote((isNew ? c : from).words ?? "")}"`,
    ].join(" ");
    tellContact(turn, c.with, { text }, how(c));
  }
  return isNew || rings;
}

/** An owner who goes off duty is relieved of what they have by now too. */
function handsOn(turn: Turn, { n, handing, with: from }: Callout): void {
  if (!handing || from === undefined) return;
  setDue(turn, `callout:${n}:hand`, turn.now, { kind: "hand-over", callout: n, from }, 0);
}

/** The outcomes as buttons, for a contact who has no desk at hand. */
export function showOutcomes(turn: Turn, by: string, c: Callout): void {
  const b = staffButtons(turn.hire.id, c.n);
  const buttons = Object.entries(turn.facts.book.firm.outcomes)
    .filter(([id]) => id !== "joined" || openCallouts(turn.hire).length === 2)
    .map(([id, label]) => b.outcome(id, label));
  tellContact(turn, by, { text: `How did "${c.title}" end?`, buttons }, how(c));
}
