/**
 * Misspelt words among the asks, which people wrote as hirers write: "lihgt" three times beside "light" a thousand
 * times. Taken for a word of its own it would never be put right, and weigh more than any other for being rare. Pure.
 */
import type { Analyser } from "../words.js";
import { distance, edits, oneEdit } from "./speller.js";

/** A word that stands in the texts this often may be what was meant… */
const often = 20;
/** …and so many times as often as its misspelling, which is one slip of a finger away and begins with the same letter. */
const times = 20;
/** A word of three letters is meant only with one of them doubled: "gass". */
const doubled = 0.5;
const shortest = 4;

const isWord = (word: string, least = shortest): boolean =>
  word.length >= least && !/\d/.test(word);

/** The word, and what is left of it without each letter but the first: two words one slip apart share one of these. */
function shortened(word: string): Set<string> {
  const all = new Set([word]);
  for (let i = 1; i < word.length; i++) all.add(word.slice(0, i) + word.slice(i + 1));
  return all;
}

/**
 * Misspelt word → what is meant. A form of a word ("lights") is no slip of another.
 * @param seen how often each word stands in the texts
 * @param isReal whether a word, however rare, is right as it stands
 */
export function slipsIn(
  seen: ReadonlyMap<string, number>,
  { stem }: Analyser,
  isReal: (word: string) => boolean,
): Map<string, string> {
  const near = new Map<string, string[]>();
  for (const [word, n] of seen)
    if (n >= often && isWord(word, shortest - 1))
      for (const part of shortened(word)) near.set(part, [...(near.get(part) ?? []), word]);
  const slips = new Map<string, string>();
  for (const [word, n] of seen) {
    if (!isWord(word) || isReal(word)) continue;
    let least = Number.POSITIVE_INFINITY;
    for (const part of shortened(word))
      for (const meant of near.get(part) ?? []) {
        const count = seen.get(meant) ?? 0;
        if (meant[0] !== word[0] || count < times * n || stem(meant) === stem(word)) continue;
        const far = edits(word, meant, oneEdit);
        const d = distance(far, count);
        if (far > (isWord(meant) ? oneEdit : doubled) || d >= least) continue;
        least = d;
        slips.set(word, meant);
      }
  }
  return slips;
}
