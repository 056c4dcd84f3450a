/** Opens the matcher of a book, from what the last start kept where that is of this book. Shell: touches the disk. */
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Book } from "./knowledge/book.js";
import { cacheFolder } from "./knowledge/read.js";
import { fromKept, toKept } from "./matching/cache.js";
import { build, indexOf, type Matcher, type Taught } from "./matching/matcher.js";
import { fingerprint, keptBetweenStarts } from "./start-cache.js";

const code = join(dirname(fileURLToPath(import.meta.url)), "matching");

/** `name` keeps matchers apart that are of one book in parts. */
export function openMatcher(book: Book, taught: readonly Taught[] = [], name = "matcher"): Matcher {
  const key = `${book.hash} ${fingerprint([code])}`;
  const index = keptBetweenStarts(cacheFolder(), { name, key }, () => toKept(indexOf(book)));
  return build(book, taught, fromKept(index));
}
