/** What a light's wording adds to its entry: colour, flashing, steady. Pure. */

import { actsOn, type Book, concerns, type Entry } from "../knowledge/book.js";
import type { VanType } from "../knowledge/placeholders.js";
import { type Severity, worst } from "../severity.js";

/** What a light is in this van: one that it has not is "a light you do not know", since something is lit. */
export function lightIn(book: Book, entry: Entry, van: VanType): Entry {
  if (entry.kind !== "light" || concerns(entry, van)) return entry;
  return book.entries.get("unknown-light") ?? entry;
}

const says = {
  red: /\b(red|crimson)\b/i,
  amber: /\b(amber|orange|yellow)\b/i,
  blue: /\bblue\b/i,
  green: /\bgreen\b/i,
  flashing: /\b(flash\w*|blink\w*|puls\w*|winking|on and off)\b/i,
  steady:
    /\b(steady|stead(il)?y|solid|constant(ly)?|static|not (flashing|blinking)|isn'?t (flashing|blinking)|stays? on|permanent(ly)?|continuous(ly)?)\b/i,
  normal:
    /\b(drives?|driving|runs?|running|goes|going|feels?|seems?|is|all)\b[^.!?]{0,20}\b(normal(ly)?|fine|ok(ay)?|well|as usual|good)\b|\bnormal(ly)?\b/i,
};
/** The colour that words give a light, the worst first; "flashing" whatever its colour. Undefined: none is said. */
export function colourOf(text: string): "red" | "flashing" | "amber" | "calm" | undefined {
  if (says.red.test(text)) return "red";
  if (says.flashing.test(text) && !says.steady.test(text)) return "flashing";
  if (says.amber.test(text)) return "amber";
  return says.blue.test(text) || says.green.test(text) ? "calm" : undefined;
}

/** Words beside a colour that say no more of a light. */
const beside =
  /\b(?:it|its|is|was|and|the|a|an|one|light|lamp|colou?r|just|kind of|sort of|looks?|like|i think|bright|dark|deep|now)\b|['’]s\b/gi;

/** Whether words tell a light's colour, or that it flashes, and nothing else: they name none. */
export function onlyColour(text: string): boolean {
  const { normal: _normal, ...looks } = says;
  const rest = Object.values(looks).reduce(
    (left, by) => left.replace(new RegExp(by, "gi"), " "),
    text,
  );
  return colourOf(text) !== undefined && !/\p{L}/u.test(rest.replace(beside, " "));
}

/**
 * The severity that the first reply acts on for these words. Red, flashing or unknown colour of an
 * unclear light stops the van; amber while the van drives normally is soon; blue and green are notes.
 * An engine light stops the van until it is said to be steady. A light named in red or as flashing
 * where ours is amber is treated as the worse, but for those that flash in ordinary use.
 */
export function severityNow(entry: Entry, text: string): Severity | null {
  const base = actsOn(entry);
  if (entry.kind !== "light" || base === null) return base;
  const flashing = says.flashing.test(text) && !says.steady.test(text);
  if (entry.id === "unknown-light") {
    const colour = colourOf(text);
    if (colour === "amber") return says.normal.test(text) ? "soon" : "stop";
    return colour === "calm" ? "note" : "stop";
  }
  if (entry.id === "engine-steady") return says.steady.test(text) ? worst(base, "soon") : "stop";
  if (entry.id === "glow-plug") return flashing ? "soon" : base;
  if (entry.id === "indicators" || entry.id === "main-beam") return base;
  if (
    entry.id === "bulb-out" &&
    /\b(dark|night|dusk|head ?(light|lamp)|brake (light|lamp))/i.test(text)
  )
    return "stop";
  const isWorse = says.red.test(text) || (flashing && !entry.text?.flashesInUse);
  if (entry.colour === "amber" && isWorse) return worst(base, "stop");
  return base;
}
