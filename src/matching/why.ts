/** The explanation of a decision. Pure. */
import type { Entry } from "../knowledge/book.js";
import type { Matcher } from "./items.js";
import type { Meant } from "./meant.js";
import type { DangerVerdict } from "./words.js";

/** Why it was decided so; shown at the desk and under `why` in `ask --json`. */
export type Why = {
  words: string[];
  corrected: string[];
  meanings: string[];
  /** The best entries: probability, BM25F score, the model's score. */
  entries: { id: string; p: number; bm: number; model: number }[];
  none: number;
  cover: number;
  costs: Record<string, number>;
  because: string[];
};
/** To three places, as figures are shown. */
export const round = (n: number) => Math.round(n * 1000) / 1000;

/** The ask of the first entry that is nearest to the message as read; undefined where none shares a word with it. */
export function nearestAsk({ book }: Matcher, why: Why): string | undefined {
  const words = new Set(why.words);
  let best: string | undefined;
  let most = 0;
  for (const ask of book.entries.get(why.entries[0]?.id ?? "")?.asks ?? []) {
    const own = ask.toLowerCase().split(" ");
    const shared = own.filter((w) => words.has(w)).length / Math.sqrt(own.length + 1);
    if (shared > most) [most, best] = [shared, ask];
  }
  return best;
}

/** Why: what was read, what was likely, and which rules spoke. */
export function explain(
  matcher: Matcher,
  { ranking, likely, because }: Meant,
  danger: DangerVerdict,
): Why {
  const { tokens, meanings } = ranking.reading;
  return {
    words: tokens.map((t) => t.word),
    corrected: tokens.filter((t) => t.typed !== t.word).map((t) => `${t.typed} → ${t.word}`),
    meanings,
    entries: likely.best.slice(0, 5).map(({ item, p }) => ({
      id: matcher.items[item]?.id ?? "",
      p: round(p),
      bm: round(ranking.bm[item] ?? 0),
      model: round(ranking.model[item] ?? 0),
    })),
    none: round(likely.none),
    cover: round(likely.cover),
    costs: {},
    because: [...danger.because, ...because],
  };
}

/** The entry of an item's number; none for what lies outside. */
export const entryOf = (matcher: Matcher, item: number | undefined): Entry | undefined =>
  matcher.book.entries.get(matcher.items[item ?? -1]?.id ?? "");
