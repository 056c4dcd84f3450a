/** The words by which dangers are recognised (danger-words.yaml): their shape, and compiled for search. Pure. */
import { z } from "zod";
import { compileAll, type PatternIndex } from "./patterns.js";

const line = z.string().trim().min(1);
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
  dangers: z.record(
    z.string(),
    z.strictObject({
      /** Alone enough to say danger. */
      sure: patterns,
      /** Enough unless the sentence only asks or supposes. */
      likely: patterns,
      /** Enough only together with another sign. */
      maybe: patterns,
    }),
  ),
});
export const DangerWordsFile = Shape.superRefine((file, found) => {
  try {
    compileDangerWords(file);
  } catch (error) {
    found.addIssue({ code: "custom", message: error instanceof Error ? error.message : "a pattern cannot be read" });
  }
});
export type DangerWordsFile = z.infer<typeof Shape>;

export const strengths = ["sure", "likely", "maybe"] as const;
export type Strength = (typeof strengths)[number];
export const frameNames = ["supposing", "asking", "opening", "denied", "about", "over"] as const;
export type Frame = (typeof frameNames)[number];

export type DangerPatterns = {
  figures: PatternIndex;
  panic: PatternIndex;
  frames: Readonly<Record<Frame, PatternIndex>>;
  dangers: readonly { id: string; signs: Readonly<Record<Strength, PatternIndex>> }[];
};

/** Compiles the file once, when the book is assembled. @throws on a pattern that cannot be read */
export function compileDangerWords(file: DangerWordsFile): DangerPatterns {
  const index = (texts: readonly string[]) => compileAll(texts, file.classes);
  return {
    figures: index(file.figures),
    panic: index(file.panic),
    frames: {
      supposing: index(file.frames.supposing), asking: index(file.frames.asking),
      opening: index(file.frames.opening), denied: index(file.frames.denied), about: index(file.frames.about), over: index(file.frames.over),
    },
    dangers: Object.entries(file.dangers).map(([id, d]) => ({
      id,
      signs: { sure: index(d.sure), likely: index(d.likely), maybe: index(d.maybe) },
    })),
  };
}
