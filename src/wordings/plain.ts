/** Hirers' words without what tells who they are. Pure. */

const address = /[^\s@<>]+@[^\s@<>]+\.[^\s@<>]+/g;
const link = /\b(?:https?:\/\/|www\.)\S+/gi;
/** Seven digits or more, however they are set apart: a telephone or card number. */
const number = /\+?\d(?:[\s().,/-]{0,2}\d){6,}/g;
/** Latitude and longitude, to three digits and more. */
const place = /-?\d{1,3}\.\d{3,}\s*[,;\s]\s*-?\d{1,3}\.\d{3,}/g;
/** A number plate of Great Britain ("SX26 ABC"), or the older and Irish ways with many letters. */
const plate = /\b(?:[a-z]{2}\d{2}\s?[a-z]{3}|\d{2,3}-[a-z]{1,2}-\d{1,6})\b/gi;

const escaped = (text: string) => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");

/**
 * The words with names, numbers of seven digits and more, places in figures, plates, mail addresses and links left out. A name
 * that is also a word ("Rose", "Field") is taken out all the same: better a gap than a person.
 */
export function plain(text: string, names: readonly string[]): string {
  const out = text
    .replace(link, "(link)")
    .replace(address, "(mail)")
    .replace(plate, "(plate)")
    .replace(place, "(place)")
    .replace(number, "(number)");
  const known = names
    .flatMap((name) => [name, ...name.split(/[\s-]+/)])
    .filter((name) => name.length > 1)
    .sort((a, b) => b.length - a.length);
  if (known.length === 0) return out.trim();
  const any = new RegExp(
    `(?<![\\p{L}\\p{N}])(?:${known.map(escaped).join("|")})(?![\\p{L}\\p{N}])`,
    "giu",
  );
  return out.replace(any, "(name)").trim();
}

const gap = /\s*\((?:name|number|place|plate|mail|link)\)/g;
/** Whether something was left out of it. */
export const hasGap = (text: string): boolean => text.search(gap) >= 0;
/** The words without the marks of what was left out. */
export const closed = (text: string): string => text.replace(gap, "").trim();
