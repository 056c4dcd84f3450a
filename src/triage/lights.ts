/** What a light's wording adds to its entry: colour, flashing, steady. Pure. */

import { actsOn, type Entry } from "../knowledge/book.js";
import { type Severity, worst } from "../severity.js";

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
