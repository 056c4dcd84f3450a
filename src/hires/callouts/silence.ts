/** "Hear from the hirer by": asked, then rung by a named person, then the desk says so in red. Pure. */
import { after, type Instant, instantOf } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import { openBy, sameSilence, titles, worstFirst } from "../../callouts/together.js";
import { isGrave } from "../../severity.js";
import { callOrder, isNight, morningAfter } from "../../triage/order.js";
import { staffButtons } from "../../wording/staff-taps.js";
import { lastPlace } from "../heard/last.js";
import { hasBegun } from "../hire.js";
import {
  line,
  nameOf,
  openCallout,
  overtake,
  put,
  setDue,
  staffClock,
  type Turn,
  talkOf,
  tell,
  tellContact,
} from "../turn.js";
import { isBack, rungAbout, speaksFor } from "./told.js";

/** Later looks at a silence come at leisure. */
const laterLookMin = 60;
/** Who waits for a call, or for roadside assistance in need, need not write before it for so long at most. */
const quietMostMin = 60;

/** After a first silence the second look comes sooner, the later ones at leisure. */
const nextLookMin = (firstMin: number, silent: number): number =>
  silent === 0 ? firstMin : silent === 1 ? firstMin / 2 : laterLookMin;

/** Whether it stopped a van that was given up since, and nobody is in need: they are on the road again. */
const drivesOn = (c: Callout): boolean =>
  c.severity === "stop" && c.van !== undefined && c.urgent !== true;

/** Whether they may not have the van yet, which stands elsewhere then, and nobody is in need. */
const atHome = (turn: Turn, c: Callout): boolean =>
  c.severity === "stop" && c.urgent !== true && !hasBegun(turn.hire, turn.now);

/**
 * Who waits for a promised call or for roadside assistance that told a time, of this matter or another one that
 * stops them, or agreed to wait for the morning, need not write before. In need, or for a call, it is an hour at
 * most, counted from the morning for who is parked safely at night with nobody in need; in danger no time at all.
 */
function quietUntil(turn: Turn, c: Callout): number {
  const stops = openBy(turn.hire.callouts, c.person).filter(
    (o) => o.severity === "stop" && !drivesOn(o),
  );
  const all = c.severity === "stop" ? stops : [];
  const { firm } = turn.facts.book;
  const sleeps = c.placeSafe === true && !all.some((o) => o.urgent) && isNight(firm, turn.now);
  const callMost = after(sleeps ? morningAfter(firm, turn.now) : turn.now, quietMostMin);
  const call = Math.min(Math.max(0, ...all.map((o) => o.promisedAt ?? 0)), callMost);
  const jobs = all.map(({ roadside }) => (roadside?.came ? 0 : (roadside?.arrivesAt ?? 0)));
  const job = Math.max(0, ...jobs);
  const help = all.some((o) => o.urgent) ? Math.min(job, after(turn.now, quietMostMin)) : job;
  return Math.max(c.waitsUntil ?? 0, call, help);
}

/** What is awaited of one matter has changed: so it has of the others of the same person from whom a sign of life is due. */
export function hearAnew(turn: Turn, n: number): void {
  const c = openCallout(turn, n);
  const others = c ? openBy(turn.hire.callouts, c.person) : [];
  for (const one of others) if (one.n === n || one.hearFromBy !== undefined) hearFrom(turn, one.n);
}

/**
 * Sets or moves the "hear from" of an open danger or stop: the usual time from now, or from `from` on (the
 * end of a call, the morning that was agreed).
 */
export function hearFrom(turn: Turn, n: number, from: Instant = turn.now): void {
  const c = openCallout(turn, n);
  if (!c || !isGrave(c.severity)) return;
  if (isBack(turn.hire, c) || drivesOn(c) || atHome(turn, c)) {
    // They are back, on the road again, or not on it yet: nobody has to hear from them of this any more.
    const { hearFromBy: _by, ringer: _ringer, ...back } = c;
    put(turn, back);
    return setDue(turn, `callout:${n}:hear`, null, { kind: "hear-from", callout: n }, 0);
  }
  const pause = nextLookMin(turn.facts.book.firm.limits.hearFromMin, c.silent ?? 0);
  const at = after(instantOf(Math.max(from, quietUntil(turn, c))), pause);
  put(turn, { ...c, hearFromBy: at });
  setDue(turn, `callout:${n}:hear`, at, { kind: "hear-from", callout: n }, 0);
}

