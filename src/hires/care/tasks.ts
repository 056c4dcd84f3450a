/** "Ring today": a task of staff's own, with a name on it until somebody rang or it has settled itself. Pure. */
import { addDays, after, atWall, dayOf, type Instant } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import { end, isTask, promise } from "../../callouts/steps.js";
import { callOrder } from "../../triage/order.js";
import { callOut, ring } from "../alarm.js";
import type { Hire, Person, SentReminder } from "../hire.js";
import {
  line,
  nameOf,
  openCallouts,
  personOf,
  put,
  setDue,
  staffClock,
  type Turn,
  tellContact,
} from "../turn.js";

/** The next instant at which the firm's clock shows the start or the end of the window. */
function next(turn: Turn, end: "from" | "to"): Instant {
  const { firm, reminders } = turn.facts.book;
  const today = dayOf(turn.now, firm.zone);
  const at = atWall(today, reminders.window[end], firm.zone);
  return at > turn.now ? at : atWall(addDays(today, 1), reminders.window[end], firm.zone);
}

function lookAgain(turn: Turn, n: number, at: Instant): void {
  setDue(turn, `callout:${n}:task`, at, { kind: "ring-today", callout: n }, 0);
}

/** Who is to be rung about what. */
function whom(turn: Turn, callout: Callout): string {
  const person = turn.hire.people.find((p) => p.id === callout.person);
  return `${callout.title}: ${person?.name ?? "the hirer"}${person?.phone ? `, ${person.phone}` : ""}, van ${turn.hire.booking.van.registration}.`;
}

/** The checks that a task is about, by their titles. */
function titleOf(turn: Turn, n: number): string {
  const { rules } = turn.facts.book.reminders;
  const open = turn.hire.sentReminders.filter((s) => s.task === n && !s.answered);
  const titles = new Set(open.map((s) => rules[s.rule]?.title ?? s.rule));
  return `Ring today: ${[...titles].join(" and ")} not answered`;
}

/** A task for whoever is on duty, to be done by the evening; one a hire, however many checks it is about. */
export function ringToday(turn: Turn, person: Person, sent: SentReminder): void {
  const known = openCallouts(turn.hire).find((c) => c.matter === "ring-today");
  const title = turn.facts.book.reminders.rules[sent.rule]?.title ?? sent.rule;
  if (known) {
    sent.task = known.n;
    put(turn, { ...known, title: titleOf(turn, known.n) });
    turn.because.push(`task ${known.n} is about ${sent.rule} too`);
    return;
  }
  const callout = newTask(turn, person, "ring-today", title);
  sent.task = callout.n;
  toDuty(turn, { ...callout, title: titleOf(turn, callout.n) });
}

/** A task that nobody has yet. */
function newTask(turn: Turn, person: Person, matter: string, title: string): Callout {
  const what = { kind: "reading", severity: "note", words: title } as const;
  return callOut(turn, person, { ...what, matter, title }, true).callout;
}

/** Gives a task to whoever is on duty, to be done by the evening. */
function toDuty(turn: Turn, titled: Callout): void {
  const [duty] = callOrder(turn.facts.book.firm, "person", turn.now);
  if (duty === undefined) {
    ring(turn, titled);
    return;
  }
  const evening = next(turn, "to");
  const named = promise(titled, duty, evening);
  put(turn, named);
  lookAgain(turn, named.n, evening);
  const text = `${whom(turn, named)} Please ring by ${staffClock(turn, evening)}.`;
  tellContact(turn, duty, { text }, { callout: named.n, severity: "note" });
  turn.because.push(`task for ${duty}`);
}

/** The hire is cancelled where it was booked, but its van is out: whoever is on duty is to find out which is true. */
export function cancelledOutside(turn: Turn, by: string): void {
  const matter = "cancelled-outside";
  const person = personOf(turn.hire, undefined);
  if (!person || openCallouts(turn.hire).some((c) => c.matter === matter)) return;
  toDuty(turn, newTask(turn, person, matter, line(turn, `${matter}-title`, { by })));
}

/** Whether no check can be of use any more: cancelled, back, or past the return. */
export const roadIsOver = ({ booking, returnRecordAt }: Hire, now: Instant): boolean =>
  booking.status === "cancelled" || returnRecordAt !== undefined || now >= booking.returnAt;

