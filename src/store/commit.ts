/** The one transaction of a turn: state, sends, dues, trip log, the desk's lists, and "arrival done". */
import type { LaneId } from "../post.js";
import { closeArrival, fileArrival, type Waiting } from "./arrivals.js";
import { claiming } from "./dialect.js";
import { setDue } from "./dues.js";
import { addEvents } from "./events.js";
import { type Loaded, loaded } from "./hires.js";
import { forgetRows } from "./keeping/forget.js";
import { project } from "./project.js";
import { addSends } from "./sends.js";
import type { Db } from "./tables.js";
import { type Turned, tripLog } from "./trip-log.js";

/**
 * `done`: all of it is durable; `lastEvent` is the number of the lane's last event, `events` how many are
 * new. `known`: somebody else did this arrival already. `conflict`: the lane moved on; take the turn again.
 */
type Committed =
  | { kind: "done"; lastEvent: number; events: number }
  | { kind: "known" }
  | { kind: "conflict" };

/** Thrown to undo a transaction on a lane that has moved on; never leaves this file. */
class Moved extends Error {}

async function saveLane(tx: Db, turned: Turned): Promise<boolean> {
  const { lane } = turned.waiting.arrival;
  const { before, step } = turned;
  const state = step.state === undefined ? undefined : JSON.stringify(step.state);
  const result = await tx
    .updateTable("lanes")
    .set({ version: before.version + 1, ...(state === undefined ? {} : { state }) })
    .where("lane", "=", lane)
    .where("version", "=", before.version)
    .executeTakeFirst();
  return (
    Number(result.numUpdatedRows) > 0 || (before.version === 0 && (await newLane(tx, lane, state)))
  );
}

/** Adds a lane's row. False when it has one. */
async function newLane(tx: Db, lane: string, state?: string): Promise<boolean> {
  const version = state === undefined ? 0 : 1;
  const result = await tx
    .insertInto("lanes")
    .values({ lane, version, state: state ?? "null" })
    .onConflict((c) => c.column("lane").doNothing())
    .executeTakeFirst();
  return Number(result.numInsertedOrUpdatedRows ?? 0) > 0;
}

async function write(tx: Db, turned: Turned, crash: (point: string) => void): Promise<Committed> {
  const { waiting, before, step, now } = turned;
  const { arrival } = waiting;
  const state = turned.failed ? "failed" : "done";
  if (!(await closeArrival(tx, arrival.key, { state, at: now, because: step.because })))
    return { kind: "known" };
  if (!(await saveLane(tx, turned))) throw new Moved();
  crash("commit: state saved");
  await addSends(tx, arrival, step.sends, now, turned.atOnce);
  crash("commit: sends added");
  for (const due of step.dues) await setDue(tx, arrival.lane, due, waiting.seq);
  for (const post of step.posts ?? []) await fileArrival(tx, post);
  const log = await tripLog(tx, turned);
  const lastEvent = await addEvents(tx, arrival.lane, now, log);
  await project(tx, arrival, before.state, step.state);
  if (step.forgets) await forgetRows(tx, arrival, step.forgets, now);
  crash("commit: all but the end");
  return { kind: "done", lastEvent, events: log.length };
}

/** The work in a transaction of its own; a lane that moved on undoes it and is an outcome, not an error. */
async function unlessMoved<T>(db: Db, work: (tx: Db) => Promise<T>): Promise<T | Committed> {
  try {
    return await db.transaction().execute(work);
  } catch (error) {
    if (error instanceof Moved) return { kind: "conflict" };
    throw error;
  }
}

/**
 * Commits a turn, all or nothing. `crash` is called between the parts, so that a test can end the process
 * there. @throws the engine's own errors (disk full, read-only); nothing is changed then
 */
export const commit = (
  db: Db,
  turned: Turned,
  crash: (point: string) => void = () => {},
): Promise<Committed> => unlessMoved(db, (tx) => write(tx, turned, crash));

/**
 * The lane of a waiting arrival, claimed until the transaction ends. Undefined: another process has it,
 * or the arrival is done.
 */
async function claimLane(tx: Db, { seq, arrival }: Waiting): Promise<Loaded | undefined> {
  const query = tx
    .selectFrom("lanes")
    .select(["version", "state"])
    .where("lane", "=", arrival.lane)
    .where((q) =>
      q.exists(
        q
          .selectFrom("arrivals")
          .select("seq")
          .where("seq", "=", seq)
          .where("state", "=", "waiting"),
      ),
    );
  const row = await claiming(tx, query).executeTakeFirst();
  if (row) return loaded(row);
  // Adding a row that another process is changing would wait for that process, so it is looked for first.
  const known = await tx
    .selectFrom("lanes")
    .select("version")
    .where("lane", "=", arrival.lane)
    .executeTakeFirst();
  if (known) return undefined;
  return (await newLane(tx, arrival.lane)) ? { version: 0, state: undefined } : undefined;
}

/**
 * A whole turn in one transaction: the arrival's lane is claimed, `think` decides on its state, and what it
 * decides is committed; `announce` tells other processes when that happens. No process waits for another:
 * `elsewhere` means that one of them has the lane.
 * @throws the engine's own errors; nothing is changed then
 */
export const takeLane = (
  db: Db,
  waiting: Waiting,
  parts: {
    think(before: Loaded, tx: Db): Promise<Turned>;
    announce(tx: Db, lane: LaneId, lastEvent: number): Promise<void>;
    crash(point: string): void;
  },
): Promise<Committed | { kind: "elsewhere" }> =>
  unlessMoved(db, async (tx) => {
    const before = await claimLane(tx, waiting);
    if (!before) return { kind: "elsewhere" } as const;
    const done = await write(tx, await parts.think(before, tx), parts.crash);
    if (done.kind === "done" && done.events > 0)
      await parts.announce(tx, waiting.arrival.lane, done.lastEvent);
    return done;
  });
