/** The rounds of the service: turns and dues in one loop, deliveries in another, until it is told to stop. */
import { setTimeout as pause, setImmediate } from "node:timers/promises";
import { faultFields } from "../log.js";
import type { LaneId } from "../post.js";
import { nextWaiting } from "../store/arrivals.js";
import { nextDueAt } from "../store/dues.js";
import { nextSendAt, type StoredSend } from "../store/sends.js";
import { type DeliveryParts, settle, takeDeliveries, tryOnce } from "./deliveries.js";
import { callDues, latePerSecond } from "./dues.js";
import { keepingMs } from "./keeping.js";
import { Pace } from "./pace.js";
import { PausedLanes } from "./paused-lanes.js";
import { type TurnParts, turn } from "./turns.js";

export type LoopParts = TurnParts &
  DeliveryParts & {
    turnsAtOnce: number;
    /** Shows the other processes that this one lives; absent where there are none. */
    beat?: () => Promise<void>;
    beatMs: number;
    /** How many processes live on this database, with this one. */
    alive: () => number;
    /** Lets go of what has had its time. */
    keep: () => Promise<void>;
  };
export type Loops = {
  /** Something was stored: look now. */
  wake(): void;
  /** Takes nothing new and waits up to `withinMs` for what is under way. */
  stop(withinMs: number): Promise<void>;
  /** Since when the slower of the two has not got through, in ms of this process. */
  idleMs(): number;
};

/** Sends under way at the same time, each to another address. */
export const atOnceMost = 20;
/** Of these, what no ordinary message takes: where a channel hangs on those, a danger goes out all the same. */
const keptForSafety = 4;
/** Looks at least this often: clocks jump and machines sleep. */
const longestSleepMs = 5_000;
const shortestSleepMs = 50;
const turnsBetweenDues = 50;

/** A wait that ends when woken; a wake before the wait counts too. */
class Bell {
  #rung = false;
  #ring: (() => void) | undefined;
  ring(): void {
    this.#rung = true;
    this.#ring?.();
  }
  async wait(ms: number): Promise<void> {
    if (!this.#rung && ms > 0)
      await new Promise<void>((done) => {
        const timer = setTimeout(done, ms);
        this.#ring = () => {
          clearTimeout(timer);
          done();
        };
      });
    this.#rung = false;
    this.#ring = undefined;
  }
}

/** One pass over what waits. Returns the lanes that it left to other processes. */
async function turnsUntilIdle(
  parts: LoopParts,
  paused: PausedLanes,
  stopping: () => boolean,
): Promise<LaneId[]> {
  const taken = new Set<LaneId>();
  const elsewhere = new Set<LaneId>();
  let left = turnsBetweenDues;
  async function take(): Promise<void> {
    while (left > 0 && !stopping()) {
      const skipped = [...taken, ...elsewhere, ...paused.lanes()];
      const waiting = await nextWaiting(parts.db, skipped);
      if (!waiting) return;
      const { lane, key } = waiting.arrival;
      if (taken.has(lane)) continue;
      left--;
      taken.add(lane);
      try {
        if (await turn(parts, waiting)) paused.clear(lane);
        else elsewhere.add(lane);
      } catch (error) {
        paused.add(lane);
        parts.log.error("turn put off", { lane, arrival: key, ...faultFields(error) });
      }
      taken.delete(lane);
      // The store answers within microtasks: without this, a long queue would keep HTTP waiting.
      await setImmediate();
    }
  }
  const results = await Promise.allSettled(Array.from({ length: parts.turnsAtOnce }, take));
  const failed = results.find((result) => result.status === "rejected");
  if (failed) throw failed.reason;
  return [...elsewhere];
}

