/** Sums with what is known of the hire and its van; what is to be added of the exhaust fluid. Pure. */
import { dayOf, daysBetween, sayDay } from "../../calendar.js";
import { regionOf } from "../../knowledge/book.js";
import { sameJson } from "../../same-json.js";
import { completed, type OpenSum, sumFor } from "../../sums/ask.js";
import type { Summed } from "../../sums/words/say.js";
import type { Person } from "../hire.js";
import { sheetOver, type Turn, talkOf, tell } from "../turn.js";
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

/** What a sum lacks is asked for: the person's next words may bring it. `after`: the one that is asked for before it. */
export function leaveOpen(
  turn: Turn,
  person: Person,
  { entry, words }: Pick<OpenSum, "entry" | "words">,
  { unit, odd }: Summed,
  after?: OpenSum,
): OpenSum {
  const talk = talkOf(turn, person.id);
  const open: OpenSum = {
    entry,
    words,
    ...(unit === undefined ? {} : { unit }),
    ...(odd === undefined ? {} : { odd }),
  };
  sheetOver(talk);
  talk.sum = after ? { ...after, next: open } : open;
  return talk.sum;
}

/** Of what waits for a figure, the sum that these words change, and what goes on waiting besides. */
export function changedBy(
  turn: Turn,
  open: OpenSum,
  words: string,
): { entry: string; whole: string; sum: Summed; other?: OpenSum } | undefined {
  const { next, ...first } = open;
  for (const [one, other] of [[first, next], ...(next ? [[next, first]] : [])] as const) {
    if (!one) continue;
    const whole = completed(one, words);
    const sum = sumOf(turn, one.entry, whole);
    const before = sumOf(turn, one.entry, one.words);
    if (sum && !sameJson(sum, before))
      return { entry: one.entry, whole, sum, ...(other ? { other } : {}) };
  }
  return undefined;
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
  if (sum.missing) leaveOpen(turn, person, { entry, words }, sum);
  tell(turn, person, { text: [...sum.told, ...(sum.missing ? [sum.missing] : [])].join("\n") });
  turn.because.push(`sum of ${entry}`);
  return true;
}
