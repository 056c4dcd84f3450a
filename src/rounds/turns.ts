/** Takes turns: the oldest waiting arrival of a lane → its state → `step` → one commit. */
import type { Instant } from "../calendar.js";
import type { Facts, LaneState, Step } from "../hires/hire.js";
import { faultFields, type Log } from "../log.js";
import type { Arrival, LaneId } from "../post.js";
import { closeArrival, nextWaiting, type Waiting } from "../store/arrivals.js";
import { commit } from "../store/commit.js";
import { loadLane } from "../store/hires.js";
import type { Db } from "../store/tables.js";

/** The only clock. */
export type Clock = { now(): Instant };
export type StepFunction = (state: LaneState | undefined, arrival: Arrival, facts: Facts) => Step;
/** Called at named points; a test throws there to end the house as a kill would. */
export type Crash = (point: string) => void;

export type TurnParts = {
  db: Db;
  clock: Clock;
  step: StepFunction;
  /** What the step may know of the world at this instant. */
  facts(now: Instant): Promise<Facts>;
  log: Log;
  atOnce: ReadonlySet<string>;
  nameOf(contact: string): string;
  /** A lane has new events, up to this number. */
  nudge(lane: LaneId, lastEvent: number): void;
  crash: Crash;
};

/** The step, or undefined where it threw: then the arrival is put aside for a person to look at. */
function tryStep(
  parts: TurnParts,
  state: LaneState | undefined,
  arrival: Arrival,
  facts: Facts,
): Step | undefined {
  try {
    return parts.step(state, arrival, facts);
  } catch (error) {
    parts.log.error("step failed", {
      lane: arrival.lane,
      arrival: arrival.key,
      kind: arrival.body.kind,
      ...faultFields(error),
    });
    return undefined;
  }
}

/**
 * One turn. Another process may change the lane meanwhile: the whole turn is then taken again on what it left.
 * @throws what the store throws; the arrival then waits on
 */
export async function turn(parts: TurnParts, waiting: Waiting): Promise<void> {
  const { db, clock, log, crash } = parts;
  const { arrival } = waiting;
  for (;;) {
    const startedAt = clock.now();
    const before = await loadLane(db, arrival.lane);
    const step = tryStep(parts, before.state, arrival, await parts.facts(startedAt));
    if (!step) {
      await closeArrival(db, arrival.key, {
        state: "failed",
        at: startedAt,
        because: ["failed: the step threw"],
      });
      parts.nudge(arrival.lane, 0);
      return;
    }
    crash("turn: stepped");
    const { atOnce, nameOf } = parts;
    const done = await commit(db, { waiting, before, step, now: startedAt, atOnce, nameOf }, crash);
    crash("turn: committed");
    if (done.kind === "conflict") {
      log.info("turn taken again", { lane: arrival.lane, arrival: arrival.key });
      continue;
    }
    if (done.kind === "known") return;
    log.info("turn taken", {
      lane: arrival.lane,
      arrival: arrival.key,
      kind: arrival.body.kind,
      because: step.because,
      tookMs: clock.now() - startedAt,
    });
    if (done.events > 0) parts.nudge(arrival.lane, done.lastEvent);
    return;
  }
}

/** Takes the next turn of any lane but those named; false when nothing waits. */
export async function takeTurn(parts: TurnParts, notOf: readonly LaneId[] = []): Promise<boolean> {
  const waiting = await nextWaiting(parts.db, notOf);
  if (!waiting) return false;
  await turn(parts, waiting);
  return true;
}
