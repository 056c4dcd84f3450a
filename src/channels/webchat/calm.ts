/** How much one person may send a minute: more than any person does, and less than what fills a disk. Danger always passes. */
import { type Instant, minuteMs } from "../../calendar.js";

export const mostPerMinute = { words: 60, photos: 20 } as const;
/** So many people at once are none of one firm's: the oldest counts go. */
const mostKept = 10_000;

/** Counts by person and kind, within whole minutes. */
export function openCalm(now: () => Instant) {
  const counts = new Map<string, { minute: number; n: number }>();
  /** Counts one more; whether it is too much. */
  return (person: string, kind: keyof typeof mostPerMinute): boolean => {
    const key = `${kind} ${person}`;
    const minute = Math.floor(now() / minuteMs);
    const known = counts.get(key);
    const n = known?.minute === minute ? known.n + 1 : 1;
    counts.delete(key);
    counts.set(key, { minute, n });
    const [oldest] = counts.keys();
    if (counts.size > mostKept && oldest !== undefined) counts.delete(oldest);
    return n > mostPerMinute[kind];
  };
}
