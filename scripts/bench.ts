/**
 * How fast the service is, beside the least that any such service does (bench/floor.ts), in one run:
 *   npm run bench [-- --only flood,start,matching,plans,growth --store sqlite|postgres --seconds 8 --rounds 5
 *     --hirers 50 --hires 10000 --messages 1000000 --quick]
 * Floor and service take turns; ratios are medians over the rounds. `--quick`: seconds and sizes of a smoke test.
 */
import { bookOrExit } from "../src/knowledge/read.js";
import { openMatcher } from "../src/matcher-cache.js";
import { growth, startUp } from "./bench/grown.js";
import { median } from "./bench/load.js";
import { type Cost, memoryOf, questions, Rig } from "./bench/rig.js";
import { matchTimes, planTimes } from "./bench/still.js";
import { readArgs } from "./command/args.js";
import { exitOnSignal } from "./torture/instances.js";

const all = "flood,start,matching,plans,growth";
const { values: flags } = readArgs(
  `usage: npm run bench [-- --only ${all}] [--store sqlite|postgres] [--quick]`,
  {
    options: {
      only: { type: "string", default: all },
      store: { type: "string", default: "sqlite" },
      seconds: { type: "string" },
      rounds: { type: "string" },
      hirers: { type: "string", default: "50" },
      hires: { type: "string" },
      messages: { type: "string" },
      quick: { type: "boolean", default: false },
    },
  },
);
function whole(name: "seconds" | "rounds" | "hirers" | "hires" | "messages", else_: number) {
  const given = flags[name] ?? String(else_);
  if (!/^[1-9]\d{0,6}$/.test(given))
    throw new Error(`--${name} is "${given}"; a whole number is needed, for example --${name} 5`);
  return Number(given);
}
const { quick } = flags;
const sizes = {
  seconds: whole("seconds", quick ? 2 : 8),
  rounds: whole("rounds", quick ? 1 : 5),
  hirers: whole("hirers", 50),
  hires: whole("hires", quick ? 500 : 10_000),
  messages: whole("messages", quick ? 10_000 : 1_000_000),
};

const row = (what: string, ...cells: string[]): void =>
  console.log(`  ${what.padEnd(52)}${cells.map((cell) => cell.padStart(14)).join("")}`);
const ms = (n: number): string => `${n.toFixed(n < 10 ? 1 : 0)} ms`;

/** Flood, and a steady twenty a second: floor and service in turns. */
async function flood(rig: Rig): Promise<void> {
  const place = await rig.place("service");
  const hirers = await rig.hirers(place, sizes.hirers);
  const floor = await rig.floor(await rig.place("floor"));
  const service = await rig.service(place);
  await rig.join(service, hirers);
  const { chats } = hirers;
  const texts = questions("curlew");
  // Until the engine has compiled what is used often, neither shows what it can do.
  for (const side of [floor, service])
    await rig.measure(side, { chats, texts, ms: sizes.seconds * 1_000 });
  const pairs: { floor: Cost; service: Cost }[] = [];
  const steady: typeof pairs = [];
  for (let n = 0; n < sizes.rounds; n++) {
    const all = { chats, texts, ms: sizes.seconds * 1_000 };
    pairs.push({ floor: await rig.measure(floor, all), service: await rig.measure(service, all) });
    const few = { ...all, perSecond: 20 };
    steady.push({ floor: await rig.measure(floor, few), service: await rig.measure(service, few) });
  }
  const tell = (what: string, of: typeof pairs, say: (n: number) => string, key: keyof Cost) => {
    const sides = [of.map((p) => p.floor[key]), of.map((p) => p.service[key])] as const;
    const ratio = median(of.map((p) => p.service[key] / p.floor[key]));
    row(what, say(median(sides[0])), say(median(sides[1])), ratio.toFixed(2));
  };
  row(`${sizes.hirers} hirers, all the time`, "floor", "service", "service/floor");
  tell("messages answered a second", pairs, (n) => n.toFixed(0), "perSecond");
  tell("messages sent a second, staff's too", pairs, (n) => n.toFixed(0), "sentPerSecond");
  tell("answered within, median", pairs, ms, "p50");
  tell("answered within, 99 %", pairs, ms, "p99");
  tell("processor time a message", pairs, ms, "cpuMs");
  const unanswered = (side: "floor" | "service") =>
    String([...pairs, ...steady].reduce((sum, pair) => sum + pair[side].unanswered, 0));
  row("unanswered within a minute", unanswered("floor"), unanswered("service"));
  row("20 messages a second", "floor", "service", "service/floor");
  tell("answered within, median", steady, ms, "p50");
  tell("answered within, 99 %", steady, ms, "p99");
  row("memory", `${memoryOf(floor.pid).toFixed(0)} MB`, `${memoryOf(service.pid).toFixed(0)} MB`);
}

async function main(): Promise<void> {
  if (flags.store !== "sqlite" && flags.store !== "postgres")
    throw new Error(`--store is "${flags.store}"; sqlite or postgres is needed`);
  const store = flags.store;
  const parts = flags.only.split(",");
  const strange = parts.find((part) => !all.split(",").includes(part));
  if (strange !== undefined) {
    console.error(`--only: unknown "${strange}"; any of ${all} is needed`);
    process.exit(1);
  }
  const withRig = async (work: (rig: Rig) => Promise<void>) => {
    const rig = await Rig.open(store);
    try {
      await work(rig);
    } finally {
      await rig.close();
    }
  };
  // Each start of the service finds the trained index in the cache.
  const book = bookOrExit();
  openMatcher(book);
  console.log(`\n${store}, ${sizes.rounds} rounds of ${sizes.seconds} s`);
  if (parts.includes("flood")) await withRig(flood);
  if (parts.includes("start")) await withRig((rig) => startUp(rig, row, quick));
  if (parts.includes("matching")) matchTimes(book, row);
  if (parts.includes("plans")) planTimes(book, row);
  if (parts.includes("growth")) await withRig((rig) => growth(rig, row, sizes));
}

exitOnSignal();
main().then(
  () => process.exit(0),
  (error: unknown) => {
    console.error(error instanceof Error ? error.message : error);
    process.exit(1);
  },
);
