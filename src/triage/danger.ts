/** Whether a message tells of a danger to life: signs by danger, and what takes their weight away. Pure. */
import type { Book } from "../knowledge/book.js";
import {
  bare,
  type DangerPatterns,
  type Frame,
  frameNames,
  type Strength,
  strengths,
} from "../knowledge/danger-words.js";
import { type Found, find } from "../knowledge/patterns.js";
import type { VanType } from "../knowledge/placeholders.js";
import { type DangerVerdict, plain, sentences } from "../matching/words.js";

export type { DangerVerdict } from "../matching/words.js";

const weight: Readonly<Record<Strength, number>> = { sure: 3, likely: 2, pairs: 1.5, maybe: 1 };
/** The most that weak signs add up to. */
const most: Readonly<Partial<Record<Strength, number>>> = { pairs: 3, maybe: 2 };
/** What is left of a sign's weight inside each frame. */
const left: Readonly<Record<Frame, number>> = {
  supposing: 0.25,
  asking: 0.35,
  opening: 0.35,
  denied: 0,
  about: 0.35,
  over: 0.3,
};
/** Weights from which a message is a danger, or a doubt; what fear adds. */
const limits = { danger: 3, doubt: 2, panic: 1 } as const;

/** Which danger is told where nobody knows which: ring, and help whoever is hurt. */
export const anyDanger = "injury";

type Sum = {
  total: number;
  weak: Partial<Record<Strength, number>>;
  /** How often each other language has its words. */
  langs?: Map<string, number>;
  because: string[];
};

/**
 * Reads a message for danger. `also`: the same message with misspelt words put right, read as well.
 * `danger`: alert and tell at once; `doubt`: give the emergency number and ask the one question. Never throws.
 */
export function readDanger(
  text: string,
  book: Book,
  how: { van?: VanType; lang?: string; also?: string } = {},
): DangerVerdict {
  const sums = new Map<string, Sum>();
  const texts = how.also && how.also !== text ? [text, how.also] : [text];
  for (const one of texts) {
    const own = new Map<string, Sum>();
    for (const sentence of sentences(one)) readSentence(book.dangerWords, sentence, own);
    for (const [id, sum] of own) if (sum.total > (sums.get(id)?.total ?? 0)) sums.set(id, sum);
  }
  foreign(text, book, sums);
  const best = [...sums].sort((a, b) => b[1].total - a[1].total)[0];
  if (!best && texts.some((one) => criesOnly(one, book.dangerWords)))
    return { verdict: "doubt", id: anyDanger, cry: true, because: ["a cry for help"] };
  if (!best) return { verdict: "none", weight: 0, because: [] };
  const [id, { total, because, langs }] = best;
  const verdict = total >= limits.danger ? "danger" : total >= limits.doubt ? "doubt" : "none";
  const lang = langs && plainest(langs, how.lang);
  return {
    ...{ verdict, weight: total, foreign: langs !== undefined, because },
    ...{ id: forVan(book, id, how.van), ...(lang ? { lang } : {}) },
  };
}

/** The language of which most words are; where several have as many, theirs, or none. */
function plainest(langs: ReadonlyMap<string, number>, theirs: string | undefined) {
  const most = Math.max(...langs.values());
  const best = [...langs].flatMap(([lang, n]) => (n === most ? [lang] : []));
  return best.find((lang) => lang === theirs) ?? (best.length === 1 ? best[0] : undefined);
}

/** Whether a message is a cry for help, with haste and politeness at most beside it. */
function criesOnly(text: string, patterns: DangerPatterns): boolean {
  const said = sentences(text).flatMap((sentence) => clauses(sentence).said);
  const cries = find(patterns.cries, said);
  if (cries.length === 0) return false;
  const haste = find(patterns.signs, said).filter((f) => f.tag === "panic");
  const within = [...cries, ...haste];
  return said.every((w, i) => fillers.has(w) || within.some((f) => f.from <= i && i < f.to));
}

/** A danger that only other vans can have is told as the nearest that this one can. */
function forVan(book: Book, id: string, van: VanType | undefined): string {
  const entry = book.entries.get(id);
  if (!van || !entry?.only || entry.only.includes(van.id)) return id;
  return id === "hv-damage" ? "smoke-in-van" : id;
}

/** The words of a sentence, and for each the clause it stands in. */
function clauses(sentence: string): { said: string[]; clause: number[] } {
  const said: string[] = [];
  const clause: number[] = [];
  let n = 0;
  for (const piece of plain(sentence).match(/\p{L}+|\d+(?:\.\d+)?|[,:()]/gu) ?? []) {
    if (/^[,:()]$/.test(piece)) n++;
    else {
      if (joiners.has(piece)) n++;
      said.push(piece);
      clause.push(n);
    }
  }
  return { said, clause };
}
const joiners = new Set(["and", "but", "because", "since", "while", "so"]);
const fillers = new Set([
  "hi",
  "hello",
  "hey",
  "so",
  "please",
  "and",
  "also",
  "or",
  "but",
  "then",
  "just",
  "question",
  "sorry",
  "morning",
  "evening",
]);

