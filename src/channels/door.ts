/** The port that every channel implements for sending; receiving files arrivals through `File`. */
import type { Arrival, LaneId, Send } from "../post.js";

/** Stores an arrival durably, once per key. @throws STORE_WRONG when it could not be stored (answer 503) */
export type File = (arrival: Arrival) => Promise<"new" | "known">;

/**
 * What became of one try to send. `unsure`: the wire cannot tell whether it arrived. `went`: the outside's ids of
 * the parts that went through, parted by blanks; the next try begins after them.
 */
export type Outcome =
  | { kind: "sent"; outsideId?: string }
  /** Try again not before so many ms. */
  | { kind: "later"; afterMs: number; why: string; went?: string }
  | { kind: "unsure"; why: string; went?: string }
  /** Never: blocked, gone, malformed. */
  | { kind: "refused"; why: string };

export type Door = {
  channel: Send["to"]["channel"];
  /** More than so many ordinary messages a second are not sent here; safety never waits for it. */
  perSecond?: number;
  /** One try. Never throws; carries no secret in `why`. `key` lets a receiver that can drop repeats. `went`: of earlier tries. */
  send(send: Send, key: string, lane: LaneId, went?: string): Promise<Outcome>;
};
