/** A due has come: the next contact, a promise, a hear-from, a reminder. A stale one changes nothing. Pure. */
import { after } from "../calendar.js";
import { isTask, limitMin } from "../callouts/steps.js";
import type { Matter } from "../post.js";
import { callOrder, isNight, morningAfter } from "../triage/order.js";
import { alertedLine, hearFrom, ring, roles } from "./alarm.js";
import { replyMissing } from "./care/replies.js";
import { nag, taskDue } from "./care/tasks.js";
import { remind } from "./care.js";
import { lastPlace } from "./heard/last.js";
import { handingOver } from "./shifts/hand-over.js";
import { status } from "./staff.js";
import {
  clock,
  line,
  nameOf,
  personOf,
  put,
  setDue,
  type Turn,
  tell,
  tellContact,
} from "./turn.js";

/** What happens when this due is reached. */
export function fired(turn: Turn, matter: Matter, generation: number): void {
  if (matter.kind === "reminder") return remind(turn, generation);
  if (matter.kind === "reply-missing") return replyMissing(turn, matter.key);
  if (matter.kind === "hand-over") return handingOver(turn, matter.callout, matter.from, matter.to);
  if (matter.kind === "shift" || matter.kind === "shift-test") {
    turn.because.push(`ignored: ${matter.kind} in a hire`);
    return;
  }
  const callout = turn.hire.callouts.find((c) => c.n === matter.callout);
  const stale =
    !callout ||
    callout.state === "done" ||
    (matter.kind !== "hear-from" &&
      matter.kind !== "ring-today" &&
      generation !== callout.generation);
  if (stale) {
    turn.because.push(`ignored: stale ${matter.kind}`);
    return;
  }
  if (matter.kind === "next-contact") {
    if (callout.state !== "nobody-yet") {
      turn.because.push("ignored: somebody has it");
      return;
    }
    const { firm } = turn.facts.book;
    if (callout.severity === "note" && !callout.urgent && isNight(firm, turn.now)) {
      // A question wakes nobody.
      const morning = morningAfter(firm, turn.now);
      setDue(turn, `callout:${callout.n}:next`, morning, matter, callout.generation);
      turn.because.push("waits for the morning");
      return;
    }
    const { waitsUntil: _waited, ...awake } = callout;
    put(turn, awake);
    const known = callout.alerted;
    const reached = ring(turn, awake);
    const someNew = reached.some((id) => !known.includes(id));
    const text = `${alertedLine(turn, reached, known.length === 0 ? "alerted" : someNew ? "alerted-next" : "alerted-again")}${callout.severity === "note" ? "" : `\n${line(turn, "meanwhile-stop")}`}`;
    // A hirer hears of each new contact and of each fresh round, not of every repeat of a danger alert.
    const often = callout.severity === "danger" || callout.severity === "note";
    if (!often || someNew || callout.round % 5 === 4) status(turn, callout.n, text);
    return;
  }
  if (matter.kind === "ring-today") return taskDue(turn, callout);
  if (matter.kind === "promise") return promised(turn, callout.n);
  return silent(turn, callout.n);
}

function promised(turn: Turn, n: number): void {
  const callout = turn.hire.callouts.find((c) => c.n === n);
  if (!callout?.with || callout.promisedAt === undefined) {
    turn.because.push("ignored: no promise is open");
    return;
  }
  if (isTask(callout)) return nag(turn, callout);
  const { firm } = turn.facts.book;
  const name = nameOf(turn, callout.with);
  const ring = callout.severity !== "note";
  const how = { callout: n, severity: callout.severity, safety: true, ring } as const;
  const due = after(callout.promisedAt, firm.limits.promiseGraceMin);
  if (turn.now < due) {
    tellContact(
      turn,
      callout.with,
      {
        text: `You promised to ring about "${callout.title}" (${turn.hire.booking.van.registration}) now. Done, or a new time?`,
      },
      how,
    );
    setDue(turn, `callout:${n}:promise`, due, { kind: "promise", callout: n }, callout.generation);
    turn.because.push(`nagged ${callout.with}`);
    return status(
      turn,
      n,
      line(turn, "promise-late", { name, time: clock(turn, callout.promisedAt) }),
    );
  }
  // The others one after the other with growing pauses; a mere question wakes nobody.
  const missed = callout.promiseBroken ?? 0;
  const others = callOrder(firm, callout.severity, turn.now, callout.kind).filter(
    (id) => id !== callout.with,
  );
  const asleep = callout.severity === "note" && isNight(firm, turn.now);
  const turnOf =
    callout.severity === "danger"
      ? others
      : others.slice(missed % Math.max(1, others.length)).slice(0, 1);
  const message = {
    text: `${name} promised to ring about "${callout.title}" (${turn.hire.booking.van.registration}) by ${clock(turn, callout.promisedAt)} and has not said that it was done. Said: "${(callout.words ?? "").slice(0, 500)}"`,
    buttons: [{ tap: `take:${turn.hire.id}:${n}`, label: "I take it" }],
  };
  const reached = asleep ? [] : turnOf.filter((id) => tellContact(turn, id, message, how));
  if (!asleep) put(turn, { ...callout, promiseBroken: missed + 1 });
  const pause = Math.min(
    limitMin(firm, callout.severity) * 2 ** (missed + 1),
    callout.severity === "note" ? 240 : 60,
  );
  const again = asleep ? morningAfter(firm, turn.now) : after(turn.now, pause);
  setDue(turn, `callout:${n}:promise`, again, { kind: "promise", callout: n }, callout.generation);
  turn.because.push(`promise missed; alerted ${reached.join(", ") || "nobody"}`);
  if (asleep || missed > 0) return;
  const text =
    reached.length > 0
      ? line(turn, "promise-passed", { name, who: roles(turn, reached) })
      : line(turn, "alerted-none");
  status(turn, n, text);
}

function silent(turn: Turn, n: number): void {
  const callout = turn.hire.callouts.find((c) => c.n === n);
  if (!callout || callout.hearFromBy === undefined || turn.now < callout.hearFromBy) {
    turn.because.push("ignored: heard from since");
    return;
  }
  const count = (callout.silent ?? 0) + 1;
  put(turn, { ...callout, silent: count });
  const person = personOf(turn.hire, callout.person);
  const { hire } = turn;
  const how = { callout: n, severity: callout.severity, safety: true } as const;
  if (person && count <= 2) tell(turn, person, { text: line(turn, "hear-question") }, how);
  const place = lastPlace(turn) ?? "not known";
  const since = clock(turn, callout.hearFromBy);
  const text =
    count === 1
      ? `Nothing heard from ${person?.name ?? "the hirer"} (${hire.booking.van.registration}) by ${since}: ${callout.title}. Ring them now${person?.phone ? `: ${person.phone}` : ""}.`
      : `STILL nothing heard from ${person?.name ?? "the hirer"} (${hire.booking.van.registration}): ${callout.title}. Last known place: ${place}. If they do not answer, ask the police for a welfare check.`;
  const to =
    callout.with && count === 1
      ? [callout.with]
      : callOrder(turn.facts.book.firm, "danger", turn.now);
  const reached = to.filter((id) => tellContact(turn, id, { text }, { ...how, ring: true }));
  turn.because.push(`silence ${count}: told ${reached.join(", ") || "nobody"}`);
  hearFrom(turn, n);
}
