/**
 * Floods the real service from many hirers and staff, over a Bot API that fails at random, kills it again and
 * again, and at the end counts what was lost, doubled, out of order or late. Exit 1 on any.
 *   npm run torture [-- --kills 1000] [--store sqlite|postgres] [--instances 3] [--hirers 20] [--seed 1] [--minutes 600]
 * After so many minutes it kills no more, and counts what it has.
 * PostgreSQL: a throwaway server, or TEST_DATABASE_URL; several instances, of which one is killed at a time.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { parseArgs } from "node:util";
import { instantOf } from "../src/calendar.js";
import { openBook } from "../src/knowledge/read.js";
import { openMatcher } from "../src/matcher-cache.js";
import { makeHire } from "../src/store/hires.js";
import { openStore } from "../src/store/open.js";
import { beats } from "../src/store/shared/instances.js";
import type { Db } from "../src/store/tables.js";
import { openServer } from "./database/postgres-server.js";
import { check } from "./torture/check.js";
import { hirer, type Ledger, tapper } from "./torture/clients.js";
import { exitOnSignal, type Instance, kill, ready, start, stop } from "./torture/instances.js";
import { openShakyBotApi } from "./torture/shaky-bot-api.js";
import { type UnderWay, underWayAt } from "./torture/under-way.js";
import { bookingOf, botId, freePort, secret, settingsFor } from "./torture/world.js";

const { values: flags } = parseArgs({
  options: {
    kills: { type: "string", default: "1000" },
    store: { type: "string", default: "sqlite" },
    instances: { type: "string" },
    hirers: { type: "string", default: "20" },
    seed: { type: "string", default: "1" },
    minutes: { type: "string", default: "600" },
  },
});
function whole(name: keyof typeof flags, fallback = ""): number {
  const given = flags[name] ?? fallback;
  if (!/^\d{1,6}$/.test(given))
    throw new Error(`--${name} is "${given}"; a whole number is needed, for example --${name} 25`);
  return Number(given);
}

/** Mulberry32: the same seed gives the same faults and words (not the same instants). */
function randomOf(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

async function main(): Promise<number> {
  const most = whole("kills");
  const minutes = whole("minutes");
  const postgres = flags.store === "postgres";
  if (!postgres && flags.store !== "sqlite")
    throw new Error(`--store is "${flags.store}"; sqlite or postgres is needed`);
  const many = postgres ? whole("instances", "3") : 1;
  const random = randomOf(whole("seed"));
  const folder = mkdtempSync(join(tmpdir(), "passing-place-torture-"));
  const server = postgres ? await openServer() : undefined;
  if (postgres && !server) return 1;
  const place = server ? await server.database() : join(folder, "torture.sqlite");
  // Trains the matcher once, so that each start finds it in the cache.
  openMatcher(openBook());
  const botApi = await openShakyBotApi(random);
  const env = settingsFor({ place, folder, apiRoot: botApi.root, perSecond: 500 });
  async function withStore<T>(work: (db: Db) => Promise<T>): Promise<T> {
    const store = await openStore(place, instantOf(Date.now()));
    try {
      return await work(store.db);
    } finally {
      await store.close();
    }
  }
  const tokens = await withStore(async (db) => {
    const made: string[] = [];
    for (let n = 1; n <= whole("hirers"); n++)
      made.push((await makeHire(db, bookingOf(n), instantOf(Date.now()))).links[0]?.token ?? "");
    return made;
  });

  const instances: Instance[] = [];
  const ports = await Promise.all(Array.from({ length: many }, freePort));
  /** Where processes share a database, all that there ever were, by what they call themselves. */
  const met = new Map<string, Instance>();
  const meet = async (instance: Instance) => {
    if (!postgres) return;
    for (const { id } of await withStore(beats)) if (!met.has(id)) met.set(id, instance);
  };
  const launch = async (i: number) => {
    const instance = start(ports[i] ?? 0, env);
    instances[i] = instance;
    await ready(instance);
    await meet(instance);
  };
  const ledger: Ledger = { taken: [], refused: 0, broken: 0 };
  let open = true;
  let update = 0;
  const crowd = {
    botId,
    secret,
    random,
    ledger,
    doors: () => instances.filter((i) => i.up).map((i) => i.url),
    next: () => ++update,
    open: () => open,
  };
  const taps: Promise<void>[] = [];
  botApi.onAccepted((message) => taps.push(tapper(crowd, message.chat, message)));
  const underWay: UnderWay[][] = [];
  const killed = async (instance: Instance) => {
    const at = Date.now();
    await kill(instance);
    const others = [...met].flatMap(([id, one]) => (one === instance ? [] : id));
    underWay.push(await withStore((db) => underWayAt(db, at, botApi.accepted, new Set(others))));
    await meet(instance);
  };
  let exit: number | null = 0;
  const started = Date.now();
  let kills = 0;
  try {
    for (const i of ports.keys()) await launch(i);
    const people = tokens.map((token, n) => hirer(crowd, String(1000 + n), token));
    while (kills < most && Date.now() - started < minutes * 60_000) {
      await pause(100 + random() * 900);
      const i = Math.floor(random() * many);
      const instance = instances[i];
      if (!instance) break;
      await killed(instance);
      // Now and then it dies again before it is up.
      if (random() < 0.1) {
        const early = start(ports[i] ?? 0, env);
        await pause(random() * 1_000);
        await killed(early);
      }
      await launch(i);
      kills++;
      if (kills % 25 === 0 || kills === most)
        console.log(
          `${kills} kills, ${ledger.taken.length} updates taken, ${botApi.accepted.length} messages out`,
        );
    }
    open = false;
    await Promise.all(people);
    await Promise.all(taps);
    botApi.heal();
    // The dead are found after half a minute; until then what they had under way holds back what comes after it.
    for (let n = 0; postgres && n < 120 && (await withStore(beats)).length > many; n++)
      await pause(1_000);
    await quiet(botApi.accepted);
    const codes = await Promise.all(instances.map(stop));
    exit = codes.find((code) => code !== 0) ?? 0;
  } finally {
    for (const instance of instances) instance.child.kill("SIGKILL");
    await Promise.all(instances.map((i) => i.gone));
  }
  const lines = await withStore((db) =>
    check(db, { ledger, accepted: botApi.accepted, underWay, botId, now: Date.now() }),
  );
  await botApi.close();
  await server?.close();
  rmSync(folder, { recursive: true, force: true });

  console.log(
    `\n${flags.store}, ${many} instance(s), ${kills} kills in ${Math.round((Date.now() - started) / 1000)} s, seed ${flags.seed}`,
  );
  for (const l of [
    ...lines,
    { what: "ended badly on SIGTERM", of: many, wrong: exit === 0 ? 0 : 1 } as const,
  ])
    console.log(
      `  ${l.what.padEnd(46)} ${String(l.wrong).padStart(6)} of ${String(l.of).padStart(7)}${"first" in l && l.first ? `   ${l.first}` : ""}`,
    );
  return lines.some((l) => l.wrong > 0) || exit !== 0 ? 1 : 0;
}

/** Waits until what is on its way has left: no message for ten seconds, ten minutes at most. */
async function quiet(accepted: readonly unknown[]): Promise<void> {
  let before = -1;
  for (let n = 0; n < 60 && accepted.length !== before; n++) {
    before = accepted.length;
    await pause(10_000);
  }
}

exitOnSignal();
main().then(
  (code) => process.exit(code),
  (error: unknown) => {
    console.error(error instanceof Error ? error.message : error);
    process.exit(1);
  },
);
