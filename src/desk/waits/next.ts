/** What happens next to a call-out by itself, and when: from its pending dues. Pure. */
import type { Instant } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";

/** A pending due: its key in the lane, "callout:<n>:<what>". */
export type Pending = { key: string; at: Instant };
export type Next = { what: string; at: Instant };

/** The steps to come of one call-out, the next one first. `name`: a contact's name. */
export function nextSteps(
  c: Callout,
  pending: readonly Pending[],
  now: Instant,
  name: (id: string | undefined) => string,
): Next[] {
  const owner = name(c.with);
  const words: Record<string, string> = {
    next:
      c.waitsUntil !== undefined
        ? "put to the duty person"
        : c.severity === "danger"
          ? "everybody is alerted again"
          : c.alerted.length === 0
            ? "the first contact is alerted"
            : "the next contact is alerted",
    promise:
      c.promisedAt === undefined
        ? `${owner} gives a sign, or the others are asked`
        : c.promisedAt > now
          ? `${owner} rings them`
          : "the others are asked",
    hear:
      (c.silent ?? 0) > 0
        ? "everybody is told that they are silent"
        : "their next sign of life is due",
    phone: `${name(c.phone?.by)} is asked how the call ended`,
    roadside: "roadside assistance is chased",
    offer: `${name(c.offeredTo)} takes it, or it stays with ${owner}`,
    hand: "it is offered again",
    task: "the ring of today is looked at again",
  };
  return pending
    .flatMap(({ key, at }) => {
      const [, n, kind = ""] = key.split(":");
      const what = words[kind];
      const due = kind === "promise" && c.promisedAt !== undefined && c.promisedAt > now;
      return n === `${c.n}` && key.startsWith("callout:") && what
        ? [{ what, at: due ? (c.promisedAt ?? at) : at }]
        : [];
    })
    .sort((a, b) => a.at - b.at);
}
