/** What changed in a calendar since it was last read. Pure. */
import type { Instant } from "../../calendar.js";
import type { Entry } from "./file.js";

/** An entry as it was published: `sequence` counts its changes, `changedAt` is the last one. */
export type Published = Entry & { sequence: number; changedAt: Instant; cancelled: boolean };

const content = ({ due, title, text }: Entry): string => JSON.stringify([due, title, text]);

/**
 * The entries to publish now: unchanged ones as they were; changed and new ones dated `now`, their sequence
 * counted on (RFC 5545, 3.8.7.4); those that are no longer planned stay, cancelled.
 */
export function revise(
  known: readonly Published[],
  planned: readonly Entry[],
  now: Instant,
): Published[] {
  const before = new Map(known.map((k) => [k.uid, k]));
  const uids = new Set(planned.map((p) => p.uid));
  const current = planned.map(({ uid, due, title, text }) => {
    const was = before.get(uid);
    const entry = { uid, due, title, text };
    if (was && !was.cancelled && content(was) === content(entry)) return was;
    const sequence = was ? was.sequence + 1 : 0;
    return { ...entry, sequence, changedAt: now, cancelled: false };
  });
  const gone = known
    .filter((k) => !uids.has(k.uid))
    .map((k) =>
      k.cancelled ? k : { ...k, sequence: k.sequence + 1, changedAt: now, cancelled: true },
    );
  return [...current, ...gone].sort((a, b) => a.due - b.due || (a.uid < b.uid ? -1 : 1));
}
