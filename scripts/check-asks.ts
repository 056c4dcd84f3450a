/**
 * How the asks hold up: each fifth of them is left out in turn, the index is built from the rest, and every
 * ask left out is put to it. Prints the rate that ranks its own entry first; `--list` also those that do not.
 * It reports and never fails: a hard ask is no fault.
 */
import { parseArgs } from "node:util";
import { understand } from "../src/hires/understand.js";
import { concerns } from "../src/knowledge/book.js";
import { bookOrExit } from "../src/knowledge/read.js";
import { build } from "../src/matching/matcher.js";
import { partOf, parts, without } from "../src/wordings/left-out.js";

const { values: flags } = parseArgs({ options: { list: { type: "boolean", default: false } } });
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
const percent = (n: number) => `${((100 * n) / Math.max(1, all)).toFixed(1)} %`;
if (flags.list) for (const line of wrong.sort()) console.log(line);
console.log(
  `asks: ${all} left out in ${parts} parts; own entry first ${percent(first)}, among three ${percent(shown)}`,
);
