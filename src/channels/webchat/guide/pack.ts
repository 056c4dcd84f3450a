/** What a phone keeps to be of use without signal: which files, under a name that changes when any of them does. Pure but for the files' marks. */
import { createHash } from "node:crypto";
import { after, type Instant } from "../../../calendar.js";
import { actsOn, type Book } from "../../../knowledge/book.js";
import { fill } from "../../../knowledge/placeholders.js";
import type { Slice } from "../../../matching/scoring/slice.js";
import { addressOf, bundled, ownStyle } from "../../../page-files.js";
import type { Booking } from "../../../post.js";
import type { Severity } from "../../../severity.js";
import { allActs } from "../../../wording/acts.js";
import { guideParts } from "../../../wording/guide.js";
import type { Voice } from "../../../wording/say.js";
import { placeOf } from "./guide-page.js";

type Pack = {
  /** The hire, the person whose talk it holds, and a hash of all that its pages are made of. */
  name: string;
  /** A phone that hears nothing of us drops it then: a week after the return, since hires get longer. */
  until: Instant;
  files: string[];
};

/** The code of the pages and what style is no part of them, under addresses that change with them. */
const code = () => [addressOf("/pages/guide.css"), ...bundled()];
const weekMin = 7 * 24 * 60;

/** All drawings that the guide of a van shows. */
function pictures(book: Book, voice: Voice): string[] {
  const shown = guideParts(book, voice).flatMap((p) => p.entries.flatMap((e) => e.pictures));
  const acts = allActs(book, voice, "").flatMap((g) => g.acts.flatMap((a) => a.picture ?? []));
  return [...new Set(["lights-sheet", ...shown, ...acts])].map((id) => `/pictures/${id}.svg`);
}

/** The pack of one person of a hire. Its name holds the book, the firm's numbers as they hold now, and our code. */
export function packOf(voice: Voice, booking: Booking, person: string): Pack {
  const { book } = voice;
  const { hire, van, region, lang, zone } = booking;
  const made = [book.hash, book.firm, hire, van, region, lang, zone, code(), ownStyle().source];
  const mark = createHash("sha256").update(JSON.stringify(made)).digest("base64url").slice(0, 16);
  return {
    name: `van-${hire}-${person}-${mark}`,
    until: after(booking.returnAt, weekMin),
    files: [
      ...["/chat", "/chat/guide", "/chat/steps", "/chat/words"],
      ...code(),
      ...["/app.webmanifest", addressOf("/pages/icon.svg")],
      ...pictures(book, voice),
    ],
  };
}

/** What the search on a phone needs: the words, and what is offered of each entry. */
type PhoneWords = {
  slice: Slice;
  entries: Record<string, { title: string; at: string; severity: Severity | null }>;
};

export function phoneWords(voice: Voice, slice: Slice): PhoneWords {
  const entries: PhoneWords["entries"] = {};
  for (const id of slice.ids) {
    const entry = voice.book.entries.get(id);
    if (!entry || entry.kind === "courtesy" || (entry.kind === "fault" && !entry.text)) continue;
    entries[id] = {
      title: fill(entry.title, voice.values),
      at: placeOf(entry),
      severity: actsOn(entry),
    };
  }
  return { slice, entries };
}
