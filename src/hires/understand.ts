/** What a hirer's words mean: danger read first, then one decision over all entries. Pure. */
import type { VanType } from "../knowledge/placeholders.js";
import { type Choice, type Context, choose } from "../matching/choose.js";
import type { Matcher } from "../matching/matcher.js";
import { read } from "../matching/reading/lexicon.js";
import { readDanger } from "../triage/danger.js";

export type { Choice, Context } from "../matching/choose.js";
export type Words = { text: string; van: VanType; lang?: string; context?: Context };

/** Longer than anyone writes; the rest is not read. */
const longest = 4000;

/** Understands a message. Never throws; the same words in the same talk always give the same choice. */
export function understand(matcher: Matcher, said: Words): Choice {
  const text = said.text.slice(0, longest);
  const also = read(matcher.index.lexicon, text)
    .tokens.map((t) => t.word)
    .join(" ");
  const danger = readDanger(text, matcher.book, {
    van: said.van,
    also,
    ...(said.lang ? { lang: said.lang } : {}),
  });
  return choose(matcher, { ...said, text, danger });
}