/**
 * A sign of life of the hirer, from now or from the end of a call on, for all these matters. `who`: the name of
 * whoever was heard.
 */
export function heardFrom(
  turn: Turn,
  matters: readonly Callout[],
  who: string,
  from: Instant = turn.now,
): void {
  const waited = matters.filter((c) => c.hearFromBy !== undefined);
  for (const { ringer: _ringer, ...rest } of waited) {
    put(turn, { ...rest, silent: 0 });
    hearFrom(turn, rest.n, from);
  }
  const missed = waited.filter((c) => c.silent);
  const [worst] = worstFirst(missed);
  if (!worst) return;
  // Whoever was asked to ring, or to think of the police, hears that there is no need any more.
  const order = callOrder(turn.facts.book.firm, "danger", turn.now);
  const to = missed.flatMap((c) =>
    (c.silent ?? 0) > 1 ? [...(c.with ? [c.with] : []), ...order] : c.ringer ? [c.ringer] : [],
  );
  const text = `Heard from ${who} (${turn.hire.booking.van.registration}) again: ${titles(missed)}.`;
  const how = { callout: worst.n, severity: worst.severity, safety: true };
  for (const id of new Set(to)) tellContact(turn, id, { text }, how);
}

/** Whom to ask for a welfare check, by the region that the van is in. */
const police = (turn: Turn): string => line(turn, "welfare-check");

/** The due: nothing was heard by then. Other matters of the same person that are due as well are asked about at once. */
export function silent(turn: Turn, n: number): void {
  const of = openCallout(turn, n);
  if (!of || of.hearFromBy === undefined || turn.now < of.hearFromBy) {
    turn.because.push("ignored: heard from since");
    return;
  }
  // By who is spoken with: the booker hears of what somebody raised who is not on the hire any more.
  const spokenWith = (o: Callout) => speaksFor(turn.hire, o)?.id ?? o.person;
  const theirs = turn.hire.callouts.filter((o) => spokenWith(o) === spokenWith(of));
  const all = sameSilence(theirs, turn.now);
  const [c = of] = all;
  const count = Math.max(...all.map((one) => one.silent ?? 0)) + 1;
  const person = speaksFor(turn.hire, c);
  const rung = rungAbout(turn.hire, c);
  const who = `${rung?.name ?? "the hirer"} (${turn.hire.booking.van.registration})`;
  const phone = rung?.phone ? `: ${rung.phone}` : "";
  const how = { callout: c.n, severity: c.severity, safety: true, ring: true } as const;
  const b = staffButtons(turn.hire.id, c.n);
  const buttons = [b.phone, b.heard];
  const owners = all.flatMap((one) => one.with ?? []);
  const order = callOrder(turn.facts.book.firm, "danger", turn.now);
  const named = [...new Set([...owners, ...order])];
  let ringer: string | undefined;
  if (count === 1) {
    const text = `Nothing heard from ${who} by ${staffClock(turn, of.hearFromBy)}: ${titles(all)}. You ring them now${phone}.`;
    ringer = named.find((id) => tellContact(turn, id, { text, buttons }, how));
  } else {
    const place = lastPlace(turn.hire, turn.now, turn.facts.book.firm.zone) ?? "not known";
    const text = `STILL nothing heard from ${who}: ${titles(all)}. Last known place: ${place}. Ring once more${phone}. If they do not answer: ${police(turn)}`;
    for (const id of named) tellContact(turn, id, { text, buttons }, how);
    ringer = all.find((one) => one.ringer)?.ringer;
  }
  if (person && count <= 2) {
    const rings =
      ringer && count === 1 ? `\n${line(turn, "hear-rings", { name: nameOf(turn, ringer) })}` : "";
    tell(turn, person, { text: `${line(turn, "hear-question")}${rings}` }, how);
    const talk = talkOf(turn, person.id);
    overtake(talk, turn.now);
    talk.wellAsked = c.n;
  }
  turn.because.push(`silence ${count}: ${count === 1 ? (ringer ?? "nobody") : "all"} told`);
  for (const { ringer: _before, ...rest } of all) {
    put(turn, { ...rest, silent: count, ...(ringer ? { ringer } : {}) });
    hearFrom(turn, rest.n);
  }
}
