/** Takes turns: the oldest waiting arrival of a lane → its state → `step` → one commit. */
import type { Instant } from "../calendar.js";
import type { Facts, Hire, LaneState, Step } from "../hires/hire.js";
import { faultFields, type Log } from "../log.js";
import type { Arrival, LaneId } from "../post.js";
import { nextWaiting, type Waiting } from "../store/arrivals.js";
import { takeLane } from "../store/commit.js";
import type { Db } from "../store/tables.js";
import type { Turned } from "../store/trip-log.js";

/** The only clock. */
export type Clock = { now(): Instant };
export type StepFunction = (state: LaneState | undefined, arrival: Arrival, facts: Facts) => Step;
/** Called at named points; a test throws there to end the house as a kill would. */
export type Crash = (point: string) => void;
/** Is told what was done, once it is durable, and counts it; it never throws. */
export type Watcher = {
  turned(turned: Turned): void;
  /** What became of one try of a send. */
  tried(channel: string, outcome: "sent" | "put-off" | "not-delivered"): void;
};

export type TurnParts = {
  db: Db;
  clock: Clock;
  step: StepFunction;
  /** In place of a step that threw. */
  broken: StepFunction;
  /** What the step may know of the world and of this van at this instant, read within the turn's transaction. */
  /** `leaving`: the hire of which something is to go. */
  facts(
    now: Instant,
    tx: Db,
    lane: LaneId,
    of: { registration?: string | undefined; leaving?: Hire | undefined },
  ): Promise<Facts>;
  log: Log;
  atOnce: ReadonlySet<string>;
  nameOf(contact: string): string;
  /** A lane has new events, up to this number. */
  nudge(lane: LaneId, lastEvent: number): void;
  /** The same for the other processes, told when the transaction commits. */
  announce(tx: Db, lane: LaneId, lastEvent: number): Promise<void>;
  crash: Crash;
  watcher?: Watcher | undefined;
};

/** The registration of the van that the turn is about: the one that the hire has after it. */
function vanOf(state: LaneState | undefined, { body }: Arrival): string | undefined {
  if (body.kind === "booked") return body.booking.van.registration;
  const given = body.kind === "changed" ? body.change.van : undefined;
  return state?.kind === "hire" ? (given ?? state.hire.booking.van).registration : undefined;
}

/** The step; where it threw, what is said then, and the arrival is marked for a person to look at. */
function tryStep(
  parts: TurnParts,
  state: LaneState | undefined,
  arrival: Arrival,
  facts: Facts,
): { step: Step; failed: boolean } {
  const say = (message: string, error: unknown) =>
    parts.log.error(message, {
      lane: arrival.lane,
      arrival: arrival.key,
      kind: arrival.body.kind,
      ...faultFields(error),
    });
  try {
    return { step: parts.step(state, arrival, facts), failed: false };
  } catch (error) {
    say("step failed", error);
  }
  try {
    return { step: parts.broken(state, arrival, facts), failed: true };
  } catch (error) {
    say("nothing could be said of a step that failed", error);
  }
  const because = ["failed: the step threw"];
  return { step: { state, sends: [], dues: [], because }, failed: true };
}

/**
 * One turn. False when it is not ours: another process has the lane.
 * @throws what the store throws; the arrival then waits on
 */
export async function turn(parts: TurnParts, waiting: Waiting): Promise<boolean> {
  const { db, clock, log, crash, atOnce, nameOf, announce } = parts;
  const { arrival } = waiting;
  const fields = { lane: arrival.lane, arrival: arrival.key };
  const startedAt = clock.now();
  let turned: Turned | undefined;
  const done = await takeLane(db, waiting, {
    async think(before, tx) {
      const now = clock.now();
      const { state } = before;
      const leaving =
        state?.kind === "hire" && arrival.body.kind === "forget" ? state.hire : undefined;
      const registration = vanOf(state, arrival);
      const facts = await parts.facts(now, tx, arrival.lane, { registration, leaving });
      const { step, failed } = tryStep(parts, before.state, arrival, facts);
      crash("turn: stepped");
      turned = { waiting, before, step, failed, now, atOnce, nameOf };
      return turned;
    },
    announce,
    crash,
  });
  crash("turn: committed");
  switch (done.kind) {
    case "done":
      if (turned) parts.watcher?.turned(turned);
      log.info("turn taken", {
        ...fields,
        kind: arrival.body.kind,
        because: turned?.step.because ?? [],
        tookMs: clock.now() - startedAt,
      });
      if (done.events > 0) parts.nudge(arrival.lane, done.lastEvent);
      return true;
    case "conflict":
      log.warn("turn taken again", fields);
      return true;
    case "known":
    case "elsewhere":
      return done.kind === "known";
    default:
      return done satisfies never;
  }
}

/** Takes the next turn of any lane but those named; false when nothing waits for this process. */
export async function takeTurn(parts: TurnParts, notOf: readonly LaneId[] = []): Promise<boolean> {
  const skipped = [...notOf];
  for (;;) {
    const waiting = await nextWaiting(parts.db, skipped);
    if (!waiting) return false;
    if (await turn(parts, waiting)) return true;
    skipped.push(waiting.arrival.lane);
  }
}
