/** Opens the matcher of a book, from its cache where there is one. Shell: touches the disk. */
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Book } from "./knowledge/book.js";
import { projectFolder } from "./knowledge/read.js";
import { fromCache, toCache } from "./matching/cache.js";
import { build, type Matcher, type Taught } from "./matching/matcher.js";

/** Beside the installed packages: thrown away with them, never under version control. */
export const placeOf = (name: string): string =>
  join(projectFolder(), "node_modules", ".cache", "passing-place", `${name}.bin`);

/**
 * The matcher: from the cache in under a second, else trained (about two) and kept for the next start. A
 * cache that cannot be read or written is no fault: it is trained every time.
 */
export function openMatcher(
  book: Book,
  taught: readonly Taught[] = [],
  file = placeOf("matcher"),
): Matcher {
  try {
    if (existsSync(file)) {
      const known = fromCache(book, readFileSync(file), taught);
      if (known) return known;
    }
  } catch {
    // Unreadable: trained below.
  }
  const matcher = build(book, taught);
  try {
    mkdirSync(join(file, ".."), { recursive: true });
    // Written aside and renamed, so that a second process never reads half a file.
    const aside = `${file}.${process.pid}`;
    writeFileSync(aside, toCache(matcher));
    renameSync(aside, file);
  } catch {
    // Nowhere to write: the next start trains again.
  }
  return matcher;
}
