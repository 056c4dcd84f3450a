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
  /** How many are free at this instant. A clock that is set back gives nothing and takes nothing. */
  free(now: Instant): number {
    const passedMs = Math.max(0, now - (this.#at ?? now));
    this.#free = Math.min(this.#perSecond, this.#free + (passedMs / 1000) * this.#perSecond);
    this.#at = now;
    return Math.floor(this.#free);
  }
  use(n: number): void {
    this.#free -= n;
  }
}
