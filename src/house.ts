/** The house: store, rounds and doors put together. The service, the scripts and the tests open the same one. */
import { randomBytes } from "node:crypto";
import { after, type Instant, instantOf } from "./calendar.js";
import type { Door } from "./channels/door.js";
import { Fault } from "./faults.js";
import { firmReader } from "./firm-now.js";
import { broken } from "./hires/heard/broken.js";
import { type LaneState, step } from "./hires/step.js";
import { type Book, homeCode } from "./knowledge/book.js";
import type { FirmFile } from "./knowledge/schema.js";
import { firmLane, vanLane } from "./lanes.js";
import { faultFields, type Log } from "./log.js";
import { matcherReader } from "./matcher-now.js";
import type { Matcher } from "./matching/matcher.js";
import type { Address, Arrival, Booking, LaneId } from "./post.js";
import { nameIn, type StaffReach } from "./roster/reach.js";
import { deliver, settleStarted, takeDeliveries } from "./rounds/deliveries.js";
import { callDues } from "./rounds/dues.js";
import { beatMs, watchInstances } from "./rounds/instances.js";
import { keepTerms } from "./rounds/keeping.js";
import { type LoopParts, type Loops, startLoops } from "./rounds/loops.js";
import { reportFailure } from "./rounds/receipts.js";
import {
  type Clock,
  type Crash,
  type StepFunction,
  takeTurn,
  type Watcher,
} from "./rounds/turns.js";
import { fileArrival, oldestWaitingAt } from "./store/arrivals.js";
import { endNotice, makeNotice, type NewNotice } from "./store/care/notices.js";
import { vansGivenUp } from "./store/care/vans.js";
import { isShared } from "./store/dialect.js";
import { nextDueAt } from "./store/dues.js";
import { codeOf, sayCode } from "./store/engines/why.js";
import { type Push, type Pushed, pushHires } from "./store/firm/bookings.js";
import { openMatters } from "./store/firm/rosters.js";
import { loadLane, makeHire } from "./store/hires.js";
import type { GoneFile } from "./store/keeping/forget.js";
import { openStore } from "./store/open.js";
import { nextSendAt } from "./store/sends.js";
import { forget } from "./store/shared/instances.js";
import type { Db } from "./store/tables.js";
import { findLink, type Link, type LinkKind } from "./store/tokens.js";

/** More rounds than any script needs: a step that sets dues in the past would go on for ever. */
const roundsMost = 100_000;

export type HouseParts = {
  book: Book;
  matcher: Matcher;
  clock: Clock;
  /** Path of the SQLite file, ":memory:", or the address `postgres://…` of a database that processes share. */
  dbFile: string;
  /** One a channel. Without one, "web" and "desk" messages count as delivered once stored: pages read the trip log. */
  doors: readonly Door[];
  log: Log;
  /** 0 ≤ random() < 1; spreads retries. */
  random?: () => number;
  /** Contact id → Telegram chat id. */
  telegramStaff?: Readonly<Record<string, string>>;
  /** Whether the staff hook is set up; by default where there is a door for it. */
  hook?: boolean;
  /** Contacts who are at the desk whatever their sessions say; for scripts and tests. */
  atDesk?: () => readonly string[];
  /** In place of the real step; for tests. */
  step?: StepFunction;
  /** `runUntilIdle` gives up after so many rounds. */
  mostRounds?: number;
  /** Between two signs of life to other processes; shorter in tests. */
  beatMs?: number;
  /** Takes a file of a hire from the disk, once nobody keeps it any more. */
  dropFile?: (file: GoneFile) => Promise<void>;
  /** Called at named points; for tests, which throw there. */
  crash?: Crash;
  /** Is told what was done, for figures. */
  watcher?: Watcher;
  /** Test alerts at the start of shifts, and handing over at their end. */
  shifts?: boolean;
};

