/** How a message is read: misspelt words put right, words of one meaning joined under one name. Pure. */

import { type Analyser, words } from "../words.js";
import { slipsIn } from "./slips.js";
import { correct, edits, oneEdit, type Speller, speller } from "./speller.js";

/** One word as read: as typed, as understood, and its stem. */
type Token = { typed: string; word: string; stem: string };
export type Reading = {
  tokens: Token[];
  /** Meanings found, by the name of the word that we use. */
  meanings: string[];
};

type Variant = { stems: string[]; meaning: string };
/** A meaning and the words and phrases that carry it. */
export type Meaning = { name: string; forms: readonly string[] };
export type Lexicon = {
  analyser: Analyser;
  speller: Speller;
  /** Stems that stand in asks, titles or texts: a word with one of these is never corrected. */
  stems: ReadonlySet<string>;
  /** Stems of common English words, which no correction touches. */
  common: ReadonlySet<string>;
  /** Words that are misspelt in asks, and what is meant. */
  slips: ReadonlyMap<string, string>;
  /** Variants by their first stem, the longest first. */
  variants: ReadonlyMap<string, Variant[]>;
  /** The latest readings by their text: one message is read by several rules. */
  recent: Map<string, Reading>;
};

type Source = {
  analyser: Analyser;
  /** As people write. */
  asks: Iterable<readonly string[]>;
  /** Of our own, so no word of them is misspelt. */
  texts?: Iterable<readonly string[]>;
  meanings: readonly Meaning[];
  common: ReadonlySet<string>;
  /** Words that are no misspelling, however rare and however near another. */
  real?: ReadonlySet<string>;
};

/** Learns the vocabulary of asks and texts (as words) and the forms of the meanings. */
export function lexicon({ asks, texts = [], real = new Set(), ...more }: Source): Lexicon {
  const { stem, stopWords } = more.analyser;
  const seen = new Map<string, number>();
  const add = (w: string, n = 1) => seen.set(w, (seen.get(w) ?? 0) + n);
  for (const ask of asks) for (const w of ask) add(w);
  const ours = new Set([...more.common].map(stem));
  for (const { forms } of more.meanings)
    for (const form of forms) for (const w of words(form)) ours.add(stem(w));
  for (const text of texts)
    for (const w of text) {
      add(w);
      ours.add(stem(w));
    }
  const isReal = (w: string) => real.has(w) || stopWords.has(w) || ours.has(stem(w));
  const slips = slipsIn(seen, more.analyser, isReal);
  for (const [slip, meant] of slips) {
    add(meant, seen.get(slip));
    seen.delete(slip);
  }
  return lexiconOf(seen, { ...more, slips });
}

type Counted = Pick<Source, "analyser" | "meanings" | "common"> & Partial<Pick<Lexicon, "slips">>;

/** The same from words that were counted already. */
export function lexiconOf(
  counted: ReadonlyMap<string, number>,
  { analyser, meanings, common, slips = new Map() }: Counted,
): Lexicon {
  const seen = new Map(counted);
  const variants = new Map<string, Variant[]>();
  for (const { name: meaning, forms } of meanings) {
    for (const form of forms) {
      for (const w of words(form)) seen.set(w, (seen.get(w) ?? 0) + 1);
      const stems = words(form).map(analyser.stem);
      const first = stems[0];
      if (first === undefined) continue;
      const at = variants.get(first) ?? [];
      at.push({ stems, meaning });
      variants.set(
        first,
        at.sort((a, b) => b.stems.length - a.stems.length),
      );
    }
  }
  const stems = new Set<string>();
  for (const w of seen.keys()) stems.add(analyser.stem(w));
  return {
    analyser,
    speller: speller(seen),
    stems,
    common: new Set([...common].map(analyser.stem)),
    slips,
    variants,
    recent: new Map(),
  };
}

