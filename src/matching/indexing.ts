/** The index over items: read, counted and trained. Pure. */
import type { Book, Entry } from "../knowledge/book.js";
import type { Item } from "./items.js";
import { lexicon, type Meaning, type Reading, readWords } from "./reading/lexicon.js";
import { learnAlarm } from "./scoring/alarm.js";
import { bm25 } from "./scoring/bm25.js";
import { featuresOf, indexFeatures, vectorOf } from "./scoring/features.js";
import { type Training, train } from "./scoring/model.js";
import { type Blend, type Index, keyOf, outside, termsOf } from "./scoring/rank.js";
import { analyserFor, words } from "./words.js";

/** Measured with `npm run evaluate`. */
export const settings: { blend: Blend; training: Training } = {
  blend: {
    bm: 17,
    soften: 3,
    model: 0.66,
    meaning: 0.8,
    pair: 0.4,
    near: 0.2,
    background: 0.15,
    features: { stem: 1, pair: 0.5, gram: 0.7, meaning: 0.8, apart: 0, denied: 0 },
  },
  training: { epochs: 8, rate: 1, share: 0.5, floor: 0.003, perEntry: 112 },
};
const fields = {
  k1: 1.2,
  fields: { asks: { w: 2, b: 0.7 }, title: { w: 2, b: 0.5 }, body: { w: 0.6, b: 0.7 } },
} as const;

/** Dangers are told in more ways than anything else: so many times more of their texts are learnt from. */
const dangerous = 6;

/** Which texts the model is trained on: at most so many of each entry, spread evenly over its asks. */
function lessonsOf(docs: readonly { i: number }[], most: (item: number) => number): number[] {
  const of = new Map<number, number[]>();
  for (const [k, { i }] of docs.entries()) of.set(i, [...(of.get(i) ?? []), k]);
  return [...of].flatMap(([i, all]) => {
    const perEntry = most(i);
    const step = Math.max(1, all.length / perEntry);
    return Array.from(
      { length: Math.min(all.length, perEntry) },
      (_, n) => all[Math.floor(n * step)] ?? 0,
    );
  });
}

type Words = {
  meanings: readonly Meaning[];
  common: ReadonlySet<string>;
  real?: ReadonlySet<string>;
  background?: readonly string[];
};

/** Builds the index over any items; the book's own are one kind of them. */
export function buildIndex(
  items: readonly Item[],
  { background = [], ...known }: Words,
  how = settings,
): Index {
  const apart = items.map((i) => ({
    asks: i.asks.map(words),
    title: words(i.title),
    body: words(i.body),
  }));
  const lex = lexicon({
    analyser: analyserFor("en"),
    asks: apart.flatMap((i) => i.asks),
    texts: apart.flatMap((i) => [i.title, i.body]),
    ...known,
  });
  const { blend, training } = how;
  const reading = (text: readonly string[]) => readWords(lex, text, false);
  const asks = apart.map((i) => i.asks.map(reading));
  const titles = apart.map((i) => reading(i.title));
  const terms = (r: Reading) => [...termsOf(r, blend, lex.analyser.stopWords).keys()];
  const bm = bm25(
    apart.map((item, i) => ({
      asks: (asks[i] ?? []).flatMap(terms),
      title: titles.slice(i, i + 1).flatMap(terms),
      body: terms(reading(item.body)),
    })),
    fields,
  );
  const docs = items.flatMap((_, i) =>
    [...(asks[i] ?? []), ...titles.slice(i, i + 1)]
      .filter((r) => r.tokens.length > 0)
      .map((r) => ({ i, r })),
  );
  const perilous = items.map((i) => i.groups.includes("danger"));
  const taken = lessonsOf(docs, (i) => training.perEntry * (perilous[i] ? dangerous : 1)).flatMap(
    (k) => docs[k] ?? [],
  );
  const found = taken.map(({ r }) => featuresOf(r, blend.features));
  const features = indexFeatures(found);
  const names = [...new Set(items.flatMap((i) => i.groups))];
  const lessons = {
    docs: found.map((f) => vectorOf(features, f, blend.features)),
    labels: Int32Array.from(taken, (d) => d.i),
    classes: items.length,
    features: features.weights.length,
    groups: items.map((i) => i.groups.map((g) => names.indexOf(g))),
  };
  const alarms = Int32Array.from(docs, ({ i }) => (perilous[i] ? 1 : 0));
  const around = new Map<string, number>();
  for (const text of background)
    for (const term of terms(reading(words(text)))) around.set(term, (around.get(term) ?? 0) + 1);
  const exact = new Map<string, number>();
  for (const { i, r } of docs) exact.set(keyOf(r), i);
  return {
    ids: items.map((i) => i.id),
    outside: items.map((i) => i.id.startsWith(outside)),
    lexicon: lex,
    bm,
    features,
    model: train(lessons, training),
    alarm: alarms.includes(1)
      ? learnAlarm(
          docs.map(({ r }) => r),
          alarms,
        )
      : undefined,
    exact,
    lessons: [],
    background: around,
    blend,
  };
}

/** The meanings of a book: those of meanings.yaml, and each list of words.yaml. */
export const meaningsOf = (book: Book): Meaning[] => [
  ...Object.entries(book.meanings).map(([name, forms]) => ({ name, forms })),
  ...book.words.same.map((forms, i) => ({ name: `same-${i}`, forms })),
];

export const noPlaceholders = (text: string) => text.replace(/\{[^}]*\}/g, " ");

/** The words of an entry's own texts, without placeholders. */
export function bodyOf(entry: Entry): string {
  const parts: (string | undefined)[] = [];
  if (entry.kind === "courtesy") parts.push(entry.text.reply);
  else if (entry.kind === "danger") parts.push(...entry.text.steps);
  else if (entry.text) {
    parts.push(entry.text.lead, ...entry.text.steps);
    if (entry.kind === "light") parts.push(entry.text.symbol, entry.text.means);
  }
  return noPlaceholders(parts.filter((p) => p !== undefined).join(". "));
}