/** A new clause in the midst: "how do I do CPR he is lying here". */
const subjects = new Set(["he", "she", "they", "we", "it", "there", "i"]);
const verbs = new Set([
  "is",
  "are",
  "am",
  "has",
  "have",
  "was",
  "were",
  "will",
  "can",
  "does",
  "do",
  "got",
  "keeps",
  "feel",
  "feels",
  "smell",
  "smells",
]);

function readSentence(patterns: DangerPatterns, sentence: string, sums: Map<string, Sum>): void {
  const { said, clause } = clauses(sentence);
  const masked = [...said];
  for (const f of find(patterns.figures, said)) for (let i = f.from; i < f.to; i++) masked[i] = "_";
  const found = find(patterns.signs, masked);
  const frames = found.flatMap((f) => {
    const frame = frameNames.find((name) => f.tag === `frame ${name}`);
    return frame && (frame !== "opening" || opens(f.from, said, clause)) ? [{ ...f, frame }] : [];
  });
  const panic = found.some((f) => f.tag === "panic");
  const seen = new Map<string, Found[]>();
  for (const strength of strengths)
    for (const sign of found) {
      if (!sign.tag.startsWith(`${strength} `)) continue;
      const id = sign.tag.slice(strength.length + 1);
      const before = seen.get(id) ?? [];
      // Words that counted already do not count again for the same danger.
      if (before.some((s) => s.from <= sign.from && sign.to <= s.to)) continue;
      seen.set(id, [...before, sign]);
      const factor = Math.min(
        1,
        ...frames.map((f) => (reaches(f, sign, said, clause) ? left[f.frame] : 1)),
      );
      note(sums, id, { strength, name: sign.name, factor, panic });
    }
}

function note(
  sums: Map<string, Sum>,
  id: string,
  sign: { strength: Strength; name: string; factor: number; panic: boolean },
): void {
  const sum = sums.get(id) ?? { total: 0, weak: {}, because: [] };
  let adds = weight[sign.strength] * sign.factor;
  const cap = most[sign.strength];
  if (cap !== undefined) {
    const had = sum.weak[sign.strength] ?? 0;
    adds = Math.min(adds, cap - had);
    sum.weak[sign.strength] = had + adds;
  }
  const fear =
    sign.panic && sign.factor === 1 && sum.because.every((b) => !b.endsWith("afraid"))
      ? limits.panic
      : 0;
  sum.total += adds + fear;
  sum.because.push(
    `${id}: "${sign.name}" ${sign.strength}${sign.factor < 1 ? ` ×${sign.factor}` : ""}${fear > 0 ? " afraid" : ""}`,
  );
  sums.set(id, sum);
}

/** Whether a clause begins at word `at`, but for a greeting or "and". */
function opens(at: number, said: readonly string[], clause: readonly number[]): boolean {
  for (let i = at - 1; i >= 0 && clause[i] === clause[at]; i--)
    if (!fillers.has(said[i] ?? "")) return false;
  return true;
}

/** Whether a frame takes weight from a sign: it stands before it, near enough, and no new clause lies between. */
function reaches(
  f: Found & { frame: Frame },
  sign: Found,
  said: readonly string[],
  clause: readonly number[],
): boolean {
  if (f.frame === "about") return true;
  if (f.frame === "over")
    return !said.some((w, i) => i >= sign.from - 2 && (w === "now" || w === "still"));
  if (f.from >= sign.from) return false;
  if (f.frame === "denied") return sign.from - f.to <= 3 && clause[f.from] === clause[sign.from];
  const skip = f.frame === "supposing" ? 2 : 0;
  for (let i = f.to + skip; i < sign.from; i++)
    if (
      subjects.has(said[i] ?? "") &&
      verbs.has(said[i + 1] ?? "") &&
      (clause[i] !== clause[f.from] || f.frame !== "supposing")
    )
      return false;
  // What starts with a subject right where the sign starts is told, not asked: "…, he is not breathing".
  return f.frame === "supposing" || clause[f.from] === clause[sign.from];
}

/** Tell-tale words in the languages that the book has: each weighs as two sure signs, since the model knows no word of them. */
function foreign(text: string, book: Book, sums: Map<string, Sum>): void {
  const said = bare(text);
  const add = (id: string, weighs: number, because: string, words = 1) => {
    const sum = sums.get(id) ?? { total: 0, weak: {}, because: [] };
    sum.total += weighs;
    const lang = because.slice(0, because.indexOf(" "));
    sum.langs = new Map(sum.langs).set(lang, (sum.langs?.get(lang) ?? 0) + words);
    sum.because.push(because);
    sums.set(id, sum);
  };
  for (const { name, tag: id } of find(book.dangerWords.foreign, said))
    add(id, 2 * limits.danger, name);
  // Words of the phrases in another order: two of one language and danger are a sign.
  const loose = new Map<string, Set<string>>();
  for (const word of said)
    for (const tag of book.dangerWords.foreignWords.get(word) ?? [])
      loose.set(tag, (loose.get(tag) ?? new Set()).add(word));
  for (const [tag, words] of loose)
    if (words.size >= 2)
      add(
        tag.slice(tag.indexOf(" ") + 1),
        limits.danger * Math.min(2, words.size - 1),
        `${tag}: ${[...words].join(", ")}`,
        words.size,
      );
}
