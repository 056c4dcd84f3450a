/** The words by which dangers are recognised (danger-words.yaml): their shape, and compiled for search. Pure. */
import { z } from "zod";
import { addAll, addOne, emptyIndex, type PatternIndex, stepOf } from "./patterns.js";
import { line } from "./shapes.js";

const patterns = z.array(line).default([]);

const Shape = z.strictObject({
  /** Names for groups of words, used as <name> in patterns. */
  classes: z.record(z.string().regex(/^[a-z-]+$/), z.array(line).min(1)),
  /** Figures of speech and things that only sound like danger: taken out before anything is read. */
  figures: patterns,
  /** What changes the weight of the words after it in the same sentence. */
  frames: z.strictObject({
    /** "what if …", "in case …" */
    supposing: patterns,
    /** "how do I …", "where is …" */
    asking: patterns,
    /** Questions by their word order: only where a clause begins ("is there …", "can I …"). */
    opening: patterns,
    /** "there is no …", "nobody is …" */
    denied: patterns,
    /** "…, what is the procedure", "…, is that normal": weighs on the whole sentence. */
    about: patterns,
    /** "yesterday", "last year", "it is out now" */
    over: patterns,
  }),
  /** Signs that somebody is afraid now: they raise what else was read. */
  panic: patterns,
  /** Cries for help: a message of nothing else may mean any danger. */
  cries: patterns,
  dangers: z.record(
    z.string(),
    z.strictObject({
      /** Alone enough to say danger. */
      sure: patterns,
      /** Enough unless the sentence only asks or supposes. */
      likely: patterns,
      /** Words of two or three kinds in any order: as much as the model agrees. */
      pairs: patterns,
      /** Enough only together with another sign. */
      maybe: patterns,
    }),
  ),
});
export const DangerWordsFile = Shape.superRefine((file, found) => {
  try {
    compileDangerWords(file);
  } catch (error) {
    found.addIssue({
      code: "custom",
      message: error instanceof Error ? error.message : "a pattern cannot be read",
    });
  }
});
export type DangerWordsFile = z.infer<typeof Shape>;

export const strengths = ["sure", "likely", "pairs", "maybe"] as const;
export type Strength = (typeof strengths)[number];
export const frameNames = ["supposing", "asking", "opening", "denied", "about", "over"] as const;
export type Frame = (typeof frameNames)[number];

/** Compiled for one pass over a sentence. Tags: "frame NAME", "panic", "STRENGTH DANGER"; foreign ones the danger. */
export type DangerPatterns = {
  figures: PatternIndex;
  cries: PatternIndex;
  signs: PatternIndex;
  foreign: PatternIndex;
  /** Single words of the tell-tale phrases of other languages → "language danger", for loose readings. */
  foreignWords: ReadonlyMap<string, readonly string[]>;
};

/** One danger's tell-tale words in one language. */
type ForeignWords = { lang: string; id: string; words: readonly string[] };

/** Lower case without accents, words only: how tell-tale words of other languages are compared. */
export const bare = (text: string): string[] =>
  text
    .normalize("NFKC")
    .toLowerCase()
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .replaceAll("ß", "ss")
    .replaceAll("ł", "l")
    .match(/\p{L}+/gu) ?? [];

/** A phrase stands as it is; one long word may end otherwise ("verletzt", "verletzte"). */
function putForeign(index: PatternIndex, words: readonly string[], name: string, id: string): void {
  const [first] = words;
  if (first === undefined) return;
  const loose = words.length === 1 && first.length >= 7;
  addOne(index, {
    name,
    tag: id,
    steps: words.map((w) => stepOf([loose ? `${w.slice(0, -2)}*` : w])),
  });
}

/** Words of four letters or more that stand for few dangers of a language and are no English words. */
function looseWords(
  foreign: readonly ForeignWords[],
  common: ReadonlySet<string>,
): Map<string, string[]> {
  const tags = new Map<string, Set<string>>();
  for (const { lang, id, words } of foreign)
    for (const word of words.flatMap(bare))
      if (word.length >= 4 && !common.has(word))
        tags.set(word, (tags.get(word) ?? new Set()).add(`${lang} ${id}`));
  const kept = new Map<string, string[]>();
  // A word that stands for more than three dangers is a function word.
  for (const [word, at] of tags) if (at.size <= 3) kept.set(word, [...at]);
  return kept;
}

/** Compiles the file once, when the book is assembled. @throws on a pattern that cannot be read */
export function compileDangerWords(
  file: DangerWordsFile,
  foreign: readonly ForeignWords[] = [],
  common: ReadonlySet<string> = new Set(),
): DangerPatterns {
  const compiled: DangerPatterns = {
    figures: emptyIndex(),
    cries: emptyIndex(),
    signs: emptyIndex(),
    foreign: emptyIndex(),
    foreignWords: looseWords(foreign, common),
  };
  const { classes } = file;
  addAll(compiled.figures, "figure", file.figures, classes);
  addAll(compiled.cries, "cry", file.cries, classes);
  addAll(compiled.signs, "panic", file.panic, classes);
  for (const frame of frameNames)
    addAll(compiled.signs, `frame ${frame}`, file.frames[frame], classes);
  for (const [id, signs] of Object.entries(file.dangers))
    for (const strength of strengths)
      addAll(compiled.signs, `${strength} ${id}`, signs[strength], classes);
  for (const { lang, id, words } of foreign)
    for (const word of words)
      putForeign(compiled.foreign, bare(word), `${lang} ${id}: ${word}`, id);
  return compiled;
}
