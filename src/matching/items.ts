/** What is matched, and the matcher as a value. Types only. */
import type { Book } from "../knowledge/book.js";
import type { Index } from "./scoring/rank.js";

/** What the matching needs of one entry. */
export type Item = {
  id: string;
  title: string;
  asks: readonly string[];
  body: string;
  /** What it has in common with others: its kind, its area. */
  groups: readonly string[];
};
export type Taught = { entry: string; ask: string };
export type Matcher = {
  book: Book;
  items: readonly Item[];
  /** Entry id → its number. */
  numbers: ReadonlyMap<string, number>;
  /** Van type → what to add to the score of each item, for what is known besides the words. */
  bias: ReadonlyMap<string, Float64Array>;
  /** As trained on the book alone. */
  base: Index;
  /** With what was taught laid over it. */
  index: Index;
  taught: readonly Taught[];
};
