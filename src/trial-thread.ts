/** The thread of trial.ts: a matcher that was trained without a fifth of the asks, and that fifth put to it. */
import { parentPort } from "node:worker_threads";
import type { Book } from "./knowledge/book.js";
import { openBook } from "./knowledge/read.js";
import { openMatcher } from "./matcher-cache.js";
import { teach } from "./matching/teach.js";
import type { Answer, Question } from "./trial.js";
import { nearest, vectorOf } from "./wordings/alike.js";
import { changeOf, sorted } from "./wordings/changes.js";
import { leftOut, without } from "./wordings/left-out.js";

const book: Book = openBook();
const part = without(book);
const trained = openMatcher(part, [], "left-out");
const samples = leftOut(book);
const vectors = samples.map((s) => vectorOf(trained.index, s.text));

parentPort?.on("message", ({ n, kept, fresh, most }: Question) => {
  const before = kept.reduce(teach, trained);
  const after = teach(before, fresh);
  const near = nearest(vectorOf(before.index, fresh.ask), vectors, most);
  const changes = near.flatMap((i) => {
    const sample = samples[i];
    return (sample && changeOf(before, after, sample)) ?? [];
  });
  const answer: Answer = { n, looked: near.length, of: samples.length, changes: sorted(changes) };
  parentPort?.postMessage(answer);
});
