/** Word between processes on one PostgreSQL database: LISTEN/NOTIFY, with polling behind it. */
import { setTimeout as pause } from "node:timers/promises";
import { sql } from "kysely";
import { laneNamed } from "../../lanes.js";
import type { LaneId } from "../../post.js";
import { clientFor } from "../engines/postgres.js";
import type { Db } from "../tables.js";

/** What comes in from other processes. */
type Heard = {
  /** A lane has new events, up to this number (0: only look again). */
  events(lane: LaneId, lastEvent: number): void;
  /** Something was stored: look whether there is work. */
  work(): void;
  /** Word may have been missed: whoever shows something looks again. */
  gap(): void;
  /** The connection cannot be had; told once until it is there again. */
  lost(error: unknown): void;
};

/** Says things to the other processes, and hears them. */
export type Nudges = {
  /** Within a transaction: told when it commits, and only then. */
  announce(tx: Db, lane: LaneId, lastEvent: number): Promise<void>;
  /** Never waits, never throws: polling finds what it does not tell. */
  wake(): void;
  listen(heard: Heard): Promise<void>;
  close(): Promise<void>;
};

/** One process alone has nobody to tell. */
export const noNudges: Nudges = {
  announce: () => Promise.resolve(),
  wake: () => {},
  listen: () => Promise.resolve(),
  close: () => Promise.resolve(),
};

const channel = "passing_place";
/** Word of new work is told at most this often. */
const wakeEveryMs = 50;
/** A quiet connection is tried this often: one that broke silently hears nothing. */
const tryEveryMs = 10_000;
/** NOTIFY carries less than 8,000 bytes; a letter has 3 at most here. */
const longestLane = 2_000;

const notify = (db: Db, payload: string) =>
  sql`select pg_notify(${channel}, ${payload})`.execute(db);

/** `me`: this process, so that it does not hear itself. */
export function postgresNudges(db: Db, url: string, me: string): Nudges {
  let closed = false;
  let waking: NodeJS.Timeout | undefined;
  const stop = new AbortController();

  function hear(payload: string, heard: Heard): void {
    const [, from, n, lane] = /^(\S+) (\d+) ?(.*)$/s.exec(payload) ?? [];
    if (from === undefined || from === me) return;
    if (lane) heard.events(laneNamed(lane), Number(n));
    else heard.work();
  }

  /** Resolves when the connection has broken. */
  async function listenOnce(heard: Heard, opened: () => void): Promise<void> {
    const one = clientFor(url, "listening");
    const broken = new Promise<void>((done) => {
      one.on("error", () => done());
      one.on("end", () => done());
    });
    try {
      await one.connect();
      one.on("notification", ({ payload = "" }) => hear(payload, heard));
      await one.query(`listen ${channel}`);
      opened();
      for (let whole = true; whole && !closed; ) {
        const tried = pause(tryEveryMs, true, { signal: stop.signal }).catch(() => false);
        whole = await Promise.race([tried, broken.then(() => false)]);
        if (whole) await one.query("select 1");
      }
    } finally {
      await one.end().catch(() => {});
    }
  }

  async function keepListening(heard: Heard, first: () => void): Promise<void> {
    let heardBefore = false;
    let failures = 0;
    while (!closed) {
      await listenOnce(heard, () => {
        if (heardBefore) heard.gap();
        heardBefore = true;
        failures = 0;
        first();
        heard.work();
      }).catch((error: unknown) => {
        if (failures++ === 0 && !closed) heard.lost(error);
      });
      first();
      const longer = Math.min(5_000, 100 * 2 ** Math.min(failures, 6));
      await pause(longer, undefined, { signal: stop.signal }).catch(() => {});
    }
  }

  let running: Promise<void> | undefined;
  return {
    async announce(tx, lane, lastEvent) {
      if (lane.length <= longestLane) await notify(tx, `${me} ${lastEvent} ${lane}`);
    },
    wake() {
      waking ??= setTimeout(() => {
        waking = undefined;
        // Not on the connection that listens: it does one thing at a time.
        notify(db, `${me} 0`).catch(() => {});
      }, wakeEveryMs);
    },
    listen: (heard) =>
      new Promise((done) => {
        running ??= keepListening(heard, done);
      }),
    async close() {
      closed = true;
      clearTimeout(waking);
      stop.abort();
      // A server that has gone without a word would keep it for a minute.
      await Promise.race([running, pause(500)]);
    },
  };
}