export type House = {
  readonly book: Book;
  /** As trained on the book. */
  readonly matcher: Matcher;
  /** The matcher with the wordings that the desk has kept. */
  matcherNow(): Promise<Matcher>;
  readonly clock: Clock;
  readonly log: Log;
  /** For reading; what changes a hire goes through `file`. */
  readonly db: Db;
  /** Stores an arrival durably, once per key, and wakes the loops. @throws STORE_WRONG */
  file(arrival: Arrival): Promise<"new" | "known">;
  /** Stores a new booking with a chat link for each person (shown once). @throws STORE_WRONG */
  makeHire(
    booking: Booking,
    key?: string,
  ): Promise<{ lane: LaneId; links: { person: string; token: string }[] }>;
  /** A provider says afterwards that it could not deliver what went to an address; false where no key fits. @throws STORE_WRONG */
  failed(to: Address, fits: (key: string) => boolean, why: string): Promise<boolean>;
  /** Stores a notice to many hires, once per id, with all that is to come of it. @throws STORE_WRONG */
  makeNotice(
    notice: NewNotice,
    hires: { chosen: readonly string[]; shown: readonly string[] },
  ): Promise<"new" | "known">;
  /** Ends a notice; false where it is unknown or over. @throws STORE_WRONG */
  endNotice(id: string, by: string): Promise<boolean>;
  /** Makes and changes hires by their references, all or none; `by` stands in the trip log. @throws STORE_WRONG */
  pushHires(pushes: readonly Push[], by: string): Promise<Pushed[]>;
  /** Whose link a token is, while it lives. */
  findLink(token: string, ...kinds: LinkKind[]): Promise<Link | undefined>;
  /** A lane's state as it is stored; undefined for a new one. */
  laneState(lane: LaneId): Promise<LaneState | undefined>;
  /** The firm as it holds now, with the version of what the desk has changed, and how staff are reached. */
  firmNow(): Promise<{ firm: FirmFile; version: number; reach: StaffReach }>;
  /** Without loops: takes every turn, due and delivery that can happen at the clock's now. */
  runUntilIdle(): Promise<void>;
  /** Lets go of what has had its time; the loops do it every ten minutes. @throws what the store throws */
  keepTerms(): Promise<void>;
  /** The earliest instant at which something will happen by itself; undefined: nothing is set. */
  nextAt(): Promise<Instant | undefined>;
  /** Called after new events of a lane are durable, with the number of the last (0: only look again). Returns the way out. */
  onEvents(listener: (lane: LaneId, lastEvent: number) => void): () => void;
  /** Called when word of events in other processes may have been missed. Returns the way out. */
  onGap(listener: () => void): () => void;
  start(): void;
  /** Since when the slower loop has not got through, in ms; undefined: they do not run. */
  roundsIdleMs(): number | undefined;
  /** Stops the loops within 4 s; what is under way after that is taken up at the next start, or by others. */
  stop(): Promise<void>;
  /** Stops, and lets go of the file. */
  close(): Promise<void>;
};

/** Errors of the store as one code; the engine's message may hold what somebody wrote. */
async function stored<T>(work: Promise<T>): Promise<T> {
  try {
    return await work;
  } catch (error) {
    if (error instanceof Fault) throw error;
    const code = codeOf(error);
    throw new Fault("STORE_WRONG", `it could not be stored (${sayCode(code)})`, { cause: error });
  }
}

