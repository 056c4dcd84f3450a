/** The index over all entries, built once from the book; asks taught at the desk take effect at once. Pure. */
import { type Book, concerns } from "../knowledge/book.js";
import type { VanType } from "../knowledge/placeholders.js";
import { prior } from "./costs.js";
import { bodyOf, buildIndex, meaningsOf, noPlaceholders } from "./indexing.js";
import type { Item, Matcher, Taught } from "./items.js";
import { type Index, outside } from "./scoring/rank.js";
import { teach } from "./teach.js";

export type { Item, Matcher, Taught } from "./items.js";

/** What a book's entries, and what lies outside them, give the index. */
function itemsOf(book: Book): Item[] {
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

/** The index over a book's entries and what lies outside them, trained: takes seconds. */
export const indexOf = (book: Book): Index =>
  buildIndex(itemsOf(book), {
    meanings: meaningsOf(book),
    common: book.commonWords,
    real: book.realWords,
    background: book.background,
  });

/** Things that a van has not are asked about more rarely. */
const biasOf = (book: Book, items: readonly Item[], van: VanType): Float64Array =>
  Float64Array.from(items, ({ id }) => {
    const entry = book.entries.get(id);
    return entry && !concerns(entry, van) ? prior.lacking : 0;
  });

/**
 * The matcher of a book. `taught`: asks added at the desk, laid over the trained index, so that each can be taken
 * back at once. `base`: the index from a cache; it must be of this very book.
 */
export function build(book: Book, taught: readonly Taught[] = [], base = indexOf(book)): Matcher {
  const items = itemsOf(book);
  const bare: Matcher = {
    book,
    items,
    numbers: new Map(items.map((i, n) => [i.id, n])),
    bias: new Map([...book.vans].map(([id, van]) => [id, biasOf(book, items, van)])),
    base,
    index: base,
    taught: [],
  };
  return taught.reduce(teach, bare);
}
