/** Opens the matcher of a book, from what the last start kept where that is of this book. Shell: touches the disk. */
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Book } from "./knowledge/book.js";
import { cacheFolder } from "./knowledge/read.js";
import { fromKept, toKept } from "./matching/cache.js";
import { build, indexOf, type Matcher, type Taught } from "./matching/matcher.js";
import { type Slice, slicesOf } from "./matching/scoring/slice.js";
import { fingerprint, keptBetweenStarts } from "./start-cache.js";

const code = join(dirname(fileURLToPath(import.meta.url)), "matching");

/** Changes with the book, and with the code of the matching. */
const keyOf = (book: Book): string => `${book.hash} ${fingerprint([code])}`;

/** `name` keeps matchers apart that are of one book in parts. */
export function openMatcher(book: Book, taught: readonly Taught[] = [], name = "matcher"): Matcher {
  const kept = { name, key: keyOf(book) };
  const index = keptBetweenStarts(cacheFolder(), kept, () => toKept(indexOf(book)));
  return build(book, taught, fromKept(index));
}

/** What a phone needs to search without signal, by van type. */
export const openSlices = (matcher: Matcher): ReadonlyMap<string, Slice> =>
  keptBetweenStarts(cacheFolder(), { name: "slices", key: keyOf(matcher.book) }, () =>
    slicesOf(matcher),
  );
