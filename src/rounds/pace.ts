/** At most so many a second: what a channel takes, and how fast the past is caught up with. */
import type { Instant } from "../calendar.js";

/** Up to one second's worth at once; more than is free may be used and is then waited for. */
export class Pace {
  readonly #perSecond: number;
  #free: number;
  #at: Instant | undefined;
  constructor(perSecond: number) {
    this.#perSecond = perSecond;
    this.#free = perSecond;
  }
  /**
   * How many are free at this instant, where so many processes share what the channel takes. A clock that is set
   * back gives nothing and takes nothing.
   */
  free(now: Instant, sharers = 1): number {
    const passedMs = Math.max(0, now - (this.#at ?? now));
    const perSecond = this.#perSecond / sharers;
    // Where a share is less than one a second, one is saved up all the same.
    this.#free = Math.min(Math.max(1, perSecond), this.#free + (passedMs / 1000) * perSecond);
    this.#at = now;
    return Math.floor(this.#free);
  }
  use(n: number): void {
    this.#free -= n;
  }
}
