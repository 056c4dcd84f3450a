/** Where the hirer is: a place that was shared or written, kept with its time, and told to hirer and staff. Pure. */
import type { Instant } from "../../calendar.js";
import type { Book } from "../../knowledge/book.js";
import { type Place, placeLines } from "../../place/place.js";
import { coordinatesIn, placeIn } from "../../place/read.js";
import type { ArrivalBody } from "../../post.js";
import { relay } from "../alarm.js";
import { ask } from "../callouts/questions.js";
import { isOver, type Person } from "../hire.js";
import { line, openCallouts, staffClock, type Turn, talkOf, tell } from "../turn.js";
import { greet, heard, openOf, openTrouble } from "./sign.js";

/** Words by which more has happened at a spot than that somebody stands there. */
const happens =
  /\b(?:hit|struck|stuck|trapped|crash\w*|accident|block\w*|broken|lanes?|carriageway|shoulder|lorr\w+|trucks?|traffic|cars?|trains?|under|help|smoke|fire|hurt)\b/i;

/** Words by which they stand where no van may: a place that is a danger, whatever else it tells. */
const amid =
  /\bmiddle of (?:it\b|(?:(?:the|an?|this) )?(?!nowhere)(?:[\w-]+ ){0,2}(?:roads?|lanes?|street|motorway|carriageway|highway|traffic|junction|crossroads|roundabout|crossing|tracks?|bend|bridge|tunnel|ford|river|water|flood|[abm]\d+)\b)|\b(?:in|inside) (?:an? |the |this )?(?:\w+ )?tunnel\b|\b(?:on|onto|across|over) (?!(?:track|line)\b)(?:an? |the |this |both |some )?(?:level |railway |rail |train )*(?:crossing|tracks?|rails?|railway|line)\b|\b(?:on|in|across) the carriageway\b/i;

/** Whether words name a place, and not one amid traffic or on rails. */
export const namesPlace = (words: string): boolean =>
  placeIn(words) !== undefined && !amid.test(words);

/** Whether a danger lies in the place alone. */
export function isOfPlace(book: Book, danger: string | undefined): boolean {
  const entry = book.entries.get(danger ?? "");
  return entry?.kind === "danger" && entry.text?.ofPlace === true;
}

/** Whether words that sound like this danger only name a spot: "A82 between the bridge and the church". */
export const onlyPlace = (book: Book, danger: string | undefined, words: string): boolean =>
  isOfPlace(book, danger) && placeIn(words) === "spot" && !happens.test(words) && !amid.test(words);

/** Keeps a place unless a newer one is known. */
function keep(turn: Turn, place: Place): boolean {
  const newer = place.at >= (turn.hire.place?.at ?? 0);
  if (newer) turn.hire.place = place;
  turn.because.push(newer ? "place kept" : "place older than the one that is known");
  return newer;
}

/** When the phone was there: places wait in a phone without a connection. */
const thenAt = ({ arrival, now }: Turn): Instant =>
  arrival.writtenAt !== undefined && arrival.writtenAt < now ? arrival.writtenAt : now;

const keepWords = (turn: Turn, person: Person, words: string): void => {
  const at = thenAt(turn);
  if (at >= (turn.hire.placeSaid?.at ?? 0))
    turn.hire.placeSaid = { words: words.slice(0, 400), at, by: person.id };
};

/** What a place is told to staff as; one that is older than another that is known has its time. Ask before it is kept. */
function placeHead(turn: Turn): string {
  const at = thenAt(turn);
  const { place, placeSaid } = turn.hire;
  const isOlder = at < Math.max(place?.at ?? 0, placeSaid?.at ?? 0);
  return isOlder ? `place at ${staffClock(turn, at)}, older than the one that is known:` : "place:";
}

/**
 * Whether this is a live place that a phone goes on sending by itself though nobody is to follow it: the van is
 * back, or the hire is over, and nobody of it is in danger.
 */
