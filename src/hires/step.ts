/**
 * The one way in: everything that happens to a lane is an arrival, handled one at a time by one pure
 * function. It returns the new state, what to send, which dues to set or drop, what to log, and why.
 */
import type { Instant } from "../calendar.js";
import type { Book } from "../knowledge/book.js";
import type { Matcher } from "../matching/matcher.js";
import type { Arrival, Due, Reason, Send } from "../post.js";
import type { Hire, StaffReach } from "./hire.js";

/** A chat that belongs to no hire yet. */
export type Stranger = { lane: string; greeted: boolean; toldAt?: Instant };
/** What a lane holds: a hire, or somebody without one. */
export type LaneState = { kind: "hire"; hire: Hire } | { kind: "stranger"; stranger: Stranger };

/** All that `step` may know of the world; read by the caller before the step. */
export type Facts = {
  now: Instant;
  book: Book;
  matcher: Matcher;
  reach: StaffReach;
};

export type Step = { state: LaneState | undefined; sends: Send[]; dues: Due[]; because: Reason[] };

/**
 * One arrival, one step. Pure; never throws on strange input: it then returns the same state with
 * `because: ["ignored: …"]`. `state` undefined: the lane is new.
 */
export function step(state: LaneState | undefined, arrival: Arrival, facts: Facts): Step {
  void facts;
  return { state, sends: [], dues: [], because: [`ignored: ${arrival.body.kind}`] };
}
