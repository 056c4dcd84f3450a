/**
 * Outside data: StackFAQ (Karan & Šnajder 2018; texts from Stack Exchange), read only where it is present.
 * Protocol: of each entry k paraphrases are its asks, beside its title; the rest are test messages. Typos: of
 * the words of four letters or more, three in ten get one edit (swap, drop, double, neighbour key).
 */
import { existsSync, readFileSync } from "node:fs";
import { z } from "zod";
import type { Item } from "../../src/matching/matcher.js";
import { ours, type Peer, peers, type Score, trial } from "./peers.js";

const Faq = z.array(
  z.object({ id: z.number(), title: z.string(), paraphrases: z.array(z.string()) }),
);

/** Numbers between 0 and 1 from a seed (linear congruential). */
export function draws(seed: number): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 4294967296;
  };
}

const rows = ["qwertyuiop", "asdfghjkl", "zxcvbnm"];
function neighbour(key: string, draw: () => number): string {
  const row = rows.find((r) => r.includes(key));
  if (!row) return key;
  const at = row.indexOf(key);
  return row[draw() < 0.5 ? Math.max(0, at - 1) : Math.min(row.length - 1, at + 1)] ?? key;
}

/** The text with typos. */
export function mistyped(text: string, draw: () => number): string {
  return text
    .split(/\s+/)
    .map((word) => {
      if (word.replace(/[^a-z]/gi, "").length < 4 || draw() >= 0.3) return word;
      const i = 1 + Math.floor(draw() * (word.length - 2));
      const kind = Math.floor(draw() * 4);
      if (kind === 0)
        return word.slice(0, i) + (word[i + 1] ?? "") + (word[i] ?? "") + word.slice(i + 2);
      if (kind === 1) return word.slice(0, i) + word.slice(i + 1);
      if (kind === 2) return word.slice(0, i) + (word[i] ?? "") + word.slice(i);
      return word.slice(0, i) + neighbour((word[i] ?? "").toLowerCase(), draw) + word.slice(i + 1);
    })
    .join(" ");
}

function split(faq: z.infer<typeof Faq>, k: number, seed: number) {
  const draw = draws(seed);
  const items: Item[] = [];
  const tests: { text: string; want: Set<string> }[] = [];
  for (const entry of faq) {
    const order = [...entry.paraphrases];
    for (let i = order.length - 1; i > 0; i--) {
      const j = Math.floor(draw() * (i + 1));
      [order[i], order[j]] = [order[j] ?? "", order[i] ?? ""];
    }
    items.push({
      id: String(entry.id),
      title: entry.title,
      asks: order.slice(0, k),
      body: "",
      groups: [],
    });
    for (const text of order.slice(k)) tests.push({ text, want: new Set([String(entry.id)]) });
  }
  return { items, tests, typed: tests.map((t) => ({ ...t, text: mistyped(t.text, draw) })) };
}

export type FaqLine = { name: string; k: number; clean: Score; typos: Score };

/** Runs the protocol; undefined where the data is not there. `splits`: over how many draws it is summed. */
export function faqTrials(
  file: string,
  ks: readonly number[],
  splits: number,
): FaqLine[] | undefined {
  if (!existsSync(file)) return undefined;
  const faq = Faq.parse(JSON.parse(readFileSync(file, "utf8")));
  const own: Peer = ours({ meanings: [], common: new Set() });
  const lines: FaqLine[] = [];
  for (const k of ks)
    for (const peer of [own, ...peers]) {
      // The slow ones are asked 60 messages a split; ours all.
      const limit = peer === own ? Number.POSITIVE_INFINITY : 60;
      const sums: FaqLine = { name: peer.name, k, clean: zero(peer.name), typos: zero(peer.name) };
      for (let s = 0; s < (peer === own ? splits : 1); s++) {
        const { items, tests, typed } = split(faq, k, 1000 + s);
        add(sums.clean, trial(peer, items, tests, limit));
        add(sums.typos, trial(peer, items, typed, limit));
      }
      lines.push(sums);
    }
  return lines;
}

const zero = (name: string): Score => ({ name, first: 0, three: 0, of: 0, msEach: 0, buildMs: 0 });
function add(sum: Score, one: Score): void {
  const all = sum.of + one.of;
  sum.msEach = (sum.msEach * sum.of + one.msEach * one.of) / Math.max(1, all);
  sum.first += one.first;
  sum.three += one.three;
  sum.of = all;
  sum.buildMs = one.buildMs;
}
