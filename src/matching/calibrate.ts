/** From scores to probabilities: one scale over the best entries and "none of ours". Pure. */
import { coverage, type Index, type Ranking } from "./rank.js";

/** Fitted by `npm run evaluate -- --fit` on asks left out; none of the final test was seen. */
export type Scale = Readonly<{ z: number; none: number; cover: number; exact: number }>;
export const scale: Scale = { z: 2.2, none: 3.2, cover: 4, exact: 6 };

export type Likely = { item: number; p: number; z: number };
export type Likelihood = {
  /** The best entries, best first; their p and `none` sum to less than or about one. */
  best: Likely[];
  /** How likely it is that no entry of ours is meant. */
  none: number;
  /** The share of the message's rare words that the first entry holds. */
  cover: number;
};

/** The probabilities of the `many` best entries. `bias`: added to an entry's score, for what is known besides. */
export function likelihood(index: Index, ranking: Ranking, many = 8, bias?: (item: number) => number): Likelihood {
  const z = [...ranking.z].map((s, i) => s * scale.z + (i === ranking.exact ? scale.exact : 0) + (bias?.(i) ?? 0));
  const order = z.map((_, i) => i).sort((a, b) => (z[b] ?? 0) - (z[a] ?? 0)).slice(0, many);
  const first = order[0];
  if (first === undefined) return { best: [], none: 1, cover: 0 };
  const cover = coverage(index, ranking, first);
  const most = z[first] ?? 0;
  const none = Math.exp(scale.none + scale.cover * (1 - cover) - most);
  let sum = none;
  for (const s of z) sum += Math.exp(s - most);
  return {
    best: order.map((item) => ({ item, p: Math.exp((z[item] ?? 0) - most) / sum, z: ranking.z[item] ?? 0 })),
    none: none / sum,
    cover,
  };
}