/** @throws STORE_BUSY another process has the file · STORE_WRONG it cannot be opened */
export async function openHouse(parts: HouseParts): Promise<House> {
  const { book, clock, log } = parts;
  const store = await openStore(parts.dbFile, clock.now());
  const { db, instance, nudges, turnsAtOnce } = store;
  const listeners = new Set<(lane: LaneId, lastEvent: number) => void>();
  const gapListeners = new Set<() => void>();
  const doors = new Map(parts.doors.map((door) => [door.channel as string, door]));
  const atDesk = parts.atDesk ?? (() => []);
  const hook = parts.hook ?? doors.has("hook");
  const readFirm = firmReader({ ...{ book, clock, hook }, telegramStaff: parts.telegramStaff });
  const readMatcher = matcherReader(parts.matcher);
  const dropFile = parts.dropFile ?? (async () => {});
  let loops: Loops | undefined;
  let alive = 1;
  function nudge(lane: LaneId, lastEvent: number): void {
    for (const listener of listeners) {
      try {
        listener(lane, lastEvent);
      } catch (error) {
        log.error("listener failed", { lane, ...faultFields(error) });
      }
    }
  }
  const rounds: LoopParts = {
    db,
    instance,
    turnsAtOnce,
    beatMs: parts.beatMs ?? beatMs,
    alive: () => alive,
    clock,
    doors,
    log,
    step: parts.step ?? step,
    broken,
    random: parts.random ?? Math.random,
    crash: parts.crash ?? (() => {}),
    watcher: parts.watcher,
    atOnce: new Set(["web", "desk"].filter((channel) => !doors.has(channel))),
    async facts(now, tx, lane, { registration, leaving }) {
      const { book, reach } = await readFirm(tx, atDesk());
      const van = registration && (await loadLane(tx, vanLane(registration))).state;
      return {
        ...{ now, book, matcher: await readMatcher(tx), reach },
        ...(doors.has("gateway") ? { texts: homeCode(book) } : {}),
        ...(van && van.kind === "van" ? { van: van.van } : {}),
        ...(leaving ? { vansBefore: await vansGivenUp(tx, leaving) } : {}),
        ...(lane === firmLane ? { open: await openMatters(tx) } : {}),
      };
    },
    keep: () =>
      keepTerms({ ...{ db, clock, log }, terms: book.keeping, zone: book.firm.zone, dropFile }),
    nameOf: (contact) => nameIn(book.firm, contact),
    nudge,
    announce: nudges.announce,
  };
  const mostRounds = parts.mostRounds ?? roundsMost;
  for (const why of store.doubts) log.warn("database in doubt", { why });

  async function settleDoubts(): Promise<void> {
    const count = await settleStarted(rounds);
    if (count > 0) log.warn("sends in doubt taken up", { count });
  }
  if (isShared(db)) {
    const watch = watchInstances({ db, instance, log });
    rounds.beat = async () => {
      alive = await watch();
      await settleDoubts();
    };
    alive = await watch();
    await nudges.listen({
      events: nudge,
      work: () => loops?.wake(),
      gap() {
        for (const listener of gapListeners) listener();
      },
      lost: (error) => log.warn("word of other processes not heard", faultFields(error)),
    });
  }
  await settleDoubts();
  const openedAt = clock.now();
  if (parts.shifts)
    await fileArrival(db, {
      key: `opened:${openedAt}`,
      lane: firmLane,
      receivedAt: openedAt,
      body: { kind: "opened" },
    });

  function wake(): void {
    loops?.wake();
    nudges.wake();
  }

  async function oneRound(): Promise<boolean> {
    if ((await callDues(rounds, 100)) > 0) return true;
    if (await takeTurn(rounds)) return true;
    const [row] = await takeDeliveries(rounds, 1);
    if (row) await deliver(rounds, row);
    return row !== undefined;
  }

  async function stop(): Promise<void> {
    const running = loops;
    loops = undefined;
    await running?.stop(4_000);
    // What is still under way is in doubt from now on, and whoever lives takes it up.
    await forget(db, instance).catch(() => {});
  }

  return {
    book,
    matcher: parts.matcher,
    matcherNow: () => readMatcher(db),
    clock,
    log,
    db,
    async file(arrival) {
      const filed = await stored(fileArrival(db, arrival));
      wake();
      return filed;
    },
    async makeNotice(notice, hires) {
      const made = await stored(makeNotice(db, notice, hires, clock.now()));
      loops?.wake();
      return made;
    },
    async endNotice(id, by) {
      const ended = await stored(endNotice(db, id, by, clock.now()));
      wake();
      return ended;
    },
    async pushHires(pushes, by) {
      const id = () => randomBytes(12).toString("base64url");
      const done = await stored(pushHires(db, pushes, by, clock.now(), id));
      wake();
      return done;
    },
    async makeHire(booking, key) {
      const made = await stored(makeHire(db, booking, clock.now(), key));
      wake();
      return made;
    },
    async failed(to, fits, why) {
      const found = await stored(reportFailure(rounds, to, fits, why));
      loops?.wake();
      return found;
    },
    findLink(token, ...kinds) {
      const { days } = book.keeping.link;
      return findLink(db, token, after(clock.now(), -days * 24 * 60), ...kinds);
    },
    async laneState(lane) {
      return (await loadLane(db, lane)).state;
    },
    async firmNow() {
      const { book, version, reach } = await readFirm(db, atDesk());
      return { firm: book.firm, version, reach };
    },
    async runUntilIdle() {
      for (let n = 0; n < mostRounds; n++) if (!(await oneRound())) return;
      throw new Error(
        `still busy after ${mostRounds} rounds: a step sets dues that are due at once, again and again`,
      );
    },
    keepTerms: rounds.keep,
    async nextAt() {
      if ((await oldestWaitingAt(db)) !== undefined) return clock.now();
      const all = [await nextDueAt(db), await nextSendAt(db, clock.now())].filter(
        (at) => at !== undefined,
      );
      return all.length > 0 ? instantOf(Math.min(...all)) : undefined;
    },
    onEvents(listener) {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    onGap(listener) {
      gapListeners.add(listener);
      return () => void gapListeners.delete(listener);
    },
    start() {
      loops ??= startLoops(rounds);
    },
    roundsIdleMs: () => loops?.idleMs(),
    stop,
    async close() {
      await stop();
      await store.close();
    },
  };
}
