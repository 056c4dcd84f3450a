/** The index over all entries, built once from the book; asks taught at the desk take effect at once. Pure. */
import type { Book } from "../knowledge/book.js";
import { bodyOf, buildIndex, meaningsOf, noPlaceholders, settings } from "./indexing.js";
import type { Item, Matcher, Taught } from "./items.js";
import type { Model } from "./scoring/model.js";
import { outside } from "./scoring/rank.js";
import { teach } from "./teach.js";

export type { Item, Matcher, Taught } from "./items.js";

/** What a book's entries, and what lies outside them, give the index. */
export function itemsOf(book: Book): Item[] {
  const items: Item[] = [];
  // A fault that is a danger under another name has no words of its own.
  for (const entry of book.entries.values())
    if (entry.asks.length > 0)
      items.push({
        id: entry.id,
        title: noPlaceholders(entry.title),
        asks: entry.asks,
        body: bodyOf(entry),
        groups: [entry.kind, ...(entry.kind === "answer" ? [entry.area] : [])],
      });
  for (const [subject, asks] of Object.entries(book.outside))
    items.push({ id: `${outside}${subject}`, title: "", asks, body: "", groups: ["outside"] });
  return items;
}

/**
 * Builds the matcher of a book. `taught`: asks added at the desk, laid over the trained index, so that each
 * can be taken back at once. `trained`: the model from a cache; it must be of this very book.
 */
export function build(book: Book, taught: readonly Taught[] = [], trained?: Model): Matcher {
  const items = itemsOf(book);
  const base = buildIndex(
    items,
    { meanings: meaningsOf(book), common: book.commonWords, background: book.background },
    settings,
    trained,
  );
  const bare: Matcher = {
    book,
    items,
    numbers: new Map(items.map((i, n) => [i.id, n])),
    base,
    index: base,
    taught: [],
  };
  return taught.reduce(teach, bare);
}
