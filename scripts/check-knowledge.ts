/** Checks the knowledge base: refuses what is wrong, reports readability. `--only PREFIX` shows the problems of some files. */

import { readability } from "../src/knowledge/checks/readability.js";
import { readBook, tell } from "../src/knowledge/read.js";
import { readArgs } from "./command/args.js";

const { values: flags } = readArgs("usage: node dist/scripts/check-knowledge.js [--only FILE]", {
  options: { only: { type: "string", default: "" } },
});
const { only } = flags;
const { book, problems } = readBook();
const shown = problems.filter((p) => p.file.startsWith(only));
for (const p of shown) console.error(tell(p));
const count = (kind: string) => [...book.entries.values()].filter((e) => e.kind === kind).length;
console.log(
  `knowledge: ${count("answer")} answers, ${count("light")} lights, ${count("fault")} faults, ${count("danger")} dangers, ` +
    `${[...book.entries.values()].reduce((n, e) => n + e.asks.length, 0)} asks; ${shown.length} problem(s)${only ? ` in ${only}*` : ""}`,
);
const { mean, hardest } = readability(book);
console.log(
  `readability (Flesch–Kincaid grade; a reader of twelve is in about 7): mean ${mean.toFixed(1)}; hardest ` +
    hardest.map((e) => `${e.id} ${e.grade.toFixed(1)} (${e.van})`).join(", "),
);
process.exit(shown.length > 0 ? 1 : 0);
