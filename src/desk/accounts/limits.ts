/** How long a try to sign in must wait. Nobody outside can lock out somebody who signs in from where they did before. Pure. */
import { type Instant, minuteMs } from "../../calendar.js";

/** Wrong passwords as far back as they count. */
export type Failures = {
  /** For this account from this address, since its last success there. */
  pair: readonly Instant[];
  /** From this address, for any account; for this account, from any address. */
  address: readonly Instant[];
  account: readonly Instant[];
  /** This account has signed in from this address in the last 90 days. */
  known: boolean;
};

/** Free tries; after that the pause doubles from the first to the longest. All of it common practice, no source. */
const free = 5;
const firstPauseMs = 30_000;
const longestPauseMs = 15 * minuteMs;
const ofAddress = { most: 20, withinMs: 15 * minuteMs };
const ofAccount = { most: 50, withinMs: 60 * minuteMs };

function over(times: readonly Instant[], now: Instant, of: { most: number; withinMs: number }) {
  const late = times.filter((t) => now - t < of.withinMs).sort((a, b) => b - a);
  const oldest = late[of.most - 1];
  return oldest === undefined ? 0 : oldest + of.withinMs - now;
}

/** Milliseconds to wait before the next try; 0: now. */
export function waitBefore({ pair, address, account, known }: Failures, now: Instant): number {
  const pause =
    pair.length < free
      ? 0
      : Math.min(longestPauseMs, firstPauseMs * 2 ** (pair.length - free)) -
        (now - Math.max(...pair));
  const others = known ? 0 : Math.max(over(address, now, ofAddress), over(account, now, ofAccount));
  return Math.max(0, pause, others);
}
