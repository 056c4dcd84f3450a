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

/** Strings numbered from 0, in values that are quick to keep and to read again: found by hash, without a map of them. */
type Names = {
  /** All of them, one after the other. */
  text: string;
  /** Where each begins; one more at the end. */
  starts: Int32Array;
  /** Open addressing with linear steps: a number and one more, or 0; at most half full. */
  slots: Int32Array;
};

/** FNV-1a over UTF-16 code units, 32 bits. */
function hash(name: string): number {
  let h = 2166136261;
  for (let i = 0; i < name.length; i++) h = Math.imul(h ^ name.charCodeAt(i), 16777619);
  return h >>> 0;
}

function namesOf(all: readonly string[]): Names {
  const starts = new Int32Array(all.length + 1);
  const slots = new Int32Array(2 ** Math.ceil(Math.log2(2 * all.length + 2)));
  for (const [i, name] of all.entries()) {
    starts[i + 1] = (starts[i] ?? 0) + name.length;
    let at = hash(name) % slots.length;
    while (slots[at] !== 0) at = (at + 1) % slots.length;
    slots[at] = i + 1;
  }
  return { text: all.join(""), starts, slots };
}

/** The number of a name; −1 where it is none of them. */
function numberOf({ text, starts, slots }: Names, name: string): number {
  for (let at = hash(name) % slots.length; slots[at] !== 0; at = (at + 1) % slots.length) {
    const i = (slots[at] ?? 0) - 1;
    const from = starts[i] ?? 0;
    if ((starts[i + 1] ?? 0) - from === name.length && text.startsWith(name, from)) return i;
  }
  return -1;
}

const listOf = ({ text, starts }: Names): string[] =>
  Array.from(starts.subarray(1), (end, i) => text.slice(starts[i], end));

/** A table of numbers as it is kept. */
export type PackedNumbers = { names: Names; numbers: Int32Array };

export function packNumbers(table: Lookup<string, number>): PackedNumbers {
  const names = [...table.keys()];
  return {
    names: namesOf(names),
    numbers: Int32Array.from(names, (name) => table.get(name) ?? 0),
  };
}

export const unpackNumbers = ({ names, numbers }: PackedNumbers): Lookup<string, number> => ({
  keys: () => listOf(names),
  get: (name) => numbers[numberOf(names, name)],
});

/** Where a term stands, and how often, by entry. */
export type Postings = Readonly<{ entries: number[]; tf: number[] }>;

/** The postings of all terms as they are kept. */
export type PackedPostings = {
  terms: Names;
  /** Where the postings of each term begin; one more at the end. */
  starts: Int32Array;
  entries: Int32Array;
  tf: Float64Array;
};

export function packPostings(table: Lookup<string, Postings>): PackedPostings {
  const terms = [...table.keys()];
  const found = terms.map((term) => table.get(term) ?? { entries: [], tf: [] });
  const starts = new Int32Array(terms.length + 1);
  for (const [i, { entries }] of found.entries()) starts[i + 1] = (starts[i] ?? 0) + entries.length;
  return {
    terms: namesOf(terms),
    starts,
    entries: Int32Array.from(found.flatMap((p) => p.entries)),
    tf: Float64Array.from(found.flatMap((p) => p.tf)),
  };
}

/** The table again; the postings of a term are made when it is first looked for. */
export function unpackPostings(packed: PackedPostings): Lookup<string, Postings> {
  const { terms, starts, entries, tf } = packed;
  const made = new Map<string, Postings>();
  return {
    keys: () => listOf(terms),
    get(term) {
      const known = made.get(term);
      const i = known ? -1 : numberOf(terms, term);
      if (i < 0) return known;
      const at = [starts[i], starts[i + 1]] as const;
      const one = { entries: [...entries.subarray(...at)], tf: [...tf.subarray(...at)] };
      made.set(term, one);
      return one;
    },
  };
}
