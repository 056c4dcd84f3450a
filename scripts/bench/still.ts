/** What needs no traffic: how long matching and planning take. */

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { deserialize, serialize } from "node:v8";
import { after, instantOf } from "../../src/calendar.js";
import { understand } from "../../src/hires/understand.js";
import type { Book } from "../../src/knowledge/book.js";
import { projectFolder } from "../../src/knowledge/read.js";
import { fromKept, toKept } from "../../src/matching/cache.js";
import { build, type Matcher } from "../../src/matching/matcher.js";
import { plan } from "../../src/reminders/plan.js";
import { median, quantile } from "./load.js";

type Row = (what: string, ...cells: string[]) => void;
const ms = (n: number): string => `${n.toFixed(n < 100 ? 2 : 0)} ms`;

function timed<T>(work: () => T): { made: T; took: number } {
  const began = performance.now();
  const made = work();
  return { made, took: performance.now() - began };
}

/** The book with about so many asks, taken evenly from all its entries. */
function cutTo(book: Book, many: number): Book {
  const all = [...book.entries.values()].reduce((sum, entry) => sum + entry.asks.length, 0);
  const entries = new Map(
    [...book.entries].map(([id, entry]) => {
      const keep = Math.max(1, Math.round((entry.asks.length * many) / all));
      return [id, { ...entry, asks: entry.asks.slice(0, keep) }] as const;
    }),
  );
  return { ...book, entries };
}

/** All messages of our own evaluation set. */
function messages(): { text: string; van: string }[] {
  const folder = join(projectFolder(), "tests/evaluation");
  return readdirSync(folder)
    .filter((name) => /^messages-.*\.jsonl$/.test(name))
    .flatMap((name) => readFileSync(join(folder, name), "utf8").trim().split("\n"))
    .map((line) => JSON.parse(line) as { text: string; van: string });
}

/** From the text to the decision, the danger layer with it, after one round to warm up. */
function understandTimes(matcher: Matcher, shorter: number, longer: number): number[] {
  const { vans } = matcher.book;
  const fitting = messages().filter((m) => m.text.length > shorter && m.text.length <= longer);
  const round = () =>
    fitting.map(({ text, van: id }) => {
      const van = vans.get(id);
      return van ? timed(() => understand(matcher, { text, van })).took : 0;
    });
  round();
  return round();
}

export function matchTimes(book: Book, row: Row): void {
  row("understanding one message", "median", "99 %", "messages");
  for (const [name, one] of [
    ["4,000 asks", cutTo(book, 4_000)],
    ["the whole book", book],
  ] as const) {
    const asks = [...one.entries.values()].reduce((sum, entry) => sum + entry.asks.length, 0);
    const cold = timed(() => build(one));
    const bytes = serialize(toKept(cold.made.base));
    const cached = timed(() => build(one, [], fromKept(deserialize(bytes))));
    for (const [shorter, longer] of [
      [0, 120],
      [120, 600],
    ] as const) {
      const times = understandTimes(cold.made, shorter, longer);
      const what = `${name}, ${shorter + 1} to ${longer} letters`;
      row(what, ms(median(times)), ms(quantile(times, 0.99)), String(times.length));
    }
    row(`index of ${one.entries.size} entries, ${asks} asks`, "trained", "from its cache");
    row("", ms(cold.took), ms(cached.took));
  }
}

/** Plans hires over a year, 1 to 15 days long, 8 on average, in two zones, of every van type. */
export function planAll(book: Book, many: number): { rows: number; ms: number; cpuMs: number } {
  const vans = [...book.vans.values()];
  const start = instantOf(Date.parse("2026-01-05T10:00Z"));
  const hires = Array.from({ length: many }, (_, i) => {
    const pickupAt = after(start, (i % 365) * 1440 + ((i * 37) % 600));
    const returnAt = after(pickupAt, (1 + ((i * 7) % 15)) * 1440);
    return { pickupAt, returnAt, zone: i % 3 ? "Europe/London" : "Europe/Dublin" };
  });
  const used = process.cpuUsage();
  const { made: rows, took } = timed(() =>
    hires.reduce((sum, hire, i) => {
      const van = vans[i % vans.length];
      return sum + (van ? plan(hire, van, book.reminders).length : 0);
    }, 0),
  );
  const cpu = process.cpuUsage(used);
  return { rows, ms: took, cpuMs: (cpu.user + cpu.system) / 1000 };
}

export function planTimes(book: Book, row: Row): void {
  planAll(book, 1_000);
  const plans = Array.from({ length: 3 }, () => planAll(book, 10_000));
  row("plans of 10,000 hires of 8 days", "took", "processor");
  row("", ms(median(plans.map((p) => p.ms))), ms(median(plans.map((p) => p.cpuMs))));
}
