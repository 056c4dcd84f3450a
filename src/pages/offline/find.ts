/** Search in the guide on this phone, with or without signal: the service's own reading of words. It only offers. */

import { findIn, type OpenSlice, openSlice, type Slice } from "../../matching/scoring/slice.js";
import { type Severity, shapes } from "../../severity.js";

export type Offer = { title: string; at: string; severity: Severity | null };
type Words = { slice: Slice; entries: Record<string, Offer> };

let opened: Promise<{ slice: OpenSlice; entries: Words["entries"] } | undefined> | undefined;

/** Fetches the words once, from the network or from what is kept. */
export function openWords(): NonNullable<typeof opened> {
  opened ??= fetch("/chat/words", { headers: { Accept: "application/json" } })
    .then(async (answer) => {
      if (!answer.ok) return undefined;
      const { slice, entries } = (await answer.json()) as Words;
      return { slice: openSlice(slice), entries };
    })
    .catch(() => undefined)
    .then((words) => {
      if (!words) opened = undefined;
      return words;
    });
  return opened;
}

/** What a text may be about, at most `most` entries, the likeliest first; empty where nothing is known or kept. */
export async function offersFor(text: string, most: number): Promise<Offer[]> {
  const words = await openWords();
  if (!words) return [];
  const found = findIn(words.slice, text, most).flatMap((id) => words.entries[id] ?? []);
  const [first, second, ...more] = found;
  // A danger that is as good as the likeliest comes before it; a far-fetched one stays where it is.
  return first && second?.severity === "danger" ? [second, first, ...more] : found;
}

/** Offers as a list of links. */
export function offerList(offers: readonly Offer[]): HTMLUListElement {
  const list = document.createElement("ul");
  list.className = "offers";
  for (const { title, at, severity } of offers) {
    const link = document.createElement("a");
    link.href = at;
    const shape = severity && shapes[severity];
    link.textContent = shape ? `${shape} ${title}` : title;
    link.className = severity ?? "";
    list.append(document.createElement("li"));
    list.lastElementChild?.append(link);
  }
  return list;
}
