/** Things that a message names and that no entry is about, so that "your van has no oven" can be said. Pure. */
import type { Book } from "../knowledge/book.js";
import type { VanType } from "../knowledge/placeholders.js";
import type { Reading } from "./reading/lexicon.js";

/** The feature without an entry of its own that the message names and the van has not; undefined if none. */
export function featureNamed(book: Book, reading: Reading, van: VanType): string | undefined {
  const said = ` ${reading.tokens.map((t) => t.word).join(" ")} `;
  return Object.keys(van.lacks).find(
    (feature) =>
      (reading.meanings.includes(feature) || said.includes(` ${feature.replaceAll("-", " ")} `)) &&
      ![...book.entries.values()].some((e) => e.id === feature || e.needs.includes(feature)),
  );
}
