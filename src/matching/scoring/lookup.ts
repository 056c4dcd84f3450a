/** Tables that are only looked into, and small ones laid over them without copying. Pure. */

export type Lookup<K, V> = { get(key: K): V | undefined; keys(): Iterable<K> };
type Layered<K, V> = Lookup<K, V> & { below?: Lookup<K, V>; top?: ReadonlyMap<K, V> };

/** The table with some keys anew; the one below stays as it is. Layers are joined, so a look takes two steps at most. */
export function over<K, V>(table: Layered<K, V>, top: ReadonlyMap<K, V>): Lookup<K, V> {
  const { below = table } = table;
  const joined = new Map([...(table.top ?? []), ...top]);
  const layered: Layered<K, V> = {
    below,
    top: joined,
    get: (k) => joined.get(k) ?? below.get(k),
    keys: () => new Set([...below.keys(), ...joined.keys()]),
  };
  return layered;
}

/** Where a term stands, and how often, by entry. */
export type Postings = Readonly<{ entries: number[]; tf: number[] }>;

/** The postings of all terms in four values: quick to keep and to read again. */
export type Packed = {
  /** One a line. */
  terms: string;
  /** Where the postings of each term begin; one more at the end. */
  starts: Int32Array;
  entries: Int32Array;
  tf: Float64Array;
};

export function pack(table: Lookup<string, Postings>): Packed {
  const terms = [...table.keys()];
  const found = terms.map((term) => table.get(term) ?? { entries: [], tf: [] });
  const starts = new Int32Array(terms.length + 1);
  for (const [i, { entries }] of found.entries()) starts[i + 1] = (starts[i] ?? 0) + entries.length;
  return {
    terms: terms.join("\n"),
    starts,
    entries: Int32Array.from(found.flatMap((p) => p.entries)),
    tf: Float64Array.from(found.flatMap((p) => p.tf)),
  };
}

/** The table again; the postings of a term are made when it is first looked for. */
export function unpack({ terms, starts, entries, tf }: Packed): Lookup<string, Postings> {
  const numbers = new Map(terms.split("\n").map((term, i) => [term, i]));
  const made = new Map<string, Postings>();
  return {
    keys: () => numbers.keys(),
    get(term) {
      const known = made.get(term);
      const i = numbers.get(term);
      if (known || i === undefined) return known;
      const at = [starts[i], starts[i + 1]] as const;
      const one = { entries: [...entries.subarray(...at)], tf: [...tf.subarray(...at)] };
      made.set(term, one);
      return one;
    },
  };
}
