/** A reading as a sparse vector: stems, pairs of stems, letters in threes, meanings, and what says danger or not. Pure. */
import type { Reading } from "../reading/lexicon.js";
import type { Lookup } from "./lookup.js";

/** `apart`: two stems in order with a word or two between. `denied`: a stem soon after a "no". */
type Family = "stem" | "pair" | "gram" | "meaning" | "apart" | "denied";
/** What each family weighs against the others; zero leaves it out. */
export type Weights = Readonly<Record<Family, number>>;

/** Up to so many words on two stems are taken as apart, and a stem as denied. */
const span = 3;
const denials = new Set(["no", "not", "without", "never", "nobody", "none", "nothing"]);

/** The features of a reading by family, with how often each was seen. */
export function featuresOf(reading: Reading, weights: Weights): Map<Family, Map<string, number>> {
  const out = new Map<Family, Map<string, number>>();
  const add = (family: Family, name: string) => {
    if (weights[family] === 0) return;
    const at = out.get(family) ?? new Map<string, number>();
    at.set(name, (at.get(name) ?? 0) + 1);
    out.set(family, at);
  };
  let before = "^";
  for (const [i, { word, stem }] of reading.tokens.entries()) {
    add("stem", `w:${stem}`);
    add("pair", `p:${before} ${stem}`);
    before = stem;
    if (weights.apart > 0 || weights.denied > 0)
      for (const [k, next] of reading.tokens.slice(i + 1, i + 1 + span).entries()) {
        if (k > 0) add("apart", `a:${stem} ${next.stem}`);
        if (denials.has(word)) add("denied", `n:${next.stem}`);
      }
    if (weights.gram === 0) continue;
    const marked = `_${word}_`;
    for (let i = 0; i + 3 <= marked.length; i++) add("gram", `g:${marked.slice(i, i + 3)}`);
  }
  if (before !== "^") add("pair", `p:${before} $`);
  for (const m of reading.meanings) add("meaning", `m:${m}`);
  return out;
}

/** A sparse vector: feature numbers and their values. */
export type Vector = { ids: Int32Array; values: Float32Array };
export type FeatureIndex = {
  ids: Lookup<string, number>;
  /** idf^.5 by feature number. */
  weights: Float32Array;
};

const leastSeen: Readonly<Record<Family, number>> = {
  stem: 1,
  meaning: 1,
  pair: 2,
  gram: 2,
  apart: 3,
  denied: 3,
};

/** Numbers the features of all training texts; those of several words or letters that are seen too rarely are dropped. */
export function indexFeatures(all: readonly Map<Family, Map<string, number>>[]): FeatureIndex {
  const seen = new Map<Family, Map<string, number>>();
  for (const one of all)
    for (const [family, names] of one) {
      const of = seen.get(family) ?? new Map<string, number>();
      seen.set(family, of);
      for (const name of names.keys()) of.set(name, (of.get(name) ?? 0) + 1);
    }
  const ids = new Map<string, number>();
  const weights: number[] = [];
  for (const [family, names] of seen)
    for (const [name, df] of names) {
      if (df < leastSeen[family]) continue;
      ids.set(name, weights.length);
      weights.push(Math.sqrt(Math.log((all.length + 1) / (df + 0.5))));
    }
  return { ids, weights: Float32Array.from(weights) };
}

/** The vector of a text: (1 + ln tf)·idf^.5, each family brought to length 1 and weighed. */
export function vectorOf(
  index: FeatureIndex,
  features: Map<Family, Map<string, number>>,
  weights: Weights,
): Vector {
  const ids: number[] = [];
  const values: number[] = [];
  for (const [family, names] of features) {
    let square = 0;
    const start = ids.length;
    for (const [name, tf] of names) {
      const id = index.ids.get(name);
      if (id === undefined) continue;
      const v = (1 + Math.log(tf)) * (index.weights[id] ?? 0);
      ids.push(id);
      values.push(v);
      square += v * v;
    }
    const scale = square > 0 ? weights[family] / Math.sqrt(square) : 0;
    for (let i = start; i < values.length; i++) values[i] = (values[i] ?? 0) * scale;
  }
  return { ids: Int32Array.from(ids), values: Float32Array.from(values) };
}

/** The product of a vector with others, for one that is multiplied many times. */
export function productWith(a: Vector): (b: Vector) => number {
  const own = new Map<number, number>();
  for (let i = 0; i < a.ids.length; i++) own.set(a.ids[i] ?? -1, a.values[i] ?? 0);
  return (b) => {
    let sum = 0;
    for (let i = 0; i < b.ids.length; i++)
      sum += (own.get(b.ids[i] ?? -1) ?? 0) * (b.values[i] ?? 0);
    return sum;
  };
}
