/**
 * The vocabulary, and the nearest word of it for a misspelt one. Candidates share letter pairs with the
 * word, Fuse.js scores them, and edits weighed by how fingers slip decide. Never worse than no correction:
 * short words, words with digits, common English words and known stems stay as they are. Pure; the cache
 * only remembers results.
 */
import Fuse from "fuse.js";

export type Speller = {
  list: string[];
  /** How often each word of `list` stands in asks, titles and texts. */
  counts: number[];
  index: Map<string, number>;
  pairs: Map<string, number[]>;
  cache: Map<string, string | null>;
};

const cacheLimit = 20_000;

/** Letter pairs with the ends marked; a word's shape for finding near ones. */
function pairsOf(word: string): string[] {
  const w = `^${word}$`;
  const out: string[] = [];
  for (let i = 0; i + 1 < w.length; i++) out.push(w.slice(i, i + 2));
  return out;
}

/** Builds a speller over words and how often each was seen. */
export function speller(seen: ReadonlyMap<string, number>): Speller {
  const list = [...seen.keys()].filter((w) => w.length >= 3 && !/\d/.test(w)).sort();
  const pairs = new Map<string, number[]>();
  for (const [i, word] of list.entries())
    for (const p of new Set(pairsOf(word))) {
      const at = pairs.get(p);
      if (at) at.push(i);
      else pairs.set(p, [i]);
    }
  return {
    list,
    counts: list.map((w) => seen.get(w) ?? 0),
    index: new Map(list.map((w, i) => [w, i])),
    pairs,
    cache: new Map(),
  };
}

const rows = ["qwertyuiop", "asdfghjkl", "zxcvbnm"];
const place = new Map(
  rows.flatMap((r, y) => [...r].map((k, x) => [k, [x + y * 0.5, y] as const] as const)),
);
function neighbours(a: string, b: string): boolean {
  const p = place.get(a);
  const q = place.get(b);
  return (
    p !== undefined && q !== undefined && Math.abs(p[0] - q[0]) <= 1.1 && Math.abs(p[1] - q[1]) <= 1
  );
}

const cost = {
  same: 0,
  other: 1,
  near: 0.7,
  swap: 0.7,
  extra: 0.9,
  missing: 0.8,
  doubled: 0.5,
  first: 0.3,
} as const;

/**
 * Edits from what was typed to a word, in weighed steps (optimal string alignment: swap .7, neighbour
 * key .7, letter too many .9, too few .8, a doubled letter .5; the first letter .3 more).
 */
export function edits(typed: string, word: string, most = 3): number {
  const n = typed.length;
  const m = word.length;
  let before: number[] = [];
  let row = Array.from({ length: m + 1 }, (_, j) => j * cost.missing + (j > 0 ? cost.first : 0));
  for (let i = 1; i <= n; i++) {
    const a = typed[i - 1] ?? "";
    const next = [i * cost.extra + cost.first];
    let least = next[0] ?? 0;
    for (let j = 1; j <= m; j++) {
      const b = word[j - 1] ?? "";
      const first = i === 1 && j === 1 ? cost.first : 0;
      const change =
        (row[j - 1] ?? 0) + (a === b ? 0 : (neighbours(a, b) ? cost.near : cost.other) + first);
      const extra = (row[j] ?? 0) + (i > 1 && a === typed[i - 2] ? cost.doubled : cost.extra);
      const missing =
        (next[j - 1] ?? 0) + (j > 1 && b === word[j - 2] ? cost.doubled : cost.missing);
      let d = Math.min(change, extra, missing);
      if (i > 1 && j > 1 && a === word[j - 2] && b === typed[i - 2] && a !== b)
        d = Math.min(d, (before[j - 2] ?? 0) + cost.swap + (i === 2 && j === 2 ? cost.first : 0));
      next.push(d);
      if (d < least) least = d;
    }
    if (least > most) return most + 1;
    before = row;
    row = next;
  }
  return row[m] ?? most + 1;
}

/** What one slip of a finger costs at most (see `edits`). */
export const oneEdit = 1;

/** How far a word lies from what was typed: its edits, and the less the oftener it is written, since it is then likelier meant. */
export const distance = (far: number, count: number): number => far - 0.08 * Math.log(1 + count);

/** The words of the vocabulary that share most letter pairs with the typed one; at most `many`. */
function near(s: Speller, typed: string, many: number): number[] {
  const shared = new Map<number, number>();
  const own = new Set(pairsOf(typed));
  for (const p of own)
    for (const i of s.pairs.get(p) ?? []) shared.set(i, (shared.get(i) ?? 0) + 1);
  const scored: [number, number][] = [];
  for (const [i, n] of shared) {
    const length = s.list[i]?.length ?? 0;
    const alike = (2 * n) / (own.size + length + 1);
    // A third of the letter pairs in common: less is no slip of the finger.
    if (alike > 0.33 && Math.abs(length - typed.length) <= 2) scored.push([i, alike]);
  }
  return scored
    .sort((a, b) => b[1] - a[1] || a[0] - b[0])
    .slice(0, many)
    .map(([i]) => i);
}

/** The nearest word of the vocabulary, or null when none is near enough. */
export function correct(s: Speller, typed: string): string | null {
  const known = s.cache.get(typed);
  if (known !== undefined) return known;
  const found = nearest(s, typed);
  if (s.cache.size >= cacheLimit) s.cache.clear();
  s.cache.set(typed, found);
  return found;
}

function nearest(s: Speller, typed: string): string | null {
  if (typed.length < 4 || typed.length > 24 || /\d/.test(typed)) return null;
  const limit = typed.length < 7 ? 1.1 : 1.8;
  const at = near(s, typed, 24);
  const fuse = new Fuse(
    at.map((i) => s.list[i] ?? ""),
    { includeScore: true, threshold: 0.6, ignoreLocation: true },
  );
  // Fuse.js leaves out what cannot be meant; a swap at the ends it may miss, so the six nearest stay.
  const kept = new Set(fuse.search(typed).map((r) => r.refIndex));
  let best: string | null = null;
  let least = Number.POSITIVE_INFINITY;
  for (const [k, i] of at.entries()) {
    if (k >= 6 && !kept.has(k)) continue;
    const word = s.list[i] ?? "";
    const e = edits(typed, word, limit);
    if (e > limit) continue;
    const d = distance(e, s.counts[i] ?? 0);
    if (d < least) [least, best] = [d, word];
  }
  return best;
}
