/** Whose matter a call-out is: who of a hire may hear of it. Pure. */
import type { Callout } from "./callout.js";

/** A threat is spoken of with whoever wrote of it, and with nobody else of the hire: they may be the threat. */
export const isSecret = ({ matter }: Pick<Callout, "matter">): boolean => matter === "threat";

/** What was told on the telephone; `key`: of the arrival that wrote it down. */
export const callMatter = (key: string): string => `call:${key}`;
export const isCall = ({ matter }: Pick<Callout, "matter">): boolean => matter.startsWith("call:");

/** A question, or what was told on the telephone. */
const isOwn = (c: Callout): boolean => c.kind === "person" || isCall(c);

/**
 * Whether it is a matter of this person: a threat is of whoever wrote of it, a question or a call of whoever
 * asked or rang, or has theirs joined to it, all else of everybody on the hire. `all`: the call-outs of the hire.
 */
export function isOf(all: readonly Callout[], c: Callout, person: string): boolean {
  if (c.person === person) return true;
  if (isSecret(c)) return false;
  const joined = all.filter((o) => o.joinedTo === c.n);
  return !isOwn(c) || joined.some((o) => isOf(all, o, person));
}

/** Whether this person ever told of a threat: where they are is nothing for the others of the hire. */
export const isThreatened = (all: readonly Callout[], person: string | undefined): boolean =>
  all.some((c) => isSecret(c) && c.person === person);
