/**
 * The call-out's steps: nobody-yet → with NAME → done. Pure; each takes a call-out and gives the next
 * one with what follows. Invariant: an open call-out is with a named person or has a pending due.
 */
import { after, type Instant, instantOf } from "../calendar.js";
import type { FirmFile, Severity } from "../knowledge/schema.js";
import type { Callout, CalloutKind } from "./callout.js";

const rank: Record<Severity, number> = { note: 0, soon: 1, stop: 2, danger: 3 };
/** Whether `a` is worse than `b`. */
export const worse = (a: Severity, b: Severity): boolean => rank[a] > rank[b];

/** Whether it is a task of staff's own ("ring today"): the hirer hears nothing of its steps. */
export const isTask = ({ kind, severity }: { kind: string; severity: string }): boolean =>
  kind === "reading" && severity === "note";

/** Minutes in which a person must answer, by severity. */
export function limitMin(firm: FirmFile, severity: Severity): number {
  const l = firm.limits;
  return { danger: l.dangerRepeatMin, stop: l.stopMin, soon: l.soonMin, note: l.personMin }[
    severity
  ];
}

/** A new call-out that nobody has yet. */
export function open(
  n: number,
  what: { kind: CalloutKind; matter: string; title: string; severity: Severity; person: string },
  firm: FirmFile,
  now: Instant,
): Callout {
  return {
    n,
    ...what,
    state: "nobody-yet",
    openedAt: now,
    answerBy: after(now, limitMin(firm, what.severity)),
    alerted: [],
    round: 0,
    generation: 0,
  };
}

/**
 * Whom to alert now, and when to try again. Danger: everyone at once, again every two minutes.
 * Otherwise the next in the order; after the last the order starts again with growing pauses.
 */
export function ringNext(
  callout: Callout,
  order: readonly string[],
  firm: FirmFile,
  now: Instant,
): { callout: Callout; ring: string[]; againAt: Instant } {
  const limit = limitMin(firm, callout.severity);
  if (callout.severity === "danger") {
    return {
      callout: {
        ...callout,
        alerted: [...new Set([...callout.alerted, ...order])],
        generation: callout.generation + 1,
        round: callout.round + 1,
      },
      ring: [...order],
      againAt: after(now, limit),
    };
  }
  const rest = order.filter((id) => !callout.alerted.includes(id));
  const [next] = rest.length > 0 ? rest : order;
  const round = rest.length > 0 ? callout.round : callout.round + 1;
  const alerted =
    rest.length > 0 ? [...callout.alerted, ...(next ? [next] : [])] : next ? [next] : [];
  // A question is asked again after up to four hours, everything else at least hourly.
  const longest = callout.severity === "note" ? 240 : Math.max(limit, 60);
  const pause = Math.min(limit * 2 ** round, longest);
  return {
    callout: { ...callout, alerted, round, generation: callout.generation + 1 },
    ring: next ? [next] : [],
    againAt: after(now, pause),
  };
}

export type Taken = "taken" | "already-yours" | "ask-owner" | "closed";

/**
 * `by` takes it. What is with somebody else is not taken away: its owner is asked first. What its
 * owner offers or hands over is taken with its promise, unless that was missed already.
 */
export function take(callout: Callout, by: string): { callout: Callout; became: Taken } {
  if (callout.state === "done") return { callout, became: "closed" };
  if (callout.state === "with" && callout.with === by) return { callout, became: "already-yours" };
  const free =
    callout.state === "nobody-yet" ||
    callout.offeredTo === by ||
    callout.handing !== undefined ||
    callout.promiseBroken !== undefined;
  if (!free) return { callout, became: "ask-owner" };
  const { offeredTo, promisedAt, promiseBroken, handing, waitsUntil: _waits, ...rest } = callout;
  const offered = offeredTo === by || handing !== undefined;
  const keeps = offered && promisedAt !== undefined && promiseBroken === undefined;
  return {
    callout: {
      ...rest,
      ...(keeps ? { promisedAt } : {}),
      state: "with",
      with: by,
      generation: callout.generation + 1,
    },
    became: "taken",
  };
}

/** The owner offers it to another; it stays with the owner until the other takes it. */
export function pass(callout: Callout, to: string): Callout {
  return callout.state === "done" ? callout : { ...callout, offeredTo: to };
}

/** Its owner goes off duty: it is offered to the next person, once more each time, and stays with its owner. */
export function handOver(callout: Callout, to: string, now: Instant): Callout {
  const { since, times } = callout.handing ?? { since: now, times: 0 };
  return { ...callout, offeredTo: to, handing: { since, times: times + 1, at: now } };
}

/** Its owner keeps it after all. */
export function keep(callout: Callout): Callout {
  const { handing: _handing, offeredTo: _offered, ...rest } = callout;
  return rest;
}

/** A promise to the hirer: a call by that instant. It makes the matter the promiser's if nobody had it. */
export function promise(callout: Callout, by: string, at: Instant): Callout {
  if (callout.state === "done") return callout;
  const { promiseBroken: _broken, ...rest } = callout;
  return {
    ...rest,
    state: "with",
    with: callout.with ?? by,
    promisedAt: at,
    generation: callout.generation + 1,
  };
}

/** Only staff end it. */
export function end(callout: Callout, outcome: string, now: Instant, note?: string): Callout {
  const {
    promisedAt: _p,
    hearFromBy: _h,
    offeredTo: _o,
    promiseBroken: _b,
    handing: _g,
    waitsUntil: _w,
    ...rest
  } = callout;
  return {
    ...rest,
    state: "done",
    outcome,
    doneAt: now,
    generation: callout.generation + 1,
    ...(note ? { note } : {}),
  };
}

/** Raises severity, never lowers it; the answer is then due sooner. */
export function raise(callout: Callout, severity: Severity, firm: FirmFile, now: Instant): Callout {
  if (!worse(severity, callout.severity)) return callout;
  const answerBy = after(now, limitMin(firm, severity));
  return {
    ...callout,
    severity,
    answerBy: instantOf(Math.min(answerBy, callout.answerBy)),
  };
}
