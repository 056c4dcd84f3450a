/** The test alert at the start of a shift: sent, answered, or told to others until somebody answers. Pure. */
import { after, type Instant } from "../../calendar.js";
import type { Message } from "../../post.js";
import { addressesOf } from "../reach.js";
import type { FirmState, ShiftTest } from "./state.js";
import { nameOf, setDue, span, tell, time, type Watch } from "./watch.js";

/** Tests that are kept to be shown. */
const kept = 20;
const dueKey = (n: number) => `duty:test:${n}`;

/** The open test of a contact: they have at most one. */
export const openTestOf = ({ tests }: FirmState, contact: string): ShiftTest | undefined =>
  tests.find((t) => t.contact === contact && t.state === "open");

/** In whose place somebody is on who stands in: who does not answer, or who asked them. */
export const standsFor = (test: ShiftTest): string =>
  test.why === "asked" ? (test.before[0] ?? test.contact) : test.contact;

/** What whoever stands in presses. */
export const standInLabel = (test: ShiftTest, name: string): string =>
  test.why === "asked" ? `I take over from ${name}` : `I stand in for ${name}`;

/** Puts a changed test back. */
function putTest(w: Watch, test: ShiftTest): void {
  w.state.tests = w.state.tests.map((t) => (t.n === test.n ? test : t));
}

function testText(w: Watch, test: ShiftTest, again: boolean): string {
  const begun = {
    shift: `Your shift has begun: ${span(w, test.startedAt, test.until)}.`,
    gap: `Nobody is on the roster: alerts come to you until ${time(w, test.until)}.`,
    asked: `${nameOf(w, test.before[0] ?? "")} wants to go off duty now and asks you to take over until ${time(w, test.until)}. ${nameOf(w, test.before[0] ?? "")} stays on until you answer.`,
  }[test.why];
  const { leaving } = w.state;
  const waits =
    leaving?.test === test.n && test.why !== "asked"
      ? ` ${nameOf(w, leaving.contact)} wants to go off duty, and stays on until you answer.`
      : "";
  return `TEST ALERT${again ? ", AGAIN" : ""}. ${begun}${waits} Answer it, so that we know that alerts reach you.`;
}

/** Sends it on every channel that there is now. */
function sendTest(w: Watch, test: ShiftTest, again = false): string[] {
  const label = test.why === "asked" ? "I take over" : "I am here";
  const tap = `here:${test.contact}:${test.n}`;
  return tell(w, test.contact, testText(w, test, again), [{ tap, label }], true);
}

/** A new test for a contact; an older open one of theirs is over, and what hung on it hangs on the new one. */
export function openTest(
  w: Watch,
  what: Pick<ShiftTest, "contact" | "why" | "startedAt" | "until" | "before">,
): ShiftTest {
  const n = Math.max(0, ...w.state.tests.map((t) => t.n)) + 1;
  const old = openTestOf(w.state, what.contact);
  if (old) closeTest(w, old, "over");
  if (w.state.leaving && w.state.leaving.test === old?.n) w.state.leaving.test = n;
  const test: ShiftTest = {
    n,
    ...what,
    sentAt: w.now,
    channels: [],
    failed: [],
    state: "open",
    toldTimes: 0,
    told: [],
  };
  test.channels = sendTest(w, test);
  w.state.tests = [test, ...w.state.tests].slice(0, kept);
  setDue(w, dueKey(n), after(w.now, w.firm.shifts.answerMin), { kind: "shift-test", test: n });
  w.because.push(
    `test ${n} for ${what.contact} by ${test.channels.join(", ") || "the desk's page alone"}`,
  );
  return test;
}

/** `by` wants to go off duty until `until`: `to` is asked to answer, by their open test or by a new one. */
export function askToTakeOver(w: Watch, by: string, to: string, until: Instant): void {
  const known = openTestOf(w.state, to);
  if (known) {
    w.state.leaving = { contact: by, to, test: known.n };
    sendTest(w, known, true);
    return;
  }
  const test = openTest(w, { contact: to, why: "asked", startedAt: w.now, until, before: [by] });
  w.state.leaving = { contact: by, to, test: test.n };
}

