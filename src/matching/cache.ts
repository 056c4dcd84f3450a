/** The index as plain values that can be kept between starts, and back. Pure. */

import type { Lexicon } from "./reading/lexicon.js";
import type { Bm25 } from "./scoring/bm25.js";
import { type Packed, pack, unpack } from "./scoring/lookup.js";
import type { Index } from "./scoring/rank.js";
import { analyserFor } from "./words.js";

/** An index without what only code can be: its analyser, and the tables that are looked into. */
export type KeptIndex = Omit<Index, "lexicon" | "bm"> & {
  lang: string;
  lexicon: Omit<Lexicon, "analyser">;
  bm: Omit<Bm25, "terms"> & { terms: Packed };
};

export function toKept({ lexicon, bm, ...rest }: Index): KeptIndex {
  const { analyser, ...words } = lexicon;
  return { ...rest, lang: analyser.lang, lexicon: words, bm: { ...bm, terms: pack(bm.terms) } };
}

/** The index decides exactly as the one that it was made of. */
export function fromKept({ lang, lexicon, bm, ...rest }: KeptIndex): Index {
  return {
    ...rest,
    lexicon: { ...lexicon, analyser: analyserFor(lang) },
    bm: { ...bm, terms: unpack(bm.terms) },
  };
}
