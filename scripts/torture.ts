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
import { openBook } from "../src/knowledge/read.js";
import { openMatcher } from "../src/matcher-cache.js";
import { readArgs } from "./command/args.js";
import { openServer, type Server } from "./database/postgres-server.js";
import { check, type Line } from "./torture/check.js";
import { type Crowd, openCrowd } from "./torture/clients.js";
import { Fleet } from "./torture/fleet.js";
import { exitOnSignal } from "./torture/instances.js";
import { openShakyBotApi, type ShakyBotApi } from "./torture/shaky-bot-api.js";
import { bookHires, botId, settingsFor, withStore } from "./torture/world.js";

const { values: flags } = readArgs(
  "usage: npm run torture [-- --kills 1000] [--store sqlite|postgres] [--instances 3] [--hirers 20] [--seed 1] [--minutes 600]",
  {
    options: {
      kills: { type: "string", default: "1000" },
      store: { type: "string", default: "sqlite" },
      instances: { type: "string" },
      hirers: { type: "string", default: "20" },
      seed: { type: "string", default: "1" },
      minutes: { type: "string", default: "600" },
    },
  },
);
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

/** What the run stands on. */
type Ground = {
  folder: string;
  /** The database: a file or an address. */
  place: string;
  /** Where it is PostgreSQL. */
  server: Server | undefined;
  botApi: ShakyBotApi;
};

/** Undefined where PostgreSQL is wanted and there is none; why has been said. */
async function openGround(random: () => number): Promise<Ground | undefined> {
  const wanted = flags.store === "postgres";
  if (!wanted && flags.store !== "sqlite")
    throw new Error(`--store is "${flags.store}"; sqlite or postgres is needed`);
  const server = wanted ? await openServer() : undefined;
  if (wanted && !server) return undefined;
  const folder = mkdtempSync(join(tmpdir(), "passing-place-torture-"));
  const place = server ? await server.database() : join(folder, "torture.sqlite");
  return { folder, place, server, botApi: await openShakyBotApi(random) };
}

async function closeGround({ folder, server, botApi }: Ground): Promise<void> {
  await botApi.close();
  await server?.close();
  rmSync(folder, { recursive: true, force: true });
}

/** Kills while people write, until there were enough or the time is up; gives how many. */
async function killAgainAndAgain(
  fleet: Fleet,
  crowd: Crowd,
  { most, endsAt, say }: { most: number; endsAt: number; say: (kills: number) => void },
): Promise<number> {
  let kills = 0;
  while (kills < most && Date.now() < endsAt) {
    await pause(100 + crowd.random() * 900);
    await fleet.killOne(crowd.random);
    kills++;
    if (kills % 25 === 0 || kills === most) say(kills);
  }
  return kills;
}

function report(lines: readonly Line[]): void {
  for (const { what, wrong, of, first } of lines)
    console.log(
      `  ${what.padEnd(46)} ${String(wrong).padStart(6)} of ${String(of).padStart(7)}${first ? `   ${first}` : ""}`,
    );
}

async function main(): Promise<number> {
  const most = whole("kills");
  const minutes = whole("minutes");
  const random = randomOf(whole("seed"));
  const ground = await openGround(random);
  if (!ground) return 1;
  const { place, folder, server, botApi } = ground;
  const { accepted } = botApi;
  // Trains the matcher once, so that each start finds it in the cache.
  openMatcher(openBook());
  const tokens = await bookHires(place, whole("hirers"));
  const shared = server !== undefined;
  const many = shared ? whole("instances", "3") : 1;
  const env = settingsFor({ place, folder, apiRoot: botApi.root, perSecond: 500 });
  const fleet = await Fleet.open({ many, place, shared, env, accepted });
  const crowd = openCrowd(fleet.doors, botApi, random);
  const { ledger } = crowd;
  const say = (kills: number) =>
    console.log(
      `${kills} kills, ${ledger.taken.length} updates taken, ${accepted.length} messages out`,
    );
  const started = Date.now();
  const endsAt = started + minutes * 60_000;
  let kills = 0;
  let endedBadly = 0;
  try {
    await fleet.launchAll();
    crowd.come(tokens);
    kills = await killAgainAndAgain(fleet, crowd, { most, endsAt, say });
    await crowd.leave();
    botApi.heal();
    await fleet.deadFound();
    await quiet(accepted, fleet.doors()[0] ?? "");
    endedBadly = await fleet.stop();
  } finally {
    await fleet.end();
  }
  const seen = { ledger, accepted, underWay: fleet.underWay, botId, now: Date.now() };
  const lines = await withStore(place, (db) => check(db, seen));
  await closeGround(ground);
  const seconds = Math.round((Date.now() - started) / 1000);
  console.log(
    `\n${flags.store}, ${many} instance(s), ${kills} kills in ${seconds} s, seed ${flags.seed}`,
  );
  const all = [...lines, { what: "ended badly on SIGTERM", of: many, wrong: endedBadly }];
  report(all);
  return all.some((line) => line.wrong > 0) ? 1 : 0;
}

/** Waits until what is on its way has left: ten seconds without a message and nothing that waits, 20 minutes at most. */
async function quiet(accepted: readonly unknown[], door: string): Promise<void> {
  const waits = async (): Promise<boolean> => {
    const figures = await (await fetch(`${door}/metrics`)).text();
    return !/^passing_place_oldest_send_seconds 0$/m.test(figures);
  };
  let before = -1;
  for (let n = 0; n < 120 && (accepted.length !== before || (await waits())); n++) {
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
