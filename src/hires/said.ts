/** A hirer's words, taps, photos and places: danger first, then the question in progress, then matching. Pure. */
import type { FileRef } from "../post.js";
import { isNight } from "../triage/order.js";
import { canBeShown } from "../wording/pictures.js";
import { relay } from "./alarm.js";
import { showSheet } from "./callouts/questions.js";
import { openFor } from "./callouts/told.js";
import { photoSaid } from "./care/replies.js";
import { unclear } from "./heard/light.js";
import { greet, heard, openOf } from "./heard/sign.js";
import type { Person } from "./hire.js";
import {
  answeredQuestion,
  heldInDanger,
  namedLight,
  passedToStaff,
  repeatedItself,
  saidAllRight,
  saidOfRoadside,
} from "./said/asked.js";
import { answeredDoubt, metDanger, raisedDoubt } from "./said/doubt.js";
import { readSaid } from "./said/facts.js";
import { type Handler, inHand } from "./said/handling.js";
import {
  actedOn,
  answeredStaff,
  completedSum,
  couldNotWait,
  gaveReading,
  hadNoVan,
  metTrouble,
  pickedChoice,
  toldPlace,
  wantedCalendar,
  wantedData,
  wantedPerson,
  wroteToOwner,
} from "./said/meant.js";
import { awaitWords, wordsCame } from "./said/unread.js";
import { line, type Turn, talkOf, tell } from "./turn.js";

/** What words may be, in this order: the first that they are ends it. */
const order: readonly Handler[] = [
  metDanger,
  answeredDoubt,
  raisedDoubt,
  passedToStaff,
  repeatedItself,
  namedLight,
  saidAllRight,
  saidOfRoadside,
  answeredQuestion,
  heldInDanger,
  metTrouble,
  toldPlace,
  hadNoVan,
  answeredStaff,
  gaveReading,
  completedSum,
  pickedChoice,
  wantedCalendar,
  wantedData,
  couldNotWait,
  wantedPerson,
  wroteToOwner,
  actedOn,
];

/** Words from a person of the hire. Every message is watched for danger, whoever has the matter. */
export function said(turn: Turn, person: Person, text: string, edited = false): void {
  const words = text.trim();
  if (words === "") {
    turn.because.push("ignored: empty message");
    return;
  }
  wordsCame(turn, person);
  const message = inHand(turn, person, readSaid(turn, person, words, edited));
  heard(turn, person);
  order.some((handle) => handle(turn, person, message));
}

/** A photo, a voice note or the like: kept for staff and said so plainly; a photo may be of a light. */
export function shown(
  turn: Turn,
  person: Person,
  what: string,
  file?: FileRef,
  caption?: string,
): void {
  heard(turn, person);
  greet(turn, person);
  const words = caption?.trim() ?? "";
  const unshown = what === "photo" && file !== undefined && !canBeShown(file.kind);
  const text =
    what === "photo"
      ? line(turn, unshown ? "photo-unshown" : "photo")
      : line(turn, unreadId(turn, awaitWords(turn, person, what), file), { what });
  const { lastEntries, sheet, staffSpoke } = talkOf(turn, person.id);
  const told = turn.facts.book.entries.get(lastEntries[0] ?? "");
  const open = openFor(turn.hire, person);
  const ofLight = told?.kind === "light" || open.some((c) => c.kind === "light");
  // A photo out of the blue may be of a light: its colour and the sheet are one tap away.
  const asks = what === "photo" && words === "" && !ofLight && open.length === 0;
  const buttons = asks
    ? [
        { tap: `e:${unclear}`, label: line(turn, "photo-is-light") },
        { tap: "person", label: line(turn, "get-a-person") },
      ]
    : [];
  const isReply =
    what === "photo" &&
    words === "" &&
    photoSaid(turn, person, buttons, unshown ? text : undefined);
  if (!isReply) tell(turn, person, { text, ...(asks ? { buttons } : {}) });
  // A light that has its name needs no sheet, nor does whoever staff have asked for the photo.
  const isUnclear = lastEntries[0] === unclear || open.some((c) => c.matter === unclear);
  if (what === "photo" && words === "" && isUnclear && !sheet && !staffSpoke)
    showSheet(turn, person);
  share(turn, person, `(${what})${words ? ` ${words}` : ""}`, file, words !== "");
  if (words) said(turn, person, words);
}

/** How it is told that something cannot be read. `waits`: a person is told where no words come; at night they are asked first. */
function unreadId({ facts, now }: Turn, waits: boolean, file: FileRef | undefined): string {
  if (!file) return "unreadable-lost";
  return waits && !isNight(facts.book.firm, now) ? "unreadable-alone" : "unreadable";
}

/** `noted`: what was said with it is read, and noted, as words. */
function share(
  turn: Turn,
  person: Person,
  text: string,
  file: FileRef | undefined,
  noted: boolean,
): void {
  const [open] = openOf(turn, person);
  if (open) relay(turn, person, open, text, { file, noted });
}
