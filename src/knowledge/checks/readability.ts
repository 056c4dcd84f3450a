/** How hard a text is to read: the Flesch–Kincaid grade, in school years. Pure. */
import { type Book, concerns, type Entry, regionOf } from "../book.js";
import { fill, fillSteps, placeholders, type VanType } from "../placeholders.js";

/**
 * Syllables of a word by its vowel groups: "y" counts as a vowel, a last "e" is silent unless "le" follows a
 * consonant. At least one. A rule of thumb: "reading" has two, "idea" (truly three) two.
 */
export function syllables(word: string): number {
  const letters = word.toLowerCase().replace(/[^a-z]/g, "");
  const groups = letters.match(/[aeiouy]+/g)?.length ?? 0;
  const silent = /[^aeiouy]e$/.test(letters) && !/[^aeiouy]le$/.test(letters) ? 1 : 0;
  return Math.max(1, groups - silent);
}

/**
 * Flesch–Kincaid grade of lines of text: 0.39 × words per sentence + 11.8 × syllables per word − 15.59 (Kincaid,
 * Fishburne, Rogers and Chissom 1975). A line ends a sentence, and so do ". ", "! " and "? ". What has no letter
 * (numbers, phone numbers) is no word. Without any word: 0. A reader of twelve is in about grade 7.
 */
export function grade(lines: readonly string[]): number {
  const sentences = lines
    .flatMap((line) => line.split(/[.!?]+(?=\s|$)/))
    .map((sentence) => sentence.split(/[\s/–]+/).filter((word) => /[a-z]/i.test(word)))
    .filter((words) => words.length > 0);
  const words = sentences.flat();
  if (words.length === 0) return 0;
  const spoken = words.reduce((n, word) => n + syllables(word), 0);
  return 0.39 * (words.length / sentences.length) + 11.8 * (spoken / words.length) - 15.59;
}

/** The lines of an entry's own text for a van, filled in; none where it has no text of its own. */
function linesFor(book: Book, entry: Entry, van: VanType): string[] {
  const { region, nation } = regionOf(book, book.firm.region);
  const values = placeholders(van, region, nation, book.firm);
  if (entry.kind === "courtesy" || !entry.text) return [];
  const text = entry.text;
  if ("first" in text)
    return [text.first, ...text.steps, ...text.never].map((line) => fill(line, values));
  const body =
    ("variants" in text ? text.variants.find((v) => van.has.includes(v.when)) : undefined) ?? text;
  const around = [
    "means" in text ? text.means : undefined,
    body.lead,
    body.ifNot,
    body.ring,
    ...body.cautions,
  ].filter((line) => line !== undefined);
  return [...around.map((line) => fill(line, values)), ...fillSteps(body.steps, values)];
}

/** The mean grade of all entries for all vans that they concern, and the hardest entries, hardest first. */
export function readability(
  book: Book,
  many = 5,
): { mean: number; hardest: { id: string; van: string; grade: number }[] } {
  const all = [...book.entries.values()].flatMap((entry) =>
    [...book.vans.values()]
      .filter((van) => concerns(entry, van))
      .map((van) => ({ id: entry.id, van: van.id, lines: linesFor(book, entry, van) }))
      .filter(({ lines }) => lines.length > 0)
      .map(({ id, van, lines }) => ({ id, van, grade: grade(lines) })),
  );
  const worst = new Map<string, (typeof all)[number]>();
  for (const one of all.sort((a, b) => b.grade - a.grade))
    if (!worst.has(one.id)) worst.set(one.id, one);
  return {
    mean: all.length === 0 ? 0 : all.reduce((sum, one) => sum + one.grade, 0) / all.length,
    hardest: [...worst.values()].slice(0, many),
  };
}
