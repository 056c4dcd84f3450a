/** "Hear from the hirer by": asked, then rung by a named person, then the desk says so in red. Pure. */
import { after, type Instant, instantOf } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import { callOrder } from "../../triage/order.js";
import { staffButtons } from "../../wording/staff-taps.js";
import { lastPlace } from "../heard/last.js";
import {
  clock,
  line,
  nameOf,
  openCallout,
  personOf,
  put,
  setDue,
  type Turn,
  tell,
  tellContact,
} from "../turn.js";

/** After a first silence the second look comes sooner, the later ones at leisure. */
const nextLookMin = (firstMin: number, silent: number): number =>
  silent === 0 ? firstMin : silent === 1 ? firstMin / 2 : 60;

/**
 * Who waits for a promised call or for roadside assistance that told a time, or agreed to wait for the morning,
 * need not write before. In need, or for a call, it is an hour at most; in danger no time at all.
 */
function quietUntil(turn: Turn, c: Callout): number {
  const call = c.severity === "stop" ? Math.min(c.promisedAt ?? 0, after(turn.now, 60)) : 0;
  const job = c.severity === "stop" && !c.roadside?.came ? (c.roadside?.arrivesAt ?? 0) : 0;
  const help = c.urgent ? Math.min(job, after(turn.now, 60)) : job;
  return Math.max(c.waitsUntil ?? 0, call, help);
}

/**
 * Sets or moves the "hear from" of an open danger or stop: the usual time from now, or from `from` on (the
 * end of a call, the morning that was agreed).
 */
export function hearFrom(turn: Turn, n: number, from: Instant = turn.now): void {
  const c = openCallout(turn, n);
  if (!c || (c.severity !== "danger" && c.severity !== "stop")) return;
  if (turn.hire.returnRecordAt !== undefined && c.severity === "stop") {
    // They are back: nobody has to hear from them any more.
    const { hearFromBy: _by, ringer: _ringer, ...back } = c;
    put(turn, back);
    return setDue(turn, `callout:${n}:hear`, null, { kind: "hear-from", callout: n }, 0);
  }
  const pause = nextLookMin(turn.facts.book.firm.limits.hearFromMin, c.silent ?? 0);
  const at = after(instantOf(Math.max(from, quietUntil(turn, c))), pause);
  put(turn, { ...c, hearFromBy: at });
  setDue(turn, `callout:${n}:hear`, at, { kind: "hear-from", callout: n }, 0);
}

/** A sign of life of the hirer, from now or from the end of a call on. */
export function heardFrom(turn: Turn, n: number, from: Instant = turn.now): void {
  const c = turn.hire.callouts.find((one) => one.n === n);
  if (c?.hearFromBy === undefined) return;
  const { ringer, ...rest } = c;
  const count = c.silent ?? 0;
  put(turn, { ...rest, silent: 0 });
  hearFrom(turn, n, from);
  if (count === 0) return;
  // Whoever was asked to ring, or to think of the police, hears that there is no need any more.
  const all = [...(c.with ? [c.with] : []), ...callOrder(turn.facts.book.firm, "danger", turn.now)];
  const to = count > 1 ? all : ringer ? [ringer] : [];
  const who = personOf(turn.hire, c.person)?.name ?? "the hirer";
  const text = `Heard from ${who} (${turn.hire.booking.van.registration}) again: ${c.title}.`;
  for (const id of new Set(to))
    tellContact(turn, id, { text }, { callout: n, severity: c.severity, safety: true });
}

/** Whom to ask for a welfare check, by the region that the van is in. */
const police = (turn: Turn): string => line(turn, "welfare-check");

/** The due: nothing was heard by then. */
export function silent(turn: Turn, n: number): void {
  const c = turn.hire.callouts.find((one) => one.n === n);
  if (!c || c.hearFromBy === undefined || turn.now < c.hearFromBy) {
    turn.because.push("ignored: heard from since");
    return;
  }
  const count = (c.silent ?? 0) + 1;
  const person = personOf(turn.hire, c.person);
  const who = `${person?.name ?? "the hirer"} (${turn.hire.booking.van.registration})`;
  const phone = person?.phone ? `: ${person.phone}` : "";
  const how = { callout: n, severity: c.severity, safety: true, ring: true } as const;
  const b = staffButtons(turn.hire.id, n);
  const buttons = [b.phone, b.heard];
  const since = clock(turn, c.hearFromBy);
  const order = callOrder(turn.facts.book.firm, "danger", turn.now);
  const named = [...new Set([...(c.with ? [c.with] : []), ...order])];
  let ringer: string | undefined;
  if (count === 1) {
    const text = `Nothing heard from ${who} by ${since}: ${c.title}. You ring them now${phone}.`;
    ringer = named.find((id) => tellContact(turn, id, { text, buttons }, how));
  } else {
    const text = `STILL nothing heard from ${who}: ${c.title}. Last known place: ${lastPlace(turn) ?? "not known"}. Ring once more${phone}. If they do not answer: ${police(turn)}`;
    for (const id of named) tellContact(turn, id, { text, buttons }, how);
    ringer = c.ringer;
  }
  const { ringer: _before, ...rest } = c;
  put(turn, { ...rest, silent: count, ...(ringer ? { ringer } : {}) });
  if (person && count <= 2) {
    const rings =
      ringer && count === 1 ? `\n${line(turn, "hear-rings", { name: nameOf(turn, ringer) })}` : "";
    tell(turn, person, { text: `${line(turn, "hear-question")}${rings}` }, how);
  }
  turn.because.push(`silence ${count}: ${count === 1 ? (ringer ?? "nobody") : "all"} told`);
  hearFrom(turn, n);
}
