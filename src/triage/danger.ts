/** Whether a message tells of a danger to life: signs by danger, and what takes their weight away. Pure. */
import type { Book } from "../knowledge/book.js";
import { type DangerPatterns, type Frame, frameNames, strengths } from "../knowledge/danger-words.js";
import { type Found, find } from "../knowledge/patterns.js";
import type { VanType } from "../knowledge/placeholders.js";
import { type DangerVerdict, sentences, words } from "../matching/words.js";

export type { DangerVerdict } from "../matching/words.js";

const weight = { sure: 3, likely: 2, maybe: 1 } as const;
/** What is left of a sign's weight inside each frame. */
const left: Readonly<Record<Frame, number>> = { supposing: 0.25, asking: 0.4, denied: 0, over: 0.3 };
const limits = { danger: 2, doubt: 1.5, panic: 0.5 } as const;

type Sum = { total: number; because: string[] };

/**
 * Reads a message for danger. `also`: the same message with misspelt words put right, read as well.
 * `danger`: alert and tell at once; `doubt`: give the emergency number and ask the one question. Never throws.
 */
export function readDanger(text: string, book: Book, how: { van?: VanType; lang?: string; also?: string } = {}): DangerVerdict {
  const sums = new Map<string, Sum>();
  const texts = how.also && how.also !== text ? [text, how.also] : [text];
  for (const one of texts) {
    const own = new Map<string, Sum>();
    for (const sentence of sentences(one)) readSentence(book.dangerWords, words(sentence), own);
    for (const [id, sum] of own) if (sum.total > (sums.get(id)?.total ?? 0)) sums.set(id, sum);
  }
  foreign(text, book, sums);
  const best = [...sums].sort((a, b) => b[1].total - a[1].total)[0];
  if (!best) return { verdict: "none", because: [] };
  const [id, { total, because }] = best;
  const verdict = total >= limits.danger ? "danger" : total >= limits.doubt ? "doubt" : "none";
  return verdict === "none" ? { verdict, because } : { verdict, id: forVan(book, id, how.van), because };
}

/** A danger that only other vans can have is told as the nearest that this one can. */
function forVan(book: Book, id: string, van: VanType | undefined): string {
  const entry = book.entries.get(id);
  if (!van || !entry?.only || entry.only.includes(van.id)) return id;
  return id === "hv-damage" ? "smoke-in-van" : id;
}

function readSentence(patterns: DangerPatterns, said: readonly string[], sums: Map<string, Sum>): void {
  const masked = [...said];
  for (const f of find(patterns.figures, said)) for (let i = f.from; i < f.to; i++) masked[i] = "_";
  const frames = frameNames.flatMap((name) => find(patterns.frames[name], masked).map((f) => ({ ...f, frame: name })));
  const panic = find(patterns.panic, masked).length > 0 ? limits.panic : 0;
  for (const { id, signs } of patterns.dangers) {
    const seen = new Set<string>();
    for (const strength of strengths)
      for (const sign of find(signs[strength], masked)) {
        if (seen.has(sign.name)) continue;
        seen.add(sign.name);
        const factor = framed(sign, frames);
        const sum = sums.get(id) ?? { total: 0, because: [] };
        sum.total += (weight[strength] + panic) * factor;
        sum.because.push(`${id}: "${sign.name}" ${strength}${factor < 1 ? ` ×${factor}` : ""}`);
        sums.set(id, sum);
      }
  }
}

/** A frame weighs on the signs after it; "over" and "denied" on those near it as well. */
function framed(sign: Found, frames: readonly (Found & { frame: Frame })[]): number {
  let factor = 1;
  for (const f of frames) {
    const before = f.from <= sign.from;
    const reach = f.frame === "denied" ? before && sign.from - f.to <= 3 : f.frame === "over" ? true : before;
    if (reach) factor = Math.min(factor, left[f.frame]);
  }
  return factor;
}

/** Tell-tale words in the languages that the book has: any of them is at least a doubt, two are a danger. */
function foreign(text: string, book: Book, sums: Map<string, Sum>): void {
  const said = ` ${words(text).join(" ")} `;
  for (const [lang, dangers] of book.dangersIn)
    for (const [id, { words: tell }] of dangers) {
      const hits = tell.filter((w) => said.includes(` ${words(w).join(" ")} `));
      if (hits.length === 0) continue;
      const sum = sums.get(id) ?? { total: 0, because: [] };
      sum.total += 2 * hits.length;
      sum.because.push(`${id}: ${lang} ${hits.join(", ")}`);
      sums.set(id, sum);
    }
}