/** Whether the lexicon knows this word as it stands. */
const knows = (lex: Lexicon, word: string): boolean =>
  lex.stems.has(lex.analyser.stem(word)) || lex.analyser.stopWords.has(word);

function understood(lex: Lexicon, typed: string): string[] {
  if (
    typed.length < 4 ||
    /\d/.test(typed) ||
    knows(lex, typed) ||
    lex.common.has(lex.analyser.stem(typed))
  )
    return [typed];
  const near = correct(lex.speller, typed);
  if (near && edits(typed, near, oneEdit) <= oneEdit) return [near];
  // Two words run together: both must be known and neither a scrap.
  for (let i = 3; i <= typed.length - 3; i++) {
    const a = typed.slice(0, i);
    const b = typed.slice(i);
    if (lex.speller.index.has(a) && lex.speller.index.has(b) && (a.length > 3 || b.length > 3))
      return [a, b];
  }
  return [near ?? typed];
}

const recentMost = 64;

/** Reads a message. `spell` false: as typed, for texts of our own. */
export function read(lex: Lexicon, text: string, spell = true): Reading {
  if (!spell) return readWords(lex, words(text), false);
  const known = lex.recent.get(text);
  if (known) return known;
  const reading = readWords(lex, words(text), true);
  if (lex.recent.size >= recentMost) lex.recent.clear();
  lex.recent.set(text, reading);
  return reading;
}

/** Whether two words are one of ours written apart; a slip of a single ask ("thered") is none. */
function isOneWord(lex: Lexicon, one: string, two: string): boolean {
  const { speller, analyser } = lex;
  if (one.length < 2 || two.length < 2 || one.length + two.length < 6) return false;
  if (analyser.stopWords.has(one) || analyser.stopWords.has(two)) return false;
  const at = speller.index.get(one + two);
  return at !== undefined && (speller.counts[at] ?? 0) >= 2;
}

/** Reads a message that was taken apart into words already. */
export function readWords(lex: Lexicon, typed: readonly string[], spell: boolean): Reading {
  const tokens: Token[] = [];
  const right = (word: string) => lex.slips.get(word) ?? word;
  for (let i = 0; i < typed.length; i++) {
    const one = right(typed[i] ?? "");
    const next = typed[i + 1];
    const two = next === undefined ? undefined : right(next);
    // Two words that we write as one ("hand brake"): taken together when the whole is ours.
    const whole = two === undefined ? "" : one + two;
    const joined = two !== undefined && isOneWord(lex, one, two);
    const meant = joined ? [whole] : spell ? understood(lex, one) : [one];
    for (const word of meant)
      tokens.push({
        typed: joined ? `${typed[i]} ${next}` : (typed[i] ?? ""),
        ...{ word, stem: lex.analyser.stem(word) },
      });
    if (joined) i++;
  }
  return { tokens, meanings: meaningsIn(lex, tokens) };
}

/** Every meaning that stands in the tokens; a word may carry several, each counted once. */
function meaningsIn(lex: Lexicon, tokens: readonly Token[]): string[] {
  const found = new Set<string>();
  for (let i = 0; i < tokens.length; i++)
    for (const v of lex.variants.get(tokens[i]?.stem ?? "") ?? [])
      if (!found.has(v.meaning) && v.stems.every((s, k) => tokens[i + k]?.stem === s))
        found.add(v.meaning);
  return [...found];
}

/** How many of the tokens stand in a form of one of these meanings. */
export function coveredBy(
  lex: Lexicon,
  tokens: readonly Token[],
  names: ReadonlySet<string>,
): number {
  const covered = new Set<number>();
  for (let i = 0; i < tokens.length; i++)
    for (const v of lex.variants.get(tokens[i]?.stem ?? "") ?? [])
      if (names.has(v.meaning) && v.stems.every((s, k) => tokens[i + k]?.stem === s))
        for (let k = 0; k < v.stems.length; k++) covered.add(i + k);
  return covered.size;
}
