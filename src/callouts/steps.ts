/**
 * The call-out's steps: nobody-yet → with NAME → done. Pure; each takes a call-out and gives the next
 * one with what follows. Invariant: an open call-out is with a named person or has a pending due.
 */
import { after, type Instant, instantOf } from "../calendar.js";
import type { FirmFile } from "../knowledge/schema.js";
import type { Need } from "../post.js";
import { gravity, type Severity, severities, worse } from "../severity.js";
import type { Callout, CalloutKind } from "./callout.js";

/** Whether it is a task of staff's own ("ring today"): the hirer hears nothing of its steps. */
export const isTask = ({ kind, severity }: { kind: string; severity: string }): boolean =>
  kind === "reading" && severity === "note";

/** Minutes in which a person must answer, by severity; `urgent` counts as the next worse one. */
export function limitMin(firm: FirmFile, severity: Severity, urgent = false): number {
  const l = firm.limits;
  const of = { danger: l.dangerRepeatMin, stop: l.stopMin, soon: l.soonMin, note: l.personMin };
  const next = severities[gravity(severity) - 1] ?? severity;
  return urgent ? Math.min(of[severity], of[next]) : of[severity];
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

/** The longest pause in minutes: a question is asked again after up to four hours, everything else at least hourly. */
export const longestPauseMin = (severity: Severity): number => (severity === "note" ? 240 : 60);

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
  const limit = limitMin(firm, callout.severity, callout.urgent);
  if (callout.severity === "danger") {
    return {
      callout: {
        ...callout,
        rungAt: now,
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
  const most = longestPauseMin(callout.severity);
  const longest = callout.severity === "note" ? most : Math.max(limit, most);
  const pause = Math.min(limit * 2 ** round, longest);
  return {
    callout: {
      ...callout,
      alerted,
      round,
      rungAt: now,
      generation: callout.generation + 1,
    },
    ring: next ? [next] : [],
    againAt: after(now, pause),
  };
}

/**
 * What waits for the morning waits no longer: whoever heard at night that there is nothing to do counts as not
 * alerted, so its order starts anew. Anything else is as it was.
 */
export function awake(callout: Callout, firm: FirmFile, now: Instant): Callout {
  const { waitsUntil, ...rest } = callout;
  if (waitsUntil === undefined) return callout;
  const answerBy = after(now, limitMin(firm, callout.severity, callout.urgent));
  return { ...rest, alerted: [], round: 0, answerBy };
}

/** The promised call that still stands; undefined where none was promised, or where it did not come in time. */
export const standsPromised = ({ promisedAt, promiseBroken }: Callout): Instant | undefined =>
  promiseBroken === undefined ? promisedAt : undefined;

type Taken = "taken" | "already-yours" | "ask-owner" | "closed";

/**
 * `by` takes it. What is with somebody else is not taken away: its owner is asked first. What its
 * owner offers or hands over is taken with its promise, unless that was missed already. An agreed morning stays.
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
  const {
    offeredTo,
    promisedAt: _promised,
    promiseBroken: _broken,
    handing,
    offers: _offers,
    signBy: _sign,
    ...rest
  } = callout;
  const offered = offeredTo === by || handing !== undefined;
  const promisedAt = offered ? standsPromised(callout) : undefined;
  return {
    callout: {
      ...rest,
      ...(promisedAt === undefined ? {} : { promisedAt }),
      state: "with",
      with: by,
      generation: callout.generation + 1,
    },
    became: "taken",
  };
}

/** `by` offers to take it from its owner, who decides. */
export function offer(callout: Callout, by: string): Callout {
  return { ...callout, offers: [...new Set([...(callout.offers ?? []), by])] };
}

/** The owner keeps it: the offers of others are declined. */
export function decline(callout: Callout): Callout {
  const { offers: _declined, ...rest } = callout;
  return rest;
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
  const { promiseBroken: _broken, signBy: _sign, ...rest } = callout;
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
    signBy: _s,
    hearFromBy: _h,
    offeredTo: _o,
    offers: _offers,
    promiseBroken: _b,
    handing: _g,
    phone: _phone,
    waitsUntil: _w,
    left: _left,
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

/** Somebody is in need, or the place is unsafe: the answer is due sooner; nothing makes it later again. */
export function press(
  callout: Callout,
  needs: readonly Need[],
  firm: FirmFile,
  now: Instant,
): Callout {
  const { waitsUntil: _waits, ...rest } = callout;
  const by = after(now, limitMin(firm, callout.severity, true));
  return {
    ...rest,
    urgent: true,
    needs: [...new Set([...(callout.needs ?? []), ...needs])],
    answerBy: instantOf(Math.min(by, callout.answerBy)),
  };
}

/** What a hirer's words tell beside the matter: who is in need, whether it is safe to wait there. */
export type Told = { needs: Need[]; safe?: boolean };

/** Notes on the call-out what was told; needs press it. */
export function tells(callout: Callout, told: Told, firm: FirmFile, now: Instant): Callout {
  const noted = told.safe === undefined ? callout : { ...callout, placeSafe: told.safe };
  return told.needs.length > 0 ? press(noted, told.needs, firm, now) : noted;
}

/** The people of the hire whose words stand in `words`. */
const saidBy = (c: Callout): readonly string[] => c.saidBy ?? [c.person];

/** Adds what these people said of it; the latest is kept. */
export const adds = (c: Callout, by: readonly string[], words: string): Callout => ({
  ...c,
  words: [...new Set([c.words ?? c.title, words])].join(" / ").slice(-900),
  saidBy: [...new Set([...saidBy(c), ...by])],
});

/**
 * What goes on of whoever has `from` when it is joined to `to`: they have `to` as well where nobody has it, and of
 * two promised calls the earlier stands. Of a promise that was missed, and of a task of staff's own, nothing does.
 */
function inherits(to: Callout, from: Callout): Callout {
  if (from.with === undefined || from.promiseBroken !== undefined || isTask(from)) return to;
  const isTaken = to.state === "nobody-yet";
  const own = isTaken ? take(to, from.with).callout : to;
  const stays = isTaken && from.handing ? { ...own, handing: from.handing } : own;
  const stands = standsPromised(stays);
  const at = from.promisedAt;
  return at === undefined || (stands !== undefined && stands <= at)
    ? stays
    : promise(stays, from.with, at);
}

/** `from` ends as joined to `to`: what was said, who is in need, the worse severity and who has it go on there. */
export function join(
  from: Callout,
  to: Callout,
  firm: FirmFile,
  now: Instant,
): { from: Callout; to: Callout } {
  const risen = raise(to, from.severity, firm, now);
  const pressed = from.urgent ? press(risen, from.needs ?? [], firm, now) : risen;
  return {
    from: { ...end(from, "joined", now), joinedTo: to.n },
    to: {
      ...adds(inherits(pressed, from), saidBy(from), from.words ?? from.title),
      joined: [...(to.joined ?? []), from.n],
      ...(to.roadside || !from.roadside ? {} : { roadside: from.roadside }),
    },
  };
}

/** The hire has another van now: a light, a fault or a reading stays that of this one; who is in danger or asks is in the other. */
export function givenUp(callout: Callout, van: NonNullable<Callout["van"]>): Callout {
  const isOfVan = callout.kind !== "danger" && callout.kind !== "person";
  return isOfVan && callout.state !== "done" ? { ...callout, van: callout.van ?? van } : callout;
}

/** Raises severity, never lowers it; the answer is then due sooner, and waits for no morning. */
export function raise(callout: Callout, severity: Severity, firm: FirmFile, now: Instant): Callout {
  if (!worse(severity, callout.severity)) return callout;
  const { waitsUntil: _waits, ...rest } = callout;
  const answerBy = after(now, limitMin(firm, severity, callout.urgent));
  return {
    ...rest,
    severity,
    answerBy: instantOf(Math.min(answerBy, callout.answerBy)),
  };
}
