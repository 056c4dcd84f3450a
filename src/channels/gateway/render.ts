/** Messages as plain text, for phones that show no buttons and no pictures, and replies by number. Pure. */
import type { Book } from "../../knowledge/book.js";
import { fill } from "../../knowledge/placeholders.js";
import type { Button, Message } from "../../post.js";
import { phrase, voiceFor } from "../../wording/say.js";

/** The drawing whose numbers a hirer may answer with. */
const sheet = "lights-sheet";

/** What the rendering needs: approved words, and where drawings can be seen. */
export type Paper = { book: Book; publicUrl: string };

/** The numbered lights in words, since nobody without data sees the sheet. */
const sheetLines = (book: Book, values: ReadonlyMap<string, string | string[]>): string[] =>
  book.lightSheet.map((id, i) => `${i + 1} ${fill(book.entries.get(id)?.title ?? id, values)}`);

/** The number of a message's first button: beside the sheet of lights, whose numbers begin at 1, it is 0. */
const firstOf = ({ pictures }: Message): number => (pictures?.includes(sheet) ? 0 : 1);

/** "Reply 1 for Safe place, 2 for Not safe." */
function asked(
  labels: readonly string[],
  first: number,
  say: (id: string, words: Record<string, string>) => string,
) {
  const options = labels.map((label, i) => say("text-option", { n: `${i + first}`, label }));
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
  const buttons = message.buttons ?? [];
  const labels = buttons.map((button) => button.label);
  const things = new Set(buttons.filter(isOneOfSeveral).map((button) => button.tap.split("=")[0]));
  return [
    message.text,
    ...drawings,
    ...(labels.length > 0 ? [asked(labels, firstOf(message), say)] : []),
    ...(things.size > 1 ? [say("text-several")] : []),
  ].join("\n");
}

const plain = (text: string): string =>
  text
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, " ")
    .trim();

/** What a text stands for: a button, or several of them in words; undefined: it is what it says. */
type Reply = { tap: string; typed: string } | { words: string } | undefined;

/** Readings ("r:oil=…", "r:tyres=…") and needs ("need:cold:1") can be told several at once; their labels are read as words. */
const isOneOfSeveral = (button: Button | undefined): boolean =>
  /^(r:|need:(?!none))/.test(button?.tap ?? "");

/** "3 7 9 57,340 miles" under a reminder: its numbers become the words of their buttons; the odometer stays. */
function severalIn(text: string, buttons: readonly Button[]): Reply {
  const parts = text.trim().split(/\s*(?:[;+&]|,(?!\d{3}\b)|\band\b)\s*|\s+/);
  const words = parts.map((part) => {
    const button = /^\d{1,2}$/.test(part) ? buttons[Number(part) - 1] : undefined;
    if (isOneOfSeveral(button)) return button?.label;
    return /^(\d{2,3},?\d{3}|miles|km)$/i.test(part) ? part : undefined;
  });
  const chosen = words.filter((word, i) => word !== parts[i]);
  return parts.length > 1 && chosen.length > 0 && words.every((word) => word !== undefined)
    ? { words: words.join(", ").replace(/, (miles|km)$/i, " $1") }
    : undefined;
}

/**
 * Reads a text as an answer to the last message with buttons, by number or label; `read`: what its writer had
 * before them, newest first. A number that was not on offer, then, is the tap "number:N".
 */
export function replyIn(text: string, read: readonly Message[]): Reply {
  const asking = read.find((m) => m.buttons?.length || m.pictures?.includes(sheet));
  const buttons = asking?.buttons ?? [];
  if (asking && buttons.length === 0) return undefined;
  const number = /^\W*(?:reply |option |number |no\.? ?)?(\d{1,2})\W*$/i.exec(text)?.[1];
  const chosen =
    number === undefined
      ? buttons.find((button) => plain(button.label) === plain(text))
      : buttons[Number(number) - (asking ? firstOf(asking) : 1)];
  const typed = text.trim();
  if (chosen) return { tap: chosen.tap, typed };
  if (asking && firstOf(asking) === 0) return undefined;
  if (number?.length === 1) return { tap: `number:${number}`, typed };
  if (number !== undefined) return undefined;
  return severalIn(text, buttons);
}
