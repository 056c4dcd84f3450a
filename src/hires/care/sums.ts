/** Sums with what is known of the hire and its van; what is to be added of the exhaust fluid. Pure. */
import { dayOf, daysBetween, sayDay } from "../../calendar.js";
import { regionOf } from "../../knowledge/book.js";
import { sumFor } from "../../sums/ask.js";
import type { Summed } from "../../sums/words/say.js";
import type { Person } from "../hire.js";
import { type Turn, talkOf, tell } from "../turn.js";
import { knownOfVan } from "./readings.js";

/** The sum of an entry for these words; undefined where they hold none. */
export function sumOf(turn: Turn, entry: string, words: string): Summed | undefined {
  const { booking } = turn.hire;
  const { book } = turn.facts;
  const days = daysBetween(
    dayOf(booking.pickupAt, booking.zone),
    dayOf(booking.returnAt, booking.zone),
  );
  const { pickup, latest, readAt } = knownOfVan(turn.hire);
  const readOn = Object.fromEntries(
    Object.entries(readAt).map(([value, at]) => [value, sayDay(dayOf(at, booking.zone))]),
  );
  return sumFor(entry, words, {
    van: turn.van,
    sums: book.sums,
    values: turn.voice.values,
    distanceUnit: regionOf(book, booking.region).region.distanceUnit,
    days: Math.max(1, days),
    pickup,
    latest,
    readOn,
  });
}

/** What a sum lacks is asked for: the person's next words may bring it. */
export function leaveOpen(
  turn: Turn,
  person: Person,
  entry: string,
  words: string,
  { unit, odd }: Summed,
): void {
  delete talkOf(turn, person.id).sheet;
  talkOf(turn, person.id).sum = {
    entry,
    words,
    ...(unit === undefined ? {} : { unit }),
    ...(odd === undefined ? {} : { odd }),
  };
}

/**
 * After the level was told, as its reminder promises: how much to add; without a record the level of pick-up is
 * asked for. False where it would have to be and `mayAsk` is not so, since something else is asked already.
 */
export function tellToAdd(turn: Turn, person: Person, level: number, mayAsk: boolean): boolean {
  const entry = "exhaust-fluid-range";
  const words = `how much exhaust fluid to add, now ${Math.round(level * 100)} %`;
  const sum = sumOf(turn, entry, words);
  if (!sum) return true;
  if (sum.missing && !mayAsk) return false;
  if (sum.missing) leaveOpen(turn, person, entry, words, sum);
  tell(turn, person, { text: [...sum.told, ...(sum.missing ? [sum.missing] : [])].join("\n") });
  turn.because.push(`sum of ${entry}`);
  return true;
}