/** Nothing more follows from a test. */
export function closeTest(
  w: Watch,
  test: ShiftTest,
  state: Exclude<ShiftTest["state"], "open">,
  by?: string,
): void {
  putTest(w, { ...test, state, answeredAt: w.now, ...(by === undefined ? {} : { by }) });
  setDue(w, dueKey(test.n), null, { kind: "shift-test", test: test.n });
  if (state === "over") return;
  const who = nameOf(w, by ?? test.contact);
  const text =
    by === test.contact
      ? `${who} has answered the test alert now.`
      : `${who} ${test.why === "asked" ? "takes over from" : "stands in for"} ${nameOf(w, standsFor(test))} until ${time(w, test.until)}.`;
  for (const id of new Set([...test.told, test.contact])) if (id !== by) tell(w, id, text);
}

/** Who is told that somebody does not answer: as the shift rules say, each once, never the one who does not. */
function others(w: Watch, test: ShiftTest): string[] {
  const { tell: listed } = w.firm.shifts;
  const next = w.firm.callOrders.stop.find(
    (id) => id !== "duty" && id !== test.contact && !test.before.includes(id),
  );
  const named = listed.flatMap((id) =>
    id === "previous" ? test.before : id === "next" ? (next ?? []) : [id],
  );
  return [...new Set([...named, w.firm.roster.fallback])].filter(
    (id) => id !== test.contact && w.firm.contacts[id]?.kind === "staff",
  );
}

/** What one of the others reads of a test that is not answered, and presses. */
function lateMessage(w: Watch, test: ShiftTest, id: string): Message {
  const name = nameOf(w, test.contact);
  const from = standsFor(test);
  const at = time(w, test.sentAt);
  const duty = test.why === "shift" ? ` (on duty ${span(w, test.startedAt, test.until)})` : "";
  const said = {
    test: `${name} has not answered the test alert of ${at}${duty}.`,
    mine: `${name}, whom you asked at ${at} to take over, has not answered. You stay on.`,
    asked: `${nameOf(w, from)} wants to go off duty and asked ${name} at ${at} to take over, who has not answered. ${nameOf(w, from)} stays on.`,
  };
  const which = test.why !== "asked" ? "test" : id === from ? "mine" : "asked";
  const sent = test.channels.filter((c) => !test.failed.includes(c));
  const text = [
    said[which],
    sent.length > 0 ? `It went by ${sent.join(", ")}.` : "No channel of ours reaches them now.",
    `Ring ${name}: ${w.firm.contacts[test.contact]?.phone ?? ""}.`,
    ...(which === "test" ? [`If ${name} cannot come, stand in.`] : []),
  ].join(" ");
  const label = which === "mine" ? "I stay on" : standInLabel(test, nameOf(w, from));
  return { text, buttons: [{ tap: `stand-in:${id}:${test.n}`, label }] };
}

/** Not answered in time: the contact once more, and the others, with growing pauses until somebody answers. */
export function unanswered(w: Watch, n: number): void {
  const test = w.state.tests.find((t) => t.n === n);
  if (test?.state !== "open") return void w.because.push(`ignored: test ${n} is not open`);
  if (w.now >= test.until) {
    closeTest(w, test, "over");
    w.because.push(`test ${n} was never answered; the shift is over`);
    return;
  }
  sendTest(w, test, true);
  const reached = others(w, test).filter((id) => {
    const { text, buttons } = lateMessage(w, test, id);
    return tell(w, id, text, buttons, true).length > 0;
  });
  const toldTimes = test.toldTimes + 1;
  putTest(w, { ...test, toldTimes, told: [...new Set([...test.told, ...reached])] });
  const pause = Math.min(w.firm.shifts.againMin * toldTimes, 120);
  const next = Math.min(after(w.now, pause), test.until) as Instant;
  setDue(w, dueKey(n), next, { kind: "shift-test", test: n });
  w.because.push(
    `test ${n} not answered by ${test.contact}; told ${reached.join(", ") || "nobody"}`,
  );
}

/** A channel that did not carry the test: with none left, the others are told at once. */
export function testLost(w: Watch, contact: string, channel: string): void {
  const test = w.state.tests.find((t) => t.contact === contact && t.state === "open");
  if (!test || test.toldTimes > 0) return;
  const failed = [...new Set([...test.failed, channel])];
  putTest(w, { ...test, failed });
  const left = addressesOf(w.firm, w.facts.reach, contact).some((a) => !failed.includes(a.channel));
  if (!left) unanswered(w, test.n);
}
