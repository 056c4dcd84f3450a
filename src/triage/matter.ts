/** Which entries tell of one and the same trouble: a light and the effect that is felt. Pure. */
import type { Book } from "../knowledge/book.js";

/**
 * Whether two entries are one trouble, for which there is one call-out: the same, or a fault and a light that
 * its entry names under `effectOf`.
 */
export function sameTrouble(book: Book, a: string, b: string): boolean {
  const effectOf = (id: string, light: string) => {
    const entry = book.entries.get(id);
    return entry?.kind === "fault" && entry.text?.effectOf.includes(light) === true;
  };
  return a === b || effectOf(a, b) || effectOf(b, a);
}
