/** The index as plain values that can be kept between starts, and back. Pure. */

import type { Lexicon } from "./reading/lexicon.js";
import type { Alarm } from "./scoring/alarm.js";
import type { Bm25 } from "./scoring/bm25.js";
import type { FeatureIndex } from "./scoring/features.js";
import {
  type PackedNumbers,
  type PackedPostings,
  packNumbers,
  packPostings,
  unpackNumbers,
  unpackPostings,
} from "./scoring/lookup.js";
import type { Index } from "./scoring/rank.js";
import { analyserFor } from "./words.js";

type KeptFeatures = Omit<FeatureIndex, "ids"> & { ids: PackedNumbers };

/** An index without what only code can be: its analyser, and the tables that are looked into. */
type KeptIndex = Omit<Index, "lexicon" | "bm" | "features" | "alarm" | "exact"> & {
  lang: string;
  lexicon: Omit<Lexicon, "analyser">;
  bm: Omit<Bm25, "terms"> & { terms: PackedPostings };
  features: KeptFeatures;
  alarm: (Omit<Alarm, "features"> & { features: KeptFeatures }) | undefined;
  exact: PackedNumbers;
};

const keptFeatures = (f: FeatureIndex): KeptFeatures => ({ ...f, ids: packNumbers(f.ids) });
const featuresAgain = (f: KeptFeatures): FeatureIndex => ({ ...f, ids: unpackNumbers(f.ids) });

export function toKept({ lexicon, bm, features, alarm, exact, ...rest }: Index): KeptIndex {
  const { analyser, ...words } = lexicon;
  return {
    ...rest,
    lang: analyser.lang,
    lexicon: words,
    bm: { ...bm, terms: packPostings(bm.terms) },
    features: keptFeatures(features),
    alarm: alarm && { ...alarm, features: keptFeatures(alarm.features) },
    exact: packNumbers(exact),
  };
}

/** The index decides exactly as the one that it was made of. */
export function fromKept({ lang, lexicon, bm, features, alarm, exact, ...rest }: KeptIndex): Index {
  return {
    ...rest,
    lexicon: { ...lexicon, analyser: analyserFor(lang) },
    bm: { ...bm, terms: unpackPostings(bm.terms) },
    features: featuresAgain(features),
    alarm: alarm && { ...alarm, features: featuresAgain(alarm.features) },
    exact: unpackNumbers(exact),
  };
}
