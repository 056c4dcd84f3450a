/** Scores every entry for a message: BM25F and the trained model blended. Pure. */

import { type Lexicon, type Reading, read } from "../reading/lexicon.js";
import type { Alarm } from "./alarm.js";
import { type Bm25, idf, scores } from "./bm25.js";
import {
  type FeatureIndex,
  featuresOf,
  productWith,
  type Vector,
  vectorOf,
  type Weights,
} from "./features.js";
import type { Lookup } from "./lookup.js";
import { type Model, scoresOf } from "./model.js";

/** The ids of what we have no answer to begin so; no entry's does. */
export const outside = "outside:";

/** Numbers of the blend, as measured by `npm run evaluate`. */
export type Blend = Readonly<{
  bm: number;
  soften: number;
  model: number;
  /** Weights of terms against a stem's 1: meanings, two stems in a row, two words of weight near each other. */
  meaning: number;
  pair: number;
  near: number;
  /** How much a term loses for each background text that it stands in. */
  background: number;
  features: Weights;
}>;

/** An ask taught at the desk: its vector, and how far whatever resembles it moves its entry. */
type Lesson = { item: number; vector: Vector; pull: number };

export type Index = {
  /** The entries' ids by number; what lies outside our subjects begins with `outside`. */
  ids: readonly string[];
  /** Of each number, whether it lies outside. */
  outside: readonly boolean[];
  lexicon: Lexicon;
  bm: Bm25;
  features: FeatureIndex;
  model: Model;
  /** Danger or not, by the whole message; none where no item is a danger. */
  alarm: Alarm | undefined;
  /** A whole ask as read → its entry's number. */
  exact: Lookup<string, number>;
  lessons: readonly Lesson[];
  /** In how many background texts a term stands. */
  background: ReadonlyMap<string, number>;
  blend: Blend;
};

export type Ranking = {
  reading: Reading;
  z: Float64Array;
  bm: Float64Array;
  model: Float64Array;
  /** The entry whose ask this is, word for word; −1 if none. */
  exact: number;
  /** Terms searched for with their weights. */
  terms: ReadonlyMap<string, number>;
};

/** How far apart two words of weight may stand, counted in words of weight, to be taken as near. */
const reach = 2;

/** The terms of a reading for BM25F with their weights: stems, meanings, pairs in a row, words near each other. */
export function termsOf(
  reading: Reading,
  blend: Blend,
  stopWords: ReadonlySet<string>,
  background?: ReadonlyMap<string, number>,
): Map<string, number> {
  const terms = new Map<string, number>();
  const add = (term: string, weight: number) => {
    if (weight > (terms.get(term) ?? 0)) terms.set(term, weight);
  };
  const less = (term: string) => 1 / (1 + blend.background * (background?.get(term) ?? 0));
  let before = "^";
  for (const { stem } of reading.tokens) {
    add(stem, less(stem));
    add(`${before} ${stem}`, blend.pair);
    before = stem;
  }
  add(`${before} $`, blend.pair);
  for (const m of reading.meanings) add(`=${m}`, blend.meaning * less(`=${m}`));
  const heavy = reading.tokens.filter((t) => !stopWords.has(t.word)).map((t) => t.stem);
  for (const [i, one] of heavy.entries())
    for (const other of heavy.slice(i + 1, i + 1 + reach))
      add(one < other ? `~${one} ${other}` : `~${other} ${one}`, blend.near);
  return terms;
}

/** A reading as the key of a whole ask. */
export const keyOf = (reading: Reading): string => reading.tokens.map((t) => t.stem).join(" ");

/** Ranks all entries for a text. `spell` false: misspelt words stay as they are. */
export function rank(index: Index, text: string, spell = true): Ranking {
  const reading = read(index.lexicon, text, spell);
  const { blend } = index;
  const terms = termsOf(reading, blend, index.lexicon.analyser.stopWords, index.background);
  const bm = scores(index.bm, terms);
  const vector = vectorOf(index.features, featuresOf(reading, blend.features), blend.features);
  const model = scoresOf(index.model, vector);
  if (index.lessons.length > 0) {
    const resemblance = productWith(vector);
    for (const { item, vector: taught, pull } of index.lessons)
      model[item] = (model[item] ?? 0) + pull * resemblance(taught);
  }
  let most = 0;
  for (const b of bm) if (b > most) most = b;
  const z = new Float64Array(bm.length);
  for (let i = 0; i < z.length; i++)
    z[i] = (blend.bm * (bm[i] ?? 0)) / (most + blend.soften) + blend.model * (model[i] ?? 0);
  const exact = index.exact.get(keyOf(reading)) ?? -1;
  return { reading, z, bm, model, exact, terms };
}

/** The share of the message's rare words, by weight, that stand in an entry; of all its words when none is rare. */
export function coverage(index: Index, ranking: Ranking, item: number): number {
  const { stopWords } = index.lexicon.analyser;
  const rare = ranking.reading.tokens.filter((t) => !stopWords.has(t.word));
  const counted = new Set((rare.length > 0 ? rare : ranking.reading.tokens).map((t) => t.stem));
  let all = 0;
  let found = 0;
  for (const stem of counted) {
    const weight = idf(index.bm, stem);
    all += weight;
    if (index.bm.terms.get(stem)?.entries.includes(item)) found += weight;
  }
  return all === 0 ? 0 : found / all;
}
