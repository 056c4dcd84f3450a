/** The lanes whose turn the store refused: each waits a little, longer each time, so that the others go on. */
import type { LaneId } from "../post.js";

const firstMs = 1_000;
const longestMs = 60_000;
/** So long after its pause the next failure of a lane is another trouble; it may have been taken by another process. */
const forgottenMs = 60_000;

/** Counted in time of this process, in ms: a clock that is set back makes no wait longer. */
export class PausedLanes {
  readonly #lanes = new Map<LaneId, { until: number; times: number }>();
  readonly #now: () => number;

  constructor(now: () => number = () => performance.now()) {
    this.#now = now;
  }

  /** The lane waits from now on: a second, then twice as long each time, up to a minute. */
  add(lane: LaneId): void {
    const times = (this.#lanes.get(lane)?.times ?? 0) + 1;
    const until = this.#now() + Math.min(longestMs, firstMs * 2 ** (times - 1));
    this.#lanes.set(lane, { until, times });
  }

  clear(lane: LaneId): void {
    this.#lanes.delete(lane);
  }

  /** Those that wait now. */
  lanes(): LaneId[] {
    const now = this.#now();
    for (const [lane, { until }] of this.#lanes)
      if (until < now - forgottenMs) this.#lanes.delete(lane);
    return [...this.#lanes].filter(([, { until }]) => until > now).map(([lane]) => lane);
  }
}
