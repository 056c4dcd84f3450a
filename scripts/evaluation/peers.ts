/** General-purpose search libraries over the same asks, on the same messages, in the same run. */
import { Charset, Index } from "flexsearch";
import Fuse from "fuse.js";
import lunr from "lunr";
import MiniSearch from "minisearch";
import { buildIndex, settings } from "../../src/matching/indexing.js";
import type { Item } from "../../src/matching/matcher.js";
import type { Meaning } from "../../src/matching/reading/lexicon.js";
import { rank } from "../../src/matching/scoring/rank.js";

/** Ranks entry ids for a text, best first. */
export type Ranker = (text: string) => string[];
export type Peer = { name: string; build: (items: readonly Item[]) => Ranker };
export type Words = {
  meanings: readonly Meaning[];
  common: ReadonlySet<string>;
  background?: readonly string[];
};

const distinct = (ids: Iterable<string>): string[] => [...new Set(ids)].slice(0, 3);
const flat = (items: readonly Item[]) =>
  items.flatMap((i) =>
    [i.title, ...i.asks].map((ask, n) => ({ id: `${i.id}#${n}`, entry: i.id, ask })),
  );

export const peers: readonly Peer[] = [
  {
    name: "fuse.js",
    build: (items) => {
      const fuse = new Fuse(flat(items), {
        keys: ["ask"],
        ignoreLocation: true,
        includeScore: true,
      });
      return (text) => distinct(fuse.search(text, { limit: 40 }).map((r) => r.item.entry));
    },
  },
  {
    name: "fuse.js token search",
    build: (items) => {
      const fuse = new Fuse(flat(items), {
        keys: ["ask"],
        useTokenSearch: true,
        threshold: 0.3,
        ignoreLocation: true,
        includeScore: true,
      });
      return (text) => distinct(fuse.search(text, { limit: 40 }).map((r) => r.item.entry));
    },
  },
  {
    name: "MiniSearch, fuzzy and prefix",
    build: (items) => {
      const search = new MiniSearch({
        fields: ["ask"],
        storeFields: ["entry"],
        searchOptions: { fuzzy: 0.2, prefix: true },
      });
      search.addAll(flat(items));
      return (text) => distinct(search.search(text).map((r) => String(r.entry)));
    },
  },
  {
    name: "lunr, one edit",
    build: (items) => {
      const docs = flat(items);
      const entryOf = new Map(docs.map((d) => [d.id, d.entry]));
      const index = lunr(function () {
        this.field("ask");
        for (const doc of docs) this.add(doc);
      });
      return (text) => {
        const words = text.toLowerCase().match(/[\p{L}\d]+/gu) ?? [];
        const found = index.query((q) => {
          for (const w of words) {
            q.term(w, {});
            if (w.length > 4) q.term(w, { editDistance: 1, usePipeline: false, boost: 0.3 });
          }
        });
        return distinct(found.slice(0, 40).map((r) => entryOf.get(r.ref) ?? ""));
      };
    },
  },
  {
    name: "FlexSearch, any word",
    build: (items) => {
      const docs = flat(items);
      const index = new Index({ tokenize: "strict", encoder: Charset.LatinAdvanced });
      for (const [n, doc] of docs.entries()) index.add(n, doc.ask);
      return (text) =>
        distinct(
          index.search(text, { limit: 40, suggest: true }).map((n) => docs[Number(n)]?.entry ?? ""),
        );
    },
  },
];

type Blend = typeof settings.blend;
export type Change = Partial<Omit<Blend, "features">> & {
  spell?: boolean;
  share?: number;
  features?: Partial<Blend["features"]>;
};

/** The blend's own ranking, alone, with changes to its settings: for ablation and for outside data. */
export function ours(words: Words, change: Change = {}): Peer {
  return {
    name: "ours",
    build: (items) => {
      const { spell = true, share, features, ...blend } = change;
      const how = {
        blend: {
          ...settings.blend,
          ...blend,
          features: { ...settings.blend.features, ...features },
        },
        training: { ...settings.training, ...(share === undefined ? {} : { share }) },
      };
      const index = buildIndex(items, words, how);
      return (text) => {
        const { z } = rank(index, text, spell);
        return Array.from(z.keys())
          .sort((a, b) => (z[b] ?? 0) - (z[a] ?? 0))
          .slice(0, 3)
          .map((i) => items[i]?.id ?? "");
      };
    },
  };
}

export type Score = {
  name: string;
  first: number;
  three: number;
  of: number;
  msEach: number;
  buildMs: number;
};

/** Builds a ranker and puts texts to it; `limit` caps how many, for the slow ones. */
export function trial(
  peer: Peer,
  items: readonly Item[],
  tests: readonly { text: string; want: ReadonlySet<string> }[],
  limit = Number.POSITIVE_INFINITY,
): Score {
  const started = performance.now();
  const ranker = peer.build(items);
  const buildMs = performance.now() - started;
  const every = Math.max(1, Math.ceil(tests.length / limit));
  const score: Score = { name: peer.name, first: 0, three: 0, of: 0, msEach: 0, buildMs };
  const asked = performance.now();
  for (const [n, test] of tests.entries()) {
    if (n % every !== 0) continue;
    const ids = ranker(test.text);
    score.of++;
    if (test.want.has(ids[0] ?? "")) score.first++;
    if (ids.some((id) => test.want.has(id))) score.three++;
  }
  score.msEach = (performance.now() - asked) / Math.max(1, score.of);
  return score;
}

export const told = (s: Score): string =>
  `  ${s.name.padEnd(30)} first ${((100 * s.first) / s.of).toFixed(1).padStart(5)}  in three ${((100 * s.three) / s.of).toFixed(1).padStart(5)}  of ${String(s.of).padStart(5)}  ${s.msEach.toFixed(2).padStart(7)} ms each  built in ${s.buildMs.toFixed(0)} ms`;