export function isUnfollowed({ hire, now, facts, arrival: { body } }: Turn): boolean {
  if (body.kind !== "located" || body.live !== "moved") return false;
  const isBack = hire.returnRecordAt !== undefined;
  const inDanger = openCallouts(hire).some((c) => c.severity === "danger");
  return (isBack && !inDanger) || isOver(hire, now, facts.book.keeping);
}

/**
 * A place that a phone shared. One of a shared live place only moves what is known: the phone sends it by
 * itself, so it is no sign of life, and nobody is told again and again.
 */
export function located(
  turn: Turn,
  person: Person,
  { lat, lon, accuracyM, live, name }: Extract<ArrivalBody, { kind: "located" }>,
): void {
  const place: Place = {
    lat,
    lon,
    at: thenAt(turn),
    by: person.id,
    ...(accuracyM === undefined ? {} : { accuracyM }),
  };
  if (live === "moved") {
    keep(turn, place);
    return;
  }
  heard(turn, person);
  greet(turn, person);
  const head = placeHead(turn);
  keep(turn, place);
  if (name) keepWords(turn, person, name);
  const told = [
    line(turn, "located", { place: placeLines(place).join("\n") }),
    ...(live ? [line(turn, "located-live")] : []),
  ];
  tell(turn, person, { text: told.join("\n") });
  const [matter] = openOf(turn, person);
  if (matter)
    relay(
      turn,
      person,
      matter,
      [head, name, placeLines(place).join(" · ")].filter(Boolean).join(" "),
      { noted: true },
    );
  const talk = talkOf(turn, person.id);
  delete talk.whereAsked;
  if (talk.asking?.steps[0] === "place") ask(turn, person);
}

/** Keeps the place that words give in figures. */
function placeInFigures(turn: Turn, person: Person, words: string): Place | undefined {
  const found = coordinatesIn(words);
  if (!found) return undefined;
  const place: Place = { ...found, at: thenAt(turn), by: person.id };
  keep(turn, place);
  return place;
}

/** A place that stands in the words of a trouble itself: kept before anybody is alerted, so that the alert has it. */
export function placeBeside(turn: Turn, person: Person, words: string): void {
  if (!placeInFigures(turn, person, words) && placeIn(words) === "spot")
    keepWords(turn, person, words);
}

/** A link, but not a chat link of a hire. */
const link = /\bhttps?:\/\/(?!\S*\/h\/)\S+/i;

/**
 * Words that tell where they are, while that is asked or a trouble is open: kept, passed on, and answered
 * unless `quiet`. Figures are read as a place; other words stay as written. False when they tell no place.
 */
export function placeTold(turn: Turn, person: Person, words: string, quiet = false): boolean {
  const trouble = openTrouble(turn, person);
  if (!trouble) return false;
  const talk = talkOf(turn, person.id);
  const asked = talk.asking?.steps[0] === "place" || talk.whereAsked === trouble.n;
  const head = placeHead(turn);
  const place = placeInFigures(turn, person, words);
  // A link that tells no place in figures still opens on staff's screen.
  const sure = placeIn(words) ?? (asked && link.test(words) ? "likely" : undefined);
  if (!place && (!sure || (sure === "likely" && !asked) || sure === "vague")) return false;
  if (!place) keepWords(turn, person, words);
  delete talk.whereAsked;
  const lines = place ? placeLines(place) : [];
  relay(turn, person, trouble, [`${head} ${words}`, ...lines].join(" · "), {
    noted: true,
  });
  turn.because.push(`place written in ${place ? "figures" : "words"}`);
  const how = { callout: trouble.n };
  if (place) tell(turn, person, { text: line(turn, "located", { place: lines.join("\n") }) }, how);
  else if (!quiet)
    tell(turn, person, { text: line(turn, sure === "spot" ? "noted-place" : "noted") }, how);
  return true;
}
