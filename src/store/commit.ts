/** The one transaction of a turn: state, sends, dues, trip log, the desk's lists, and "arrival done". */
import { closeArrival } from "./arrivals.js";
import { setDue } from "./dues.js";
import { addEvents } from "./events.js";
import { project } from "./project.js";
import { addSends } from "./sends.js";
import type { Db } from "./tables.js";
import { type Turned, tripLog } from "./trip-log.js";

/**
 * `done`: all of it is durable; `lastEvent` is the number of the lane's last event, `events` how many are
 * new. `known`: somebody else did this arrival already. `conflict`: the lane moved on; take the turn again.
 */
export type Committed =
  | { kind: "done"; lastEvent: number; events: number }
  | { kind: "known" }
  | { kind: "conflict" };

/** Thrown inside to undo the transaction; never leaves this file. */
class Undo extends Error {
  readonly why: "known" | "conflict";
  constructor(why: "known" | "conflict") {
    super(why);
    this.why = why;
  }
}

async function saveLane(tx: Db, turned: Turned): Promise<boolean> {
  const { lane } = turned.waiting.arrival;
  const { before, step } = turned;
  const state = step.state === undefined ? undefined : JSON.stringify(step.state);
  if (before.version > 0) {
    const result = await tx
      .updateTable("lanes")
      .set({ version: before.version + 1, ...(state === undefined ? {} : { state }) })
      .where("lane", "=", lane)
      .where("version", "=", before.version)
      .executeTakeFirst();
    return Number(result.numUpdatedRows) > 0;
  }
  if (state === undefined) return true;
  const result = await tx
    .insertInto("lanes")
    .values({ lane, version: 1, state })
    .onConflict((c) => c.column("lane").doNothing())
    .executeTakeFirst();
  return Number(result.numInsertedOrUpdatedRows ?? 0) > 0;
}

/**
 * Commits a turn, all or nothing. `crash` is called between the parts, so that a test can end the process
 * there. @throws the engine's own errors (disk full, read-only); nothing is changed then
 */
export async function commit(
  db: Db,
  turned: Turned,
  crash: (point: string) => void = () => {},
): Promise<Committed> {
  const { waiting, before, step, now } = turned;
  const { arrival } = waiting;
  try {
    return await db.transaction().execute(async (tx) => {
      if (!(await closeArrival(tx, arrival.key, { state: "done", at: now, because: step.because })))
        throw new Undo("known");
      if (!(await saveLane(tx, turned))) throw new Undo("conflict");
      crash("commit: state saved");
      await addSends(tx, arrival, step.sends, now, turned.atOnce);
      crash("commit: sends added");
      for (const due of step.dues) await setDue(tx, arrival.lane, due, waiting.seq);
      const log = await tripLog(tx, turned);
      const lastEvent = await addEvents(tx, arrival.lane, now, log);
      await project(tx, arrival, before.state, step.state);
      crash("commit: all but the end");
      return { kind: "done", lastEvent, events: log.length } as const;
    });
  } catch (error) {
    if (error instanceof Undo) return { kind: error.why };
    throw error;
  }
}
