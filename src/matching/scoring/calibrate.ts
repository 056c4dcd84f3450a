/** From scores to probabilities: which entry is meant, and whether any of ours is. Pure. */
import { coverage, type Index, type Ranking } from "./rank.js";

/**
 * Fitted by logistic regression on the evaluation messages to tune on (none of them is an ask); the final
 * test of `npm run evaluate` was not seen.
 */
type Scale = Readonly<{
  /** Sharpness of the choice among entries. */
  sharp: number;
  /** Log-odds that an entry of ours is meant: 1, log-odds against outside, cover, bm/10, score, words/10, lead. */
  ours: readonly [number, number, number, number, number, number, number];
  /** Log-odds added when the message is one of our asks word for word. */
  exact: number;
}>;
const scale: Scale = {
  sharp: 0.6,
  ours: [-12.5, 1.25, 2.02, 0.36, 0.151, -1.99, 0.075],
  exact: 6,
};

export type Likely = { item: number; p: number; z: number };
export type Likelihood = {
  /** The best entries of ours, best first. */
  best: Likely[];
  /** How likely it is that no entry of ours is meant; with all entries' p it sums to one. */
  none: number;
  /** The share of the message's rare words that the first entry holds. */
  cover: number;
};

const between = (low: number, x: number, high: number) => Math.max(low, Math.min(high, x));

/** The log-odds that an entry of ours is meant at all. */
function oursOdds(
  index: Index,
  ranking: Ranking,
  at: { first: number; second: number; out: number },
): number {
  const z = (i: number) => ranking.z[i] ?? 0;
  const facts = [
    1,
    between(-6, Math.log((1 - at.out + 1e-6) / (at.out + 1e-6)), 6),
    coverage(index, ranking, at.first),
    Math.min(60, ranking.bm[at.first] ?? 0) / 10,
    z(at.first),
    Math.min(ranking.reading.tokens.length, 20) / 10,
    z(at.first) - z(at.second),
  ];
  const sum = scale.ours.reduce((s, w, k) => s + w * (facts[k] ?? 0), 0);
  return ranking.exact >= 0 && !index.outside[ranking.exact] ? sum + scale.exact : sum;
}

/** The probabilities of the `many` best entries. `bias`: added to each entry's score, for what is known besides. */
export function likelihood(
  index: Index,
  ranking: Ranking,
  many = 8,
  bias?: ArrayLike<number>,
): Likelihood {
  const n = ranking.z.length;
  const z = new Float64Array(n);
  let most = Number.NEGATIVE_INFINITY;
  let nearest = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < n; i++) {
    const s =
      scale.sharp * (ranking.z[i] ?? 0) +
      (i === ranking.exact ? scale.exact : 0) +
      (bias?.[i] ?? 0);
    z[i] = s;
    if (s > most) most = s;
    if (s > nearest && !index.outside[i]) nearest = s;
  }
  let ours = 0;
  let out = 0;
  // Only what is within reach of the best is put in order: the rest has no probability to speak of.
  const within: number[] = [];
  for (let i = 0; i < n; i++) {
    const s = z[i] ?? 0;
    const e = Math.exp(s - most);
    if (index.outside[i]) out += e;
    else {
      ours += e;
      if (s > nearest - 12) within.push(i);
    }
  }
  const order = within.sort((a, b) => (z[b] ?? 0) - (z[a] ?? 0)).slice(0, many);
  const [first = -1, second = -1] = order;
  if (first < 0) return { best: [], none: 1, cover: 0 };
  const pOurs =
    1 / (1 + Math.exp(-oursOdds(index, ranking, { first, second, out: out / (ours + out) })));
  return {
    best: order.map((item) => ({
      item,
      p: (pOurs * Math.exp((z[item] ?? 0) - most)) / Math.max(ours, 1e-12),
      z: ranking.z[item] ?? 0,
    })),
    none: 1 - pOurs,
    cover: coverage(index, ranking, first),
  };
}
