/**
 * How the asks hold up: each fifth of them is left out in turn, the index is built from the rest, and every
 * ask left out is put to it. Prints how many rank their own entry first and among three; `--list` also those
 * that do not. A hard ask is no fault, but exit 1 where the shares fall below the floor, which is only raised.
 */
import { understand } from "../src/hires/understand.js";
import { concerns } from "../src/knowledge/book.js";
import { bookOrExit } from "../src/knowledge/read.js";
import { build } from "../src/matching/matcher.js";
import { partOf, parts, without } from "../src/wordings/left-out.js";
import { readArgs } from "./command/args.js";

/** Percent of the asks: one point below what they were when it was set. */
const floor = { first: 90.0, shown: 96.4 };
const { values: flags } = readArgs("usage: node dist/scripts/check-asks.js [--list]", {
  options: { list: { type: "boolean", default: false } },
});
const book = bookOrExit();
const vans = [...book.vans.values()];

let all = 0;
let first = 0;
let shown = 0;
const wrong: string[] = [];
for (let fold = 0; fold < parts; fold++) {
  const matcher = build(without(book, fold));
  for (const entry of book.entries.values()) {
    const van = vans.find((v) => concerns(entry, v));
    if (!van || entry.kind === "courtesy") continue;
    for (const ask of entry.asks.filter((a) => partOf(a) === fold)) {
      const ids = understand(matcher, { text: ask, van }).entries.map((e) => e.id);
      all++;
      if (ids[0] === entry.id) first++;
      else wrong.push(`${entry.id} taken for ${ids[0] ?? "nothing"}: "${ask}"`);
      if (ids.includes(entry.id)) shown++;
    }
  }
}
const shares = { first: (100 * first) / Math.max(1, all), shown: (100 * shown) / Math.max(1, all) };
const percent = (n: number) => `${n.toFixed(1)} %`;
if (flags.list) for (const line of wrong.sort()) console.log(line);
console.log(
  `asks: ${all} left out in ${parts} parts; own entry first ${percent(shares.first)} (floor ${percent(floor.first)}), among three ${percent(shares.shown)} (floor ${percent(floor.shown)})`,
);
if (shares.first < floor.first || shares.shown < floor.shown) {
  console.error("asks: below the floor; --list tells which are taken for what");
  process.exitCode = 1;
}