/** Starts both loops. */
export function startLoops(parts: LoopParts): Loops {
  let stopping = false;
  /** Past the deadline of the stop: the store may be closed at any moment. */
  let ended = false;
  const stopped = (): boolean => stopping;
  const bells = { turns: new Bell(), sends: new Bell() };
  const underWay = new Set<Promise<void>>();
  const leaving = new AbortController();
  const through = { turns: performance.now(), sends: performance.now() };
  const sleepMs = (next: number | undefined): number =>
    Math.max(
      0,
      Math.min(longestSleepMs, next === undefined ? longestSleepMs : next - parts.clock.now()),
    );

  async function turnsLoop(): Promise<void> {
    const paused = new PausedLanes();
    const late = new Pace(latePerSecond);
    while (!stopping) {
      try {
        const filed = await callDues(parts, turnsBetweenDues, late);
        const elsewhere = await turnsUntilIdle(parts, paused, stopped);
        bells.sends.ring();
        const held = [...elsewhere, ...paused.lanes()];
        const busy = await nextWaiting(parts.db, held);
        const waits = held.length > 0 ? 500 : longestSleepMs;
        // Late reminders that are held back are due all the time: no need to look again at once.
        const next = Math.max(filed > 0 ? 0 : shortestSleepMs, sleepMs(await nextDueAt(parts.db)));
        through.turns = performance.now();
        if (!busy) await bells.turns.wait(Math.min(waits, next));
      } catch (error) {
        parts.log.error("round of turns failed", faultFields(error));
        await bells.turns.wait(1_000);
      }
    }
  }

  async function deliverOne(row: StoredSend): Promise<void> {
    const outcome = await tryOnce(parts, row);
    // The outcome is known: hold on to it until the store takes it, or this row would be in doubt.
    while (!ended) {
      try {
        await settle(parts, row, outcome);
        return;
      } catch (error) {
        parts.log.error("mark of a send put off", {
          lane: row.lane,
          send: row.key,
          ...faultFields(error),
        });
        await pause(1_000);
      }
    }
  }

  async function sendsLoop(): Promise<void> {
    const paces = new Map(
      [...parts.doors].flatMap(([channel, { perSecond }]) =>
        perSecond === undefined ? [] : [[channel, new Pace(perSecond)]],
      ),
    );
    while (!stopping) {
      try {
        const now = parts.clock.now();
        const shares = [...paces].map(([name, pace]) => ({
          name,
          n: pace.free(now, parts.alive()),
        }));
        const held = shares.filter(({ n }) => n < 1).map(({ name }) => name);
        const most = shares.map(({ n }) => n).filter((n) => n >= 1);
        const left = atOnceMost - underWay.size;
        const onlySafety = left <= keptForSafety;
        const free = onlySafety ? left : Math.min(left - keptForSafety, ...most);
        const kept = onlySafety ? [...parts.doors.keys()] : held;
        const rows = free > 0 ? await takeDeliveries(parts, free, kept) : [];
        for (const row of rows) {
          paces.get(row.send.to.channel)?.use(1);
          const one = deliverOne(row).finally(() => {
            underWay.delete(one);
            bells.sends.ring();
            bells.turns.ring();
          });
          underWay.add(one);
        }
        through.sends = performance.now();
        if (rows.length > 0) await setImmediate();
        else if (underWay.size >= atOnceMost) await bells.sends.wait(longestSleepMs);
        else {
          const next = sleepMs(await nextSendAt(parts.db, now, onlySafety));
          await bells.sends.wait(Math.max(kept.length > 0 ? shortestSleepMs : 0, next));
        }
      } catch (error) {
        parts.log.error("round of deliveries failed", faultFields(error));
        await bells.sends.wait(1_000);
      }
    }
  }

  async function every(ms: number, failed: string, work: () => Promise<void>): Promise<void> {
    while (!stopping) {
      await pause(ms, undefined, { signal: leaving.signal }).catch(() => {});
      if (stopping) return;
      await work().catch((error: unknown) => parts.log.error(failed, faultFields(error)));
    }
  }

  const loops = [turnsLoop(), sendsLoop(), every(keepingMs, "round of keeping failed", parts.keep)];
  if (parts.beat) loops.push(every(parts.beatMs, "beat failed", parts.beat));
  return {
    idleMs: () => performance.now() - Math.min(through.turns, through.sends),
    wake() {
      bells.turns.ring();
      bells.sends.ring();
    },
    async stop(withinMs) {
      stopping = true;
      leaving.abort();
      bells.turns.ring();
      bells.sends.ring();
      const deadline = new AbortController();
      const all = Promise.all([...loops, ...underWay]).then(() => deadline.abort());
      await Promise.race([
        all,
        pause(withinMs, undefined, { signal: deadline.signal }).catch(() => {}),
      ]);
      ended = true;
    },
  };
}
