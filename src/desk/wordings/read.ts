/** What was typed for a new wording: read, or what is wrong with it. */
import type { Matcher, Taught } from "../../matching/matcher.js";
import { read } from "../../matching/reading/lexicon.js";
import { keyOf } from "../../matching/scoring/rank.js";
import { hasGap, plain } from "../../wordings/plain.js";

const longest = 300;

export type Typed = { ask: string; entry: string };
export const typedIn = (body: Record<string, unknown>): Typed => ({
  ask: String(body["ask"] ?? "")
    .replace(/\s+/g, " ")
    .trim(),
  entry: String(body["entry"] ?? ""),
});

/** The wording, or one line of what is wrong and what would be right. */
export function readWording({ ask, entry }: Typed, matcher: Matcher): Taught | string {
  const { book, index, items, numbers, taught } = matcher;
  const about = book.entries.get(entry);
  if (!about || !numbers.has(entry)) return "Choose the entry that answers it.";
  if (ask.length > longest)
    return `It is too long: a wording of at most ${longest} letters is needed.`;
  const reading = read(index.lexicon, ask, false);
  if (reading.tokens.length === 0)
    return "There is no word in it: write it as a hirer would ask it.";
  if (plain(ask, []) !== ask || hasGap(ask))
    return "It tells of one person or van: leave out names, numbers, plates and addresses.";
  if (taught.some((t) => t.entry === entry && t.ask === ask)) return "It is kept already.";
  const known = items[index.exact.get(keyOf(reading)) ?? -1]?.id;
  if (known === entry) return "It is an ask of this entry already.";
  if (known !== undefined && book.entries.has(known))
    return `It is an ask of "${book.entries.get(known)?.title}" word for word. Take it out there first.`;
  return { entry, ask };
}
