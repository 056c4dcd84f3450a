/** The knowledge as hirers are told it, for comparison with published sources. */
import { actsOn, type Book, concerns } from "../../src/knowledge/book.js";
import { readBook } from "../../src/knowledge/read.js";
import { tellAnswer, tellDanger, tellTrouble } from "../../src/wording/entry.js";
import { voiceFor } from "../../src/wording/say.js";

export const { book } = readBook();
export const vans = [...book.vans.keys()];
export const nations = ["gb-eng", "gb-sct", "gb-wls", "gb-nir", "ie"];

/** The whole text of an entry for a van in a nation. Throws where there is none, so that no check compares with nothing. */
export function told(id: string, van: string, nation = "gb-sct", from: Book = book): string {
  const entry = from.entries.get(id);
  const voice = voiceFor(from, van, nation, "en");
  if (!entry || entry.kind === "courtesy" || !concerns(entry, voice.van))
    throw new Error(`nothing is told about ${id} for ${van}`);
  if (entry.kind === "answer") return tellAnswer(voice, entry).text;
  if (entry.kind === "danger")
    return tellDanger(voice, entry, { words: "", registration: "SX26 ABC", people: 2 }).text;
  return tellTrouble(voice, entry, actsOn(entry) ?? "soon").text;
}

/** The van types that an entry concerns; never empty. */
export function vansOf(id: string): string[] {
  const entry = book.entries.get(id);
  const found = [...book.vans.values()].filter((van) => entry && concerns(entry, van));
  if (found.length === 0) throw new Error(`${id} concerns no van`);
  return found.map((van) => van.id);
}

/** Where each pattern first stands in the text, −1 where it does not. Ascending and none −1: told in that order. */
export function places(text: string, patterns: readonly RegExp[]): number[] {
  return patterns.map((pattern) => text.search(pattern));
}

/** The patterns that are missing, or stand before the one that they should follow; empty: all in order. */
export function outOfOrder(text: string, patterns: readonly RegExp[]): string[] {
  const at = places(text, patterns);
  return patterns
    .filter((_, i) => (at[i] ?? -1) < 0 || (i > 0 && (at[i] ?? 0) <= (at[i - 1] ?? 0)))
    .map(String);
}

/** The sources of an entry as one text. */
export function sources(id: string): string {
  const entry = book.entries.get(id);
  if (!entry || entry.kind === "courtesy" || !entry.text) throw new Error(`no entry ${id}`);
  return entry.text.sources.join("; ");
}
