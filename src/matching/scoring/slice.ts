/**
 * A part of the index for a phone without signal: word reading and BM25F. Left out: the trained model; the
 * common words and background texts, which cost 37 kB and find no more of our evaluation messages. Pure.
 */
import { concerns } from "../../knowledge/book.js";
import { meaningsOf } from "../indexing.js";
import type { Matcher } from "../items.js";
import { type Lexicon, lexiconOf, type Meaning, read } from "../reading/lexicon.js";
import { analyserFor } from "../words.js";
import { type Bm25, scores } from "./bm25.js";
import type { Postings } from "./lookup.js";
import { type Blend, type Index, termsOf } from "./rank.js";

/** As JSON. */
export type Slice = {
  ids: string[];
  blend: Blend;
  /** The vocabulary, with how often each word was seen: 1, 2, 4 and so on to 64. */
  words: string;
  counts: number[];
  meanings: readonly Meaning[];
  k1: number;
  /** A line a term: "stem|3c 1d": how many entries further on, and last the level of its weight, in base 36. */
  terms: string;
};

/** Weights are told in triplings: finer steps take more room and find no more of our evaluation messages. */
const step = 3;
const levelOf = (weight: number): number => Math.round(Math.log(weight * 100) / Math.log(step));
const weightOf = (level: number): number => step ** level / 100;

/**
 * Left out: what half of all entries have, two words near each other, two in a row that an entry has eight
 * times or fewer, and a word that it has once beside many other entries.
 */
const worth = (term: string, tf: number, scale: number, entries: number): boolean =>
  !term.startsWith("~") && tf > (term.includes(" ") ? 8.5 : entries > rare ? 1.5 : 0) * scale;
const rare = 6;

/** The postings of a term as they are sent; undefined where nothing of it is kept. */
function packed(index: Index, term: string, number: ReadonlyMap<number, number>) {
  const { entries = [], tf = [] } = index.bm.terms.get(term) ?? {};
  const found: [number, number][] = [];
  for (const [i, entry] of entries.entries()) {
    const at = number.get(entry);
    const weight = tf[i] ?? 0;
    if (at !== undefined && worth(term, weight, index.bm.askScale[entry] ?? 1, entries.length))
      found.push([at, weight]);
  }
  if (found.length === 0 || found.length * 2 > number.size) return undefined;
  found.sort((a, b) => a[0] - b[0]);
  const told = found.map(([at, weight], i) => {
    const before = i === 0 ? -1 : (found[i - 1]?.[0] ?? 0);
    const level = Math.min(35, Math.max(0, levelOf(weight)));
    return `${(at - before).toString(36)}${level.toString(36)}`;
  });
  return `${term}|${told.join(" ")}`;
}

function unpacked(line: string): [string, Postings] {
  const [term = "", told = ""] = line.split("|");
  const entries: number[] = [];
  const tf: number[] = [];
  let at = -1;
  for (const one of told.split(" ")) {
    at += Number.parseInt(one.slice(0, -1), 36);
    entries.push(at);
    tf.push(weightOf(Number.parseInt(one.slice(-1), 36)));
  }
  return [term, { entries, tf }];
}

/** The slice of an index that holds these entries. */
function sliceOf(index: Index, ids: readonly string[], meanings: readonly Meaning[]): Slice {
  const kept = ids.filter((id) => index.ids.includes(id));
  const number = new Map(kept.map((id, n) => [index.ids.indexOf(id), n]));
  const terms = [...index.bm.terms.keys()]
    .sort()
    .flatMap((term) => packed(index, term, number) ?? []);
  const { speller, analyser } = index.lexicon;
  // A word that leads to no entry, and stands in a single text, only takes room.
  const leads = new Set(terms.map((line) => line.split("|", 1)[0]));
  const words = speller.list.flatMap((word, i) => {
    const n = speller.counts[i] ?? 0;
    return n > 1 || leads.has(analyser.stem(word)) ? [{ word, n }] : [];
  });
  return {
    ids: kept,
    blend: index.blend,
    words: words.map(({ word }) => word).join(" "),
    counts: words.map(({ n }) => 2 ** Math.min(6, Math.floor(Math.log2(Math.max(1, n))))),
    meanings,
    k1: index.bm.k1,
    terms: terms.join("\n"),
  };
}

/** The slice of each van type: what concerns it. */
export const slicesOf = ({ book, base }: Matcher): ReadonlyMap<string, Slice> =>
  new Map(
    [...book.vans].map(([id, van]) => {
      const mine = [...book.entries.values()].filter(
        (e) => e.kind !== "courtesy" && concerns(e, van),
      );
      const ids = mine.map((e) => e.id);
      return [id, sliceOf(base, ids, meaningsOf(book))];
    }),
  );

export type OpenSlice = {
  ids: readonly string[];
  lexicon: Lexicon;
  bm: Bm25;
  blend: Blend;
};

/** Makes a slice ready to be searched. */
export function openSlice(slice: Slice): OpenSlice {
  const seen = new Map(slice.words.split(" ").map((word, i) => [word, slice.counts[i] ?? 1]));
  return {
    ids: slice.ids,
    lexicon: lexiconOf(seen, {
      analyser: analyserFor("en"),
      meanings: slice.meanings,
      common: new Set(),
    }),
    bm: {
      size: slice.ids.length,
      k1: slice.k1,
      terms: new Map(slice.terms.split("\n").map(unpacked)),
      askScale: [],
    },
    blend: slice.blend,
  };
}

/**
 * Ids of the entries that a text is likely about, the likeliest first; at most `most`. Only to be offered:
 * nothing says how sure it is. What scores under a third of the first one is left out.
 */
export function findIn(slice: OpenSlice, text: string, most: number): string[] {
  const reading = read(slice.lexicon, text);
  const { stopWords } = slice.lexicon.analyser;
  const terms = termsOf(reading, slice.blend, stopWords);
  const found = [...scores(slice.bm, terms).entries()].sort((a, b) => b[1] - a[1] || a[0] - b[0]);
  const best = found[0]?.[1] ?? 0;
  return found
    .slice(0, most)
    .filter(([, score]) => score > 0 && score >= best / 3)
    .map(([n]) => slice.ids[n] ?? "");
}
