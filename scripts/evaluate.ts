/**
 * Matching and triage on the project's own messages, with the peers side by side.
 *   npm run evaluate [-- --quick] [--dump]     --quick leaves out peers, ablation and outside data;
 *     --dump prints the messages to tune on that it got wrong, one a line
 * Three in ten messages (by a hash of the id) are the final test: their figures are printed beside the rest,
 * their texts never; nor are those of the unseen set, by later writers.
 */
import { join } from "node:path";
import { projectFolder, readBook } from "../src/knowledge/read.js";
import { meaningsOf } from "../src/matching/indexing.js";
import { build, type Matcher } from "../src/matching/matcher.js";
import { readArgs } from "./command/args.js";
import {
  byGroup,
  confusions,
  interval,
  percent,
  quality,
  reliability,
} from "./evaluation/figures.js";
import { inScope, judge, sameEntry, type Verdict } from "./evaluation/judge.js";
import { readMessages } from "./evaluation/messages.js";
import { faqTrials } from "./evaluation/outside-data.js";
import { type Change, ours, peers, told, trial } from "./evaluation/peers.js";

const { values: flags } = readArgs("usage: npm run evaluate [-- --quick] [--dump]", {
  options: {
    quick: { type: "boolean", default: false },
    dump: { type: "boolean", default: false },
  },
});
const folder = projectFolder();
const { book, problems } = readBook();
if (problems.length > 0)
  console.log(
    `note: the knowledge base has ${problems.length} problem(s); npm run check tells them`,
  );
const started = performance.now();
const matcher = build(book);
const asks = matcher.items.reduce((n, i) => n + i.asks.length, 0);
console.log(
  `${matcher.items.length} entries, ${asks} asks, ready in ${(performance.now() - started).toFixed(0)} ms`,
);

const samples = readMessages(join(folder, "tests/evaluation"));
if (samples.length === 0) console.log("no messages under tests/evaluation");
const verdicts = samples.map((s) => judge(matcher, s));
const tuning = verdicts.filter((v) => !v.sample.final);
const final = verdicts.filter((v) => v.sample.final);
const unseen = readMessages(join(folder, "tests/evaluation"), "unseen").map((s) =>
  judge(matcher, s),
);

function head(title: string): void {
  console.log(`\n${title}`);
}

function tables(): void {
  head(
    `Quality (${tuning.length} messages to tune on, ${final.length} of the final test; 95 % intervals: Wilson's)`,
  );
  const finals = quality(final);
  for (const [i, line] of quality(tuning).entries()) {
    const f = finals[i];
    console.log(
      `  ${line.name.padEnd(44)} ${percent(line.share).padStart(7)} of ${String(line.share.of).padStart(4)}   final ${f ? `${percent(f.share).padStart(7)} (${interval(f.share)}) of ${f.share.of}` : ""}   ${line.target ?? ""}`,
    );
  }
  head(`Unseen (${unseen.length} messages by later writers, of which nothing was learnt)`);
  for (const { name, share, target } of quality(unseen))
    console.log(
      `  ${name.padEnd(44)} ${percent(share).padStart(7)} (${interval(share)}) of ${share.of}   ${target ?? ""}`,
    );
  for (const [name, list] of [
    ["to tune on", tuning],
    ["final", final],
    ["unseen", unseen],
  ] as const) {
    const { lines, error } = reliability(list);
    head(`Calibration, ${name}: expected calibration error ${error.toFixed(3)}`);
    for (const line of lines) console.log(line);
  }
  const ms = verdicts.map((v) => v.ms).sort((a, b) => a - b);
  head(
    `Time: p50 ${ms[Math.floor(ms.length / 2)]?.toFixed(2)} ms, p99 ${ms[Math.floor(ms.length * 0.99)]?.toFixed(2)} ms`,
  );
  const length = (v: Verdict) => {
    const n = v.sample.text.split(/\s+/).length;
    return n <= 3 ? "1-3 words" : n <= 8 ? "4-8 words" : n <= 20 ? "9-20 words" : "over 20 words";
  };
  for (const [name, of] of [
    ["kind", (v: Verdict) => v.sample.kind],
    ["area", (v: Verdict) => v.area],
    ["speaker", (v: Verdict) => v.sample.speaker],
    ["length", length],
  ] as const) {
    head(`By ${name} (to tune on)`);
    for (const line of byGroup(tuning, of)) console.log(line);
    head(`By ${name} (final)`);
    for (const line of byGroup(final, of)) console.log(line);
  }
  head("Taken for each other most often (to tune on)");
  for (const line of confusions(tuning, 30)) console.log(line);
}

/** Messages with one right entry or more, for rankings alone. */
const ranked = (m: Matcher) =>
  samples
    .filter((s) => inScope(s) && !s.final && s.want.length > 0 && s.kind !== "follow")
    .map((s) => ({ text: s.text, want: new Set(s.want.map((id) => sameEntry(m, id))) }));

function besides(): void {
  const tests = ranked(matcher);
  const words = {
    meanings: meaningsOf(book),
    common: book.commonWords,
    real: book.realWords,
    background: book.background,
  };
  const items = matcher.items;
  if (tests.length > 0) {
    head("Ranking alone, beside general-purpose libraries (to tune on; the slow ones on a sample)");
    for (const peer of [ours(words), ...peers])
      console.log(
        told(
          trial(
            peer,
            items,
            tests,
            peer.name.startsWith("fuse") ? 20 : peer.name === "ours" ? undefined : 200,
          ),
        ),
      );
    head("What each part adds: ranking with one part left out (to tune on)");
    const without: Record<string, Change> = {
      speller: { spell: false },
      BM25F: { bm: 0 },
      "trained model": { model: 0 },
      meanings: { meaning: 0, features: { meaning: 0 } },
      "letters in threes": { features: { gram: 0 } },
      "pairs of stems": { pair: 0, near: 0, features: { pair: 0 } },
      "shared weights": { share: 0 },
    };
    for (const [name, change] of Object.entries(without))
      console.log(told({ ...trial(ours(words, change), items, tests), name: `without ${name}` }));
  }
  const file = join(folder, "../shared/stackfaq.json");
  const faq = faqTrials(file, [1, 3, 6], 4);
  head("Outside data (StackFAQ; first right, in three)");
  if (!faq)
    return console.log(
      `  skipped: the data is no part of the project, and would be read from ${file}`,
    );
  for (const line of faq) {
    const say = (s: typeof line.clean) =>
      `${((100 * s.first) / s.of).toFixed(1)}/${((100 * s.three) / s.of).toFixed(1)}`;
    console.log(
      `  k=${line.k} ${line.name.padEnd(30)} clean ${say(line.clean)}  typos ${say(line.typos)}  ${line.clean.msEach.toFixed(2)} ms each  built in ${line.clean.buildMs.toFixed(0)} ms`,
    );
  }
}

if (flags.dump)
  for (const v of tuning.filter((t) => !t.first || t.directWrong))
    console.log(
      `${v.sample.kind}\t${v.choice.outcome}\t${v.sample.want.join(",")}\t${v.choice.entries.map((e) => `${e.id} ${e.p}`).join(", ")}\t${v.sample.text}`,
    );
if (verdicts.length > 0) tables();
if (!flags.quick) besides();
