/**
 * How long the plans of many hires take, and finding what is due among many rows:
 *   npm run -s measure:care [-- --hires 10000 --dues 1000000]
 * Prints medians of five runs, and by which index SQLite finds the rows.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { sql } from "kysely";
import { after, type Instant, instantOf } from "../src/calendar.js";
import { bookOrExit } from "../src/knowledge/read.js";
import { fileDues } from "../src/store/dues.js";
import { openStore } from "../src/store/open.js";
import type { Db } from "../src/store/tables.js";
import { median } from "./bench/load.js";
import { planAll } from "./bench/still.js";
import { readArgs } from "./command/args.js";

const { values: flags } = readArgs(
  "usage: npm run -s measure:care [-- --hires 10000 --dues 1000000]",
  {
    options: {
      hires: { type: "string", default: "10000" },
      dues: { type: "string", default: "1000000" },
    },
  },
);
for (const [name, value] of Object.entries(flags))
  if (!/^[1-9]\d{0,7}$/.test(value)) {
    console.error(`--${name}: "${value}" is no whole number; one such as 10000 is needed`);
    process.exit(1);
  }
const book = bookOrExit();
const start = instantOf(Date.parse("2026-01-05T10:00Z"));
const dayMin = 1440;

/** Rows of reminders to come, one in ten thousand of them due; and as many of other kinds in a hundredth. */
async function fillDues(db: Db, many: number, now: Instant): Promise<number> {
  let due = 0;
  const batch = 2000;
  for (let from = 0; from < many; from += batch)
    await db
      .insertInto("dues")
      .values(
        Array.from({ length: Math.min(batch, many - from) }, (_, k) => {
          const i = from + k;
          const isDue = i % 10_000 === 0;
          if (isDue) due++;
          const kind = i % 100 === 1 ? "promise" : "reminder";
          return {
            lane: `hire:${i}`,
            key: "reminders",
            at: after(now, isDue ? -1 : 1 + ((i * 7919) % (60 * dayMin))),
            generation: 1,
            kind,
            matter: JSON.stringify({ kind, keys: [] }),
            set_by: i,
          };
        }),
      )
      .execute();
  return due;
}

const explained = async (db: Db, where: string): Promise<string> =>
  (
    await sql
      .raw<{ detail: string }>(
        `explain query plan select * from dues where ${where} order by at limit 100`,
      )
      .execute(db)
  ).rows
    .map((row) => row.detail)
    .join("; ");

planAll(book, 1000);
const plans = Array.from({ length: 5 }, () => planAll(book, Number(flags.hires)));
console.log(
  `plans of ${flags.hires} hires of 8 days on average: ${Math.round(median(plans.map((p) => p.ms)))} ms (${Math.round(median(plans.map((p) => p.cpuMs)))} ms of processor time), ${plans[0]?.rows} reminders`,
);

const folder = mkdtempSync(join(tmpdir(), "passing-place-measure-"));
const store = await openStore(join(folder, "measure.sqlite"), start);
try {
  const { db } = store;
  const due = await fillDues(db, Number(flags.dues), start);
  const times: number[] = [];
  let filed = 0;
  for (let i = 0; i < 5; i++) {
    const from = performance.now();
    filed += (await fileDues(db, start, Math.ceil(due / 5))).filed;
    times.push(performance.now() - from);
  }
  const from = performance.now();
  const rest = (await fileDues(db, start, 100)).filed;
  console.log(
    `${filed + rest} of ${due} due found and filed among ${flags.dues} rows: ${median(times).toFixed(1)} ms for ${Math.ceil(due / 5)} of them; ${(performance.now() - from).toFixed(1)} ms where nothing is due`,
  );
  console.log(`reminders: ${await explained(db, "kind = 'reminder' and at <= 5")}`);
  console.log(`all else: ${await explained(db, "kind != 'reminder' and at <= 5")}`);
} finally {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
}
