/** Opens the matcher of a book. Shell: touches the disk. */
import type { Book } from "./knowledge/book.js";
import { build, type Matcher, type Taught } from "./matching/matcher.js";

/** The matcher, trained now. */
export function openMatcher(book: Book, taught: readonly Taught[] = []): Matcher {
  return build(book, taught);
}
