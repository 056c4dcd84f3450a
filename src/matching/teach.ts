/** New wordings taught at the desk, at once and as quickly undone: laid over the trained index. Pure. */

import type { Matcher, Taught } from "./items.js";
import { read } from "./reading/lexicon.js";
import { withAsk } from "./scoring/bm25.js";
import { featuresOf, vectorOf } from "./scoring/features.js";
import { over } from "./scoring/lookup.js";
import { type Index, keyOf, rank, termsOf } from "./scoring/rank.js";

/** By how much the entry of a taught ask must lead on that very ask. */
const lead = 3;

function withLesson(index: Index, item: number, ask: string): Index {
  const reading = read(index.lexicon, ask, false);
  const lexicon = {
    ...index.lexicon,
    stems: new Set([...index.lexicon.stems, ...reading.tokens.map((t) => t.stem)]),
    recent: new Map(),
  };
  const wider = { ...index, lexicon };
  const vector = vectorOf(
    index.features,
    featuresOf(reading, index.blend.features),
    index.blend.features,
  );
  const { model } = rank(wider, ask);
  let rival = Number.NEGATIVE_INFINITY;
  for (const [i, s] of model.entries()) if (i !== item && s > rival) rival = s;
  const size = vector.values.reduce((s, v) => s + v * v, 0);
  const pull = size > 0 ? Math.max(0, rival + lead - (model[item] ?? 0)) / size : 0;
  return {
    ...wider,
    bm: withAsk(index.bm, item, [
      ...termsOf(reading, index.blend, index.lexicon.analyser.stopWords).keys(),
    ]),
    exact: over(index.exact, new Map([[keyOf(reading), item]])),
    lessons: [...index.lessons, { item, vector, pull }],
  };
}

/** The matcher with one more ask. An entry that does not exist, or an ask without a word, changes nothing. */
export function teach(matcher: Matcher, taught: Taught): Matcher {
  const item = matcher.numbers.get(taught.entry);
  if (item === undefined || read(matcher.index.lexicon, taught.ask, false).tokens.length === 0)
    return matcher;
  if (matcher.taught.some((t) => t.entry === taught.entry && t.ask === taught.ask)) return matcher;
  return {
    ...matcher,
    index: withLesson(matcher.index, item, taught.ask),
    taught: [...matcher.taught, taught],
  };
}

/** The matcher without an ask that was taught; the others stay. */
export function unteach(matcher: Matcher, taught: Taught): Matcher {
  const rest = matcher.taught.filter((t) => t.entry !== taught.entry || t.ask !== taught.ask);
  if (rest.length === matcher.taught.length) return matcher;
  return rest.reduce(teach, { ...matcher, index: matcher.base, taught: [] } as Matcher);
}
