/**
 * The main job on a fresh machine: an invented firm and fleet, an embedded store. Plays a short hire in the
 * terminal at high speed, then serves: prints the links of hirers' pages and of the desk, with a demo password.
 * `--once` ends after the played hire; `--port N` (default 3000; the next free one is taken).
 */
import { mkdtempSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { clockOf, dayOf, instantOf } from "../src/calendar.js";
import { bookOrExit } from "../src/knowledge/read.js";
import { openLog } from "../src/log.js";
import { openMatcher } from "../src/matcher-cache.js";
import { openService } from "../src/open-service.js";
import { changeAccount } from "../src/store/staff/accounts.js";
import { readArgs } from "./command/args.js";
import { inventHires } from "./demo/hires.js";
import type { Out } from "./play/player.js";
import { play } from "./play/script.js";

const { values: flags } = readArgs("usage: npm run demo [-- --port 3000] [--once]", {
  options: { once: { type: "boolean", default: false }, port: { type: "string", default: "3000" } },
});
const started = performance.now();
const book = bookOrExit();
const matcher = openMatcher(book);

/** The readings of a handover, in km and shares of the tanks. */
const handover = { odometerKm: 92_000, oil: "between", fluid: 1, fuel: 1 };

const story = [
  {
    hire: {
      van: "SX26 WRN",
      vanType: "wren",
      pickup: "2026-06-01T14:00",
      return: "2026-06-09T10:00",
      zone: "Europe/London",
      region: "gb",
    },
    people: ["Rowan"],
  },
  { at: "2026-06-01T14:10+01:00", duty: "Morag", do: "pickup-record", reading: handover },
  {
    at: "2026-06-01T15:10+01:00",
    from: "hirer",
    text: "hiya how do i plug in the leccy at the campsite",
  },
  { at: "2026-06-02T18:05+01:00", from: "hirer", text: "can we cook inside, its raining" },
  { at: "2026-06-04T08:05+01:00", from: "hirer", text: "between, tyres and coolant ok" },
  {
    at: "2026-06-05T21:02+01:00",
    from: "hirer",
    text: "red light on the dash looks like a wee oil can??",
  },
  {
    at: "2026-06-05T21:03+01:00",
    from: "hirer",
    text: "lay-by on the A99, heading north, its safe",
  },
  { at: "2026-06-05T21:08+01:00" },
  { at: "2026-06-05T21:10+01:00", duty: "Isla", do: "take" },
  { at: "2026-06-05T21:11+01:00", duty: "Isla", do: "promise", to: "21:20" },
  { at: "2026-06-05T21:40+01:00", duty: "Isla", do: "done", outcome: "roadside-moving" },
  { at: "2026-06-08T10:05+01:00", from: "hirer", text: "exhaust fluid about half, 57,340 miles" },
];

const indent = " ".repeat(34);
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
const said = new Map(
  story.flatMap((l) =>
    "text" in l && l.text ? [[new Date(l.at ?? "").getTime(), l.text] as const] : [],
  ),
);

/** The played hire, as a person would follow it. */
async function tellStory(): Promise<void> {
  console.log(`\n${book.firm.name}, ${book.firm.place}: a hire of eight days in half a minute\n`);
  const { zone } = book.firm;
  const out = await play(story.map((l) => JSON.stringify(l)).join("\n"), book, matcher);
  const moments: { at: number; show: string }[] = [...said].map(([at, text]) => ({
    at,
    show: `Rowan writes:   ${text}`,
  }));
  for (const line of out) moments.push({ at: new Date(line.at).getTime() + 1, show: shown(line) });
  moments.sort((a, b) => a.at - b.at);
  for (const moment of moments) {
    const at = instantOf(moment.at);
    console.log(`${dayOf(at, zone)} ${clockOf(at, zone)}  ${moment.show}\n`);
    await pause(250);
  }
}

function shown(line: Out): string {
  if ("state" in line)
    return `call-out ${line.callout}:     ${line.state === "with" ? `with ${line.with ?? ""}` : line.state} (${line.severity})`;
  const who = line.to.startsWith("hirer:")
    ? "to Rowan:      "
    : line.to === "hook"
      ? "to the hook:   "
      : `to ${line.to.slice(5)}:`.padEnd(16);
  const text = line.text.split("\n").join(`\n${indent}`);
  return `${who} ${text}${line.buttons ? `\n${indent}[${line.buttons.join("] [")}]` : ""}`;
}

/** The first free port of this machine from a number on. */
async function freePort(from: number): Promise<number> {
  for (let port = from; port < from + 20; port++) {
    const probe = createServer();
    const free = await new Promise<boolean>((resolve) => {
      probe
        .once("error", () => resolve(false))
        .listen(port, "127.0.0.1", () => probe.close(() => resolve(true)));
    });
    if (free) return port;
  }
  throw new Error(`no free port from ${from} to ${from + 19}; another is named with --port`);
}

async function serve(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), "passing-place-demo-"));
  const password = "three-otters-in-the-bay";
  const manager = "isla";
  const deskPasswords = Object.fromEntries(
    Object.entries(book.firm.contacts)
      .filter(([, c]) => c.desk)
      .map(([id]) => [id, password]),
  );
  const port = await freePort(Number(flags.port));
  const publicUrl = `http://127.0.0.1:${port}`;
  const service = await openService(
    {
      port,
      host: "127.0.0.1",
      publicUrl,
      databaseFile: join(folder, "demo.sqlite"),
      deskPasswords,
      logLevel: "warn",
    },
    { book, matcher, log: openLog("warn") },
  );
  const { house } = service;
  for (const id of Object.keys(deskPasswords))
    if (id !== manager) await changeAccount(house.db, id, { role: "duty" });
  const links = await inventHires(house, book, instantOf(Date.now()));
  const lines = links.map(
    (l) => `  ${l.name.padEnd(6)} ${l.van.padEnd(7)} ${l.plate}   ${publicUrl}/h/${l.token}`,
  );
  console.log(
    `\nServing (the clock is the real one now). Open a hirer's page:\n${lines.join("\n")}\n`,
  );
  const names = Object.keys(deskPasswords).map((id) => {
    const role = id === manager ? "manager" : "duty staff";
    return `${book.firm.contacts[id]?.name ?? id} (${role})`;
  });
  console.log(`The desk:  ${publicUrl}/desk   as ${names.join(", ")}   password: ${password}`);
  console.log("Stop with Ctrl-C; the demo's data is then left behind in a temporary folder.\n");
  const stop = () => void service.close().then(() => process.exit(0));
  process.once("SIGINT", stop);
  process.once("SIGTERM", stop);
}

await tellStory();
console.log(`(played in ${((performance.now() - started) / 1000).toFixed(1)} s)`);
if (!flags.once) await serve();
