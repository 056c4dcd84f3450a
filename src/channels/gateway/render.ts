/** Messages as plain text, for phones that show no buttons and no pictures, and replies by number. Pure. */
import type { Book } from "../../knowledge/book.js";
import { fill } from "../../knowledge/placeholders.js";
import type { Message } from "../../post.js";
import { phrase, voiceFor } from "../../wording/say.js";

/** The drawing whose numbers a hirer may answer with. */
const sheet = "lights-sheet";

/** What the rendering needs: approved words, and where drawings can be seen. */
export type Paper = { book: Book; publicUrl: string };

/** The numbered lights in words, since nobody without data sees the sheet. */
const sheetLines = (book: Book, values: ReadonlyMap<string, string | string[]>): string[] =>
  book.lightSheet.map((id, i) => `${i + 1} ${fill(book.entries.get(id)?.title ?? id, values)}`);

/** "Reply 1 for Safe place, 2 for Not safe." */
function asked(
  labels: readonly string[],
  say: (id: string, words: Record<string, string>) => string,
) {
  const options = labels.map((label, i) => say("text-option", { n: `${i + 1}`, label }));
  return say("text-reply", { options: options.join(", ") });
}

/** A message in one text: its words, links to its drawings, and the numbers that stand for its buttons. */
export function asText(message: Message, { book, publicUrl }: Paper): string {
  const voice = voiceFor(book, "", book.firm.region, "en");
  const say = (id: string, words: Record<string, string> = {}) => phrase(voice, id, words);
  const drawings = (message.pictures ?? []).flatMap((id) => [
    ...(id === sheet ? sheetLines(book, voice.values) : []),
    book.pictures.has(id)
      ? say("text-drawing", { link: `${publicUrl}/pictures/${id}.svg` })
      : say("text-no-drawing"),
  ]);
  const labels = (message.buttons ?? []).map((button) => button.label);
  return [message.text, ...drawings, ...(labels.length > 0 ? [asked(labels, say)] : [])].join("\n");
}

const plain = (text: string): string =>
  text
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, " ")
    .trim();

/**
 * The tap that a text stands for, by the number or the label of a button of the last message with buttons;
 * `read`: what its writer had before them, newest first. A number that was not on offer is the tap
 * "number:N". Undefined: these are words, or a number of the sheet of lights.
 */
export function tapIn(text: string, read: readonly Message[]): string | undefined {
  const asking = read.find((m) => m.buttons?.length || m.pictures?.includes(sheet));
  const buttons = asking?.buttons ?? [];
  if (buttons.length === 0) return undefined;
  const number = /^\W*(?:reply |option |number |no\.? ?)?(\d)\W*$/i.exec(text)?.[1];
  if (number !== undefined) return buttons[Number(number) - 1]?.tap ?? `number:${number}`;
  const said = plain(text);
  return buttons.find((button) => plain(button.label) === said)?.tap;
}
