/** BM25F over entries: asks, title and body as fields of one document. Pure. */
import { type Lookup, over, type Postings } from "./lookup.js";

type Field = "asks" | "title" | "body";
/** Weight and length normalisation (0 to 1) of each field; k1 saturates. */
type FieldSettings = Readonly<{
  k1: number;
  fields: Readonly<Record<Field, { w: number; b: number }>>;
}>;
export type Bm25 = {
  size: number;
  k1: number;
  terms: Lookup<string, Postings>;
  /** What one more word in an entry's asks weighs, by entry. */
  askScale: readonly number[];
};
/** The terms of one entry by field. */
type Fields = Readonly<Record<Field, readonly string[]>>;

/** Builds the index; entries are numbered as given. */
export function bm25(entries: readonly Fields[], settings: FieldSettings): Bm25 {
  const names = ["asks", "title", "body"] as const;
  const average = Object.fromEntries(
    names.map((f) => [
      f,
      Math.max(1, entries.reduce((n, e) => n + e[f].length, 0) / Math.max(1, entries.length)),
    ]),
  );
  const terms = new Map<string, Postings>();
  const askScale: number[] = [];
  for (const [at, entry] of entries.entries()) {
    const tf = new Map<string, number>();
    for (const f of names) {
      const { w, b } = settings.fields[f];
      const scale = w / (1 - b + (b * entry[f].length) / (average[f] ?? 1));
      if (f === "asks") askScale.push(scale);
      for (const term of entry[f]) tf.set(term, (tf.get(term) ?? 0) + scale);
    }
    for (const [term, n] of tf) {
      const p = terms.get(term) ?? { entries: [], tf: [] };
      p.entries.push(at);
      p.tf.push(n);
      terms.set(term, p);
    }
  }
  return { size: entries.length, k1: settings.k1, terms, askScale };
}

/** The index with one more ask of an entry; the old one stays as it is. */
export function withAsk(index: Bm25, entry: number, words: readonly string[]): Bm25 {
  const terms = new Map<string, Postings>();
  for (const word of words) {
    const old = terms.get(word) ?? index.terms.get(word) ?? { entries: [], tf: [] };
    const at = old.entries.indexOf(entry);
    const more = index.askScale[entry] ?? 1;
    if (at < 0) terms.set(word, { entries: [...old.entries, entry], tf: [...old.tf, more] });
    else
      terms.set(word, {
        entries: old.entries,
        tf: old.tf.map((t, i) => (i === at ? t + more : t)),
      });
  }
  return { ...index, terms: over(index.terms, terms) };
}

/** How rare a term is among the entries: Robertson–Spärck Jones with +1 inside the logarithm. */
export function idf(index: Bm25, term: string): number {
  const df = index.terms.get(term)?.entries.length ?? 0;
  return Math.log(1 + (index.size - df + 0.5) / (df + 0.5));
}

/** Scores of all entries for these weighed terms. */
export function scores(index: Bm25, terms: ReadonlyMap<string, number>): Float64Array {
  const out = new Float64Array(index.size);
  for (const [term, weight] of terms) {
    const p = index.terms.get(term);
    if (!p) continue;
    const rare = idf(index, term) * weight;
    for (let i = 0; i < p.entries.length; i++) {
      const tf = p.tf[i] ?? 0;
      const at = p.entries[i] ?? 0;
      out[at] = (out[at] ?? 0) + (rare * tf) / (index.k1 + tf);
    }
  }
  return out;
}
