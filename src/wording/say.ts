/** Fills approved phrases and entries for one van, nation and firm. Pure. */
import { type Book, regionOf } from "../knowledge/book.js";
import { fill, placeholders, type VanType } from "../knowledge/placeholders.js";

/** What a text is filled for. */
export type Voice = {
  book: Book;
  van: VanType;
  lang: string;
  values: ReadonlyMap<string, string | string[]>;
};

/**
 * The voice for a van type in a region or nation ("gb", "gb-wls", "ie"). Of a type that the book does not have it
 * knows no name, and its figures are the first one's: whoever tells any asks first whether the book has it.
 */
export function voiceFor(book: Book, vanType: string, regionId: string, lang: string): Voice {
  const [first] = book.vans.values();
  const van = book.vans.get(vanType) ?? (first && { ...first, name: "van" });
  if (!van) throw new Error("the book has no van types");
  const { region, nation } = regionOf(book, regionId);
  return { book, van, lang, values: placeholders(van, region, nation, book.firm) };
}

/** An approved phrase; `{name}` from `words`, `{van.…}` and the like from the voice. */
export function phrase(voice: Voice, id: string, words: Record<string, string> = {}): string {
  const text = voice.book.phrases.get(`${id}-${voice.lang}`) ?? voice.book.phrases.get(id) ?? "";
  const own = text.replace(/\{([a-z]+)\}/g, (whole, name: string) => words[name] ?? whole);
  return fill(own, voice.values);
}
