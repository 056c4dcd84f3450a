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
  return unclearLight(matcher, choose(matcher, { ...said, text, danger }));
}

/**
 * Lights of which none is named for certain, where "a light you do not know" is one of the meanings: that is
 * what it is, so it stops the van and its colour is asked, before the sheet of lights.
 */
function unclearLight({ book }: Matcher, choice: Choice): Choice {
  const [lead] = choice.entries;
  const unknown = choice.entries.find((e) => e.id === "unknown-light" && e.p >= 0.1);
  if (
    choice.outcome !== "choices" ||
    !unknown ||
    book.entries.get(lead?.id ?? "")?.kind !== "light"
  )
    return choice;
  const entries = [unknown, ...choice.entries.filter((e) => e !== unknown)];
  return { ...choice, outcome: "triage", answered: 1, entries };
}
