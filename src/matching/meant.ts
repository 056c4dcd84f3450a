/** Which entries a message means: whole, in pieces, and in the light of the talk so far. Pure. */
import { isTrouble } from "../knowledge/book.js";
import type { VanType } from "../knowledge/placeholders.js";
import { prior } from "./costs.js";
import type { Matcher } from "./items.js";
import { asks, asksOutright, clauses, pieces, withoutLead } from "./reading/parts.js";
import { type Context, leans, takesUp, turnsDown } from "./reading/talk.js";
import { type Likelihood, type Likely, likelihood } from "./scoring/calibrate.js";
import { type Ranking, rank } from "./scoring/rank.js";

/** A part of a message, read alone. `tells`: of what is so now. */
export type Piece = { text: string; asks: boolean; tells: boolean; likely: Likelihood };
/** `parts`: as its questions part it; `clauses`: what else it tells, parted finer. */
export type Meant = {
  ranking: Ranking;
  likely: Likelihood;
  parts: Piece[];
  clauses: Piece[];
  because: string[];
};

/** Joins probabilities by weight; items keep the sum of their shares. */
function mixed(parts: readonly (readonly [Likelihood, number])[]): Likelihood {
  const all = parts.reduce((s, [, w]) => s + w, 0) || 1;
  const p = new Map<number, Likely>();
  let none = 0;
  let cover = 0;
  for (const [one, w] of parts) {
    none += (w / all) * one.none;
    cover += (w / all) * one.cover;
    for (const b of one.best) p.set(b.item, { ...b, p: (p.get(b.item)?.p ?? 0) + (w / all) * b.p });
  }
  return { best: [...p.values()].sort((a, b) => b.p - a.p), none, cover };
}

/** Reads one text on its own. */
function alone(
  matcher: Matcher,
  text: string,
  van: VanType,
): { ranking: Ranking; likely: Likelihood } {
  const ranking = rank(matcher.index, text);
  return { ranking, likely: likelihood(matcher.index, ranking, 12, matcher.bias.get(van.id)) };
}

/** One piece, which asks if it does so as typed or with misspelt words put right. */
function pieceOf(matcher: Matcher, text: string, van: VanType): Piece {
  const { ranking, likely } = alone(matcher, text, van);
  const understood = ranking.reading.tokens.map((t) => t.word).join(" ");
  return { text, asks: asks(text) || asks(understood), tells: false, likely };
}

/** How many words of weight a ranking's message has: no stop words, no scraps. */
const rareWords = (matcher: Matcher, ranking: Ranking) =>
  ranking.reading.tokens.filter(
    (t) => !matcher.index.lexicon.analyser.stopWords.has(t.word) && t.word.length > 1,
  ).length;

/** The message read after the title of what was told last, leaning to its neighbours and away from itself. */
function afterLast(
  matcher: Matcher,
  text: string,
  van: VanType,
  last: string,
): Likelihood | undefined {
  const { book, items, numbers } = matcher;
  const entry = book.entries.get(last);
  const own = numbers.get(last);
  if (!entry || own === undefined) return undefined;
  const related = new Set<number>();
  if (entry.kind !== "courtesy" && entry.text)
    for (const id of entry.text.related) related.add(numbers.get(id) ?? -1);
  if (entry.kind === "answer")
    for (const f of entry.text.followUps) related.add(numbers.get(f.entry) ?? -1);
  const again = turnsDown(text) ? prior.another : prior.again;
  const ranking = rank(matcher.index, `${items[own]?.title ?? ""}. ${text}`);
  const bias = Float64Array.from(
    items,
    (_, i) =>
      (matcher.bias.get(van.id)?.[i] ?? 0) +
      (i === own ? again : 0) +
      (related.has(i) ? prior.related : 0),
  );
  return likelihood(matcher.index, { ...ranking, exact: -1 }, 12, bias);
}

/** From which probability words that take nothing up mean what they mean alone, and a trouble that they tell. Set by hand. */
const sure = { plain: 0.7, trouble: 0.5 };

/**
 * Whether the words alone mean something of their own: they take nothing up and are plain ("fridge not cold"), or
 * tell of a light or a fault surer than what they mean after what was told last ("and the battery light red too").
 */
function standsAlone({ book, items }: Matcher, text: string, own: Likelihood, after: Likelihood) {
  const [top] = own.best;
  const p = top?.p ?? 0;
  if (!takesUp(text)) return p >= sure.plain;
  const entry = book.entries.get(items[top?.item ?? -1]?.id ?? "");
  const surer = p >= Math.max(sure.trouble, after.best[0]?.p ?? 0);
  const tells = isTrouble(entry) && !asksOutright(text);
  return tells && surer && !turnsDown(text);
}

/** Finds what a message means. */
export function meant(matcher: Matcher, text: string, van: VanType, context?: Context): Meant {
  const because: string[] = [];
  const said = withoutLead(text);
  const whole = alone(matcher, said, van);
  let likely = whole.likely;
  const split = pieces(said);
  const parts =
    split.length < 2 || split.length > 12 ? [] : split.map((t) => pieceOf(matcher, t, van));
  const finer = clauses(said).map((text) => {
    const known = parts.find((part) => part.text === text);
    return {
      text,
      asks: false,
      tells: true,
      likely: known?.likely ?? alone(matcher, text, van).likely,
    };
  });
  const last = context?.lastEntries[0];
  if (last !== undefined) {
    const lean =
      leans(said, rareWords(matcher, whole.ranking)) * (whole.ranking.exact >= 0 ? 0.3 : 1);
    const after = lean > 0.2 ? afterLast(matcher, said, van, last) : undefined;
    if (after && !standsAlone(matcher, said, whole.likely, after)) {
      likely = mixed([
        [likely, 1 - lean * 0.8],
        [after, lean * 0.8],
      ]);
      because.push(`leans ${lean.toFixed(2)} on ${last}`);
    }
  }
  return { ranking: whole.ranking, likely, parts, clauses: finer, because };
}
