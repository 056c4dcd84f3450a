/** A fifth of the asks, set aside: the model is trained without them, so that they tell how it reads what is new. Pure. */
import { type Book, concerns, type Entry } from "../knowledge/book.js";
import type { Sample } from "./changes.js";

/** Into so many parts the asks fall. */
export const parts = 5;

/** The same part for the same ask, whatever else is added. */
export function partOf(ask: string): number {
  let sum = 0;
  for (const c of ask) sum = (sum * 31 + (c.codePointAt(0) ?? 0)) % 9973;
  return sum % parts;
}

/** The book without the asks of one part; its hash is another, so that caches keep the two apart. */
export const without = (book: Book, part = 0): Book => ({
  ...book,
  hash: `${book.hash}-${part}`,
  entries: new Map(
    [...book.entries].map(([id, e]): [string, Entry] => [
      id,
      { ...e, asks: e.asks.filter((ask) => partOf(ask) !== part) },
    ]),
  ),
});

/** The asks of that part, each with its entry and a van that it concerns. Courtesies are left out. */
export function leftOut(book: Book, part = 0): Sample[] {
  const vans = [...book.vans.values()];
  return [...book.entries.values()].flatMap((entry) => {
    const van = vans.find((v) => concerns(entry, v));
    if (!van || entry.kind === "courtesy") return [];
    return entry.asks
      .filter((ask) => partOf(ask) === part)
      .map((text) => ({ text, van: van.id, want: entry.id }));
  });
}