/** Reminds whoever has the task. */
export function nag(turn: Turn, callout: Callout): void {
  const text = `Not rung yet. ${whom(turn, callout)}`;
  tellContact(
    turn,
    callout.with ?? "",
    { text },
    { callout: callout.n, severity: callout.severity },
  );
  turn.because.push(`nagged ${callout.with ?? "nobody"}`);
}

/** Whether nobody need ring any more; where the van was said to be out though cancelled, only its return or staff say so. */
const isOver = ({ hire, now }: Turn, task: Callout): boolean =>
  task.matter === "cancelled-outside"
    ? hire.returnRecordAt !== undefined || hire.booking.status === "cancelled"
    : roadIsOver(hire, now);

/** So many minutes after the window's end its owner may still be reminded. */
const lateMin = 60;

/** The task's time has come: in the evening its owner is reminded; next morning whoever is on duty may take it. */
export function taskDue(turn: Turn, callout: Callout): void {
  if (isOver(turn, callout)) return close(turn, callout, "the hire is over");
  const { firm, reminders } = turn.facts.book;
  const how = { callout: callout.n, severity: callout.severity };
  const today = (end: "from" | "to") =>
    atWall(dayOf(turn.now, firm.zone), reminders.window[end], firm.zone);
  // After a sleep over the evening: nobody is to ring now.
  if (turn.now < today("from") || turn.now > after(today("to"), lateMin)) {
    lookAgain(turn, callout.n, next(turn, "from"));
    turn.because.push("waits for the morning");
    return;
  }
  const evening = turn.now >= today("to");
  lookAgain(turn, callout.n, next(turn, evening ? "from" : "to"));
  const owner = callout.with ?? "";
  if (evening) return nag(turn, callout);
  put(turn, { ...callout, promiseBroken: (callout.promiseBroken ?? 0) + 1 });
  const [duty = owner] = callOrder(firm, "person", turn.now);
  const text = `Not rung since yesterday, with ${nameOf(turn, owner)}. ${whom(turn, callout)}`;
  const buttons = [{ tap: `take:${turn.hire.id}:${callout.n}`, label: "I take it" }];
  for (const id of new Set([duty, owner]))
    tellContact(turn, id, { text, ...(id === owner ? {} : { buttons }) }, how);
  turn.because.push(`not rung: told ${duty}`);
}

function close(turn: Turn, callout: Callout, outcome: string): void {
  put(turn, end(callout, outcome, turn.now));
  lookAgainNever(turn, callout.n);
  turn.because.push(`task ended: ${outcome}`);
}

/** Nobody need ring: whoever has the task hears so, but for `by`. */
function noNeed(turn: Turn, task: Callout, why: string, by?: string): void {
  close(turn, task, why);
  const text = `No need to ring, ${why}. ${whom(turn, task)}`;
  if (task.with && task.with !== by) tellContact(turn, task.with, { text }, { callout: task.n });
}

/** The hire is cancelled, or its van is back: nobody need ring about it. */
export function tasksOver(turn: Turn, why: string, by?: string): void {
  for (const task of openCallouts(turn.hire).filter(isTask)) noNeed(turn, task, why, by);
}

function lookAgainNever(turn: Turn, n: number): void {
  setDue(turn, `callout:${n}:task`, null, { kind: "ring-today", callout: n }, 0);
}

/** A check that was to be rung about has settled itself; when it was the last one, nobody need ring any more. */
export function settleTask(turn: Turn, sent: SentReminder, why: string): void {
  const task = openCallouts(turn.hire).find((c) => c.n === sent.task);
  delete sent.task;
  if (!task) return;
  if (turn.hire.sentReminders.some((s) => s.task === task.n && !s.answered)) {
    put(turn, { ...task, title: titleOf(turn, task.n) });
    return;
  }
  noNeed(turn, task, why);
}

/** Somebody rang: what the task was about is no longer waited for. */
export function taskDone(turn: Turn, callout: Callout): void {
  lookAgainNever(turn, callout.n);
  for (const sent of turn.hire.sentReminders) if (sent.task === callout.n) sent.answered = true;
}
