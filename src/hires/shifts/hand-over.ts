/**
 * Handing over: nobody goes off duty with a matter until the next person has accepted it with its promise.
 * It is offered one matter at a time, and its owner keeps it meanwhile. Pure.
 */
import { after } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import { handOver, keep, standsPromised } from "../../callouts/steps.js";
import { whoIsOn } from "../../roster/on-duty.js";
import { addressesOf } from "../../roster/reach.js";
import { isGrave } from "../../severity.js";
import { isNight, morningAfter } from "../../triage/order.js";
import { isBack, rungAbout } from "../callouts/told.js";
import {
  nameOf,
  put,
  quote,
  setDue,
  staffClock,
  type Turn,
  tellContact,
  vanNamed,
  vanOf,
} from "../turn.js";

/** So many times only the next person is asked; then the fallback too, by turns. */
const onlyNext = 2;

/** Whom to offer it to, the likeliest first; those whom no channel reaches only when nobody else is left. */
function heirs(turn: Turn, callout: Callout, from: string, to: string | undefined): string[] {
  const { firm } = turn.facts.book;
  const named = to === undefined ? [] : [to];
  const all = [...named, ...whoIsOn(firm, turn.now).contacts, firm.roster.fallback];
  const others = [...new Set(all)].filter((id) => id !== from);
  const reached = others.filter((id) => addressesOf(firm, turn.facts.reach, id).length > 0);
  const list = reached.length > 0 ? reached : others;
  const times = callout.handing?.times ?? 0;
  const first = times < onlyNext || list.length === 0 ? 0 : times % list.length;
  return [...list.slice(first), ...list.slice(0, first)];
}

/** What was promised to the hirers, as the next person reads it. */
function promiseText(turn: Turn, callout: Callout): string {
  const { promisedAt } = callout;
  if (promisedAt === undefined) return "Nothing is promised.";
  const time = staffClock(turn, promisedAt);
  return standsPromised(callout) === undefined
    ? `A call was promised to them by ${time}, and did not come.`
    : `Promised to them: a call by ${time}. It goes with the matter.`;
}

/** What the next person reads before they accept: the matter, the promise that goes with it, what was said. */
function offerText(turn: Turn, callout: Callout, from: string): string {
  const { hire } = turn;
  const person = rungAbout(hire, callout);
  return [
    `HANDING OVER from ${nameOf(turn, from)}: ${callout.severity.toUpperCase()}: ${callout.title}`,
    `Van ${vanNamed(turn, callout)}, ${person?.name ?? "somebody"}${person?.phone ? `, ${person.phone}` : ""}`,
    promiseText(turn, callout),
    ...(callout.note ? [`Note: ${callout.note}`] : []),
    `Said: "${quote(callout.words ?? callout.title)}"`,
    `It stays with ${nameOf(turn, from)} until you take it.`,
  ].join("\n");
}

/** The due of a matter whose owner goes off duty, or has gone. */
export function handingOver(turn: Turn, n: number, from: string, to?: string): void {
  const callout = turn.hire.callouts.find((c) => c.n === n);
  const matter = { kind: "hand-over", callout: n, from, ...(to ? { to } : {}) } as const;
  const again = (at: Parameters<typeof setDue>[2]) =>
    setDue(turn, `callout:${n}:hand`, at, matter, 0);
  if (callout?.state !== "with" || callout.with !== from) {
    turn.because.push(`ignored: call-out ${n} is not with ${from} any more`);
    return;
  }
  const { firm } = turn.facts.book;
  const how = { callout: n, severity: callout.severity, safety: true } as const;
  if (to === undefined && whoIsOn(firm, turn.now).contacts.includes(from)) {
    put(turn, keep(callout));
    again(null);
    if (callout.offeredTo)
      tellContact(
        turn,
        callout.offeredTo,
        { text: `${nameOf(turn, from)} keeps "${callout.title}".` },
        how,
      );
    turn.because.push(`${from} is on duty and keeps call-out ${n}`);
    return;
  }
  const canSleep = isBack(turn.hire, callout) || (callout.severity === "note" && !callout.urgent);
  if (callout.handing && canSleep && isNight(firm, turn.now)) {
    again(morningAfter(firm, turn.now));
    turn.because.push(`handing over call-out ${n} waits for the morning`);
    return;
  }
  const [heir] = heirs(turn, callout, from, to);
  const nextAt = callout.handing && after(callout.handing.at, firm.shifts.handOverMin);
  if (nextAt !== undefined && turn.now < nextAt && heir === callout.offeredTo) {
    again(nextAt);
    turn.because.push(`call-out ${n} is offered to ${heir ?? "nobody"} already`);
    return;
  }
  again(after(turn.now, firm.shifts.handOverMin));
  if (heir === undefined) {
    tellContact(
      turn,
      from,
      { text: `Nobody else could take "${callout.title}". It stays with you.` },
      how,
    );
    turn.because.push(`nobody could take call-out ${n} from ${from}`);
    return;
  }
  const next = handOver(callout, heir, turn.now);
  put(turn, next);
  const promised = standsPromised(callout);
  const ringBy = promised === undefined ? undefined : staffClock(turn, promised);
  const label = ringBy === undefined ? "I take it" : `I take it, and ring by ${ringBy}`;
  const told = tellContact(
    turn,
    heir,
    {
      text: offerText(turn, callout, from),
      buttons: [{ tap: `take:${turn.hire.id}:${n}`, label }],
    },
    { ...how, ring: isGrave(callout.severity) },
  );
  const name = nameOf(turn, heir);
  const text = [
    `You still have "${callout.title}" (${vanOf(turn, callout).registration}).`,
    told
      ? `I have offered it to ${name}${callout.handing ? " again" : ""}.`
      : `No channel reaches ${name} now.`,
    `It stays with you until it is taken${ringBy === undefined ? "." : `, and so does the promise to ring by ${ringBy}.`}`,
  ].join(" ");
  tellContact(turn, from, { text }, how);
  turn.because.push(
    `call-out ${n} offered by ${from} to ${heir}${told ? "" : ", whom no channel reaches"}`,
  );
}
