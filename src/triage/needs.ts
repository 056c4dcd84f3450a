/** What hirers write of who is with them and in need, beside what has happened. Pure. */
import type { Need } from "../post.js";

/** `sign`: tells of the need; `unless`: words that take it back or mean something else. */
const signs: Record<
  Exclude<Need, "unsafe-place" | "some">,
  { sign: RegExp[]; unless: RegExp[] }
> = {
  child: {
    sign: [
      /\b(bab(y|ies)|toddlers?|infants?|newborn|child(ren)?|kids?|kiddies|bairns?|(wee|little) (ones?|girl|boy)|(small|young) (son|daughter)s?)\b/i,
      /\b([1-9]|1[0-7])[- ]?(years?|yrs?|months?|weeks?)[- ]olds?\b/i,
    ],
    unless: [
      /\b(no|without( any)?|not any|haven'?t( got)?( any)?|don'?t have( any)?|child|kids?'?s?) (kids?|child(ren)?|bab(y|ies)|seats?|locks?|beds?|bunks?)\b/i,
    ],
  },
  alone: {
    sign: [
      /\b(on my own|by myself|all alone|alone|just me|only me|travelling solo)\b/i,
      /\b(nobody|no ?one|not a soul)( else)? (is )?(here|around|about|with me|near)\b/i,
    ],
    unless: [
      /\bnot (alone|on my own|by myself)\b/i,
      /\b(leave|leaving|left|let)\b.{0,12}\balone\b/i,
    ],
  },
  "cold-dark": {
    sign: [
      /\b(freezing|shivering|hypotherm\w*|blizzard|pitch[- ](black|dark)|soaked|wet through)\b/i,
      /\b(so|very|really|too|bitterly|bloody|getting|it'?s|its|are|am|'?re|'?m|is|and) (cold|dark)\b/i,
      /^\W*(cold|dark)\b/i,
      /\bin the (cold|dark)\b/i,
    ],
    unless: [
      /\b(not|isn'?t|aren'?t|n'?t) (so |very |that |too |really )?(cold|dark)\b/i,
      /\b(cold (start|water|tap|engine)|(engine|motor|fridge|water|tap|oil|freezer)\b.{0,12}\b(cold|freezing)|dash(board)? (is|goes|went|are) dark)\b/i,
    ],
  },
  medical: {
    sign: [
      /\b(insulin|diabet\w*|pregnan\w*|asthma\w*|inhaler|epilep\w*|dialysis|pacemaker|wheelchair|disabled|elderly|dementia|alzheimer\w*|medication|medicines?|prescription|vomit\w*|throwing up|fever)\b/i,
      /\b(heart (condition|problem|trouble|tablets?|pills?)|oxygen (tank|bottle|machine)|chest infection)\b/i,
      /\b(feel(s|ing)?|been|is|am|are|'?m|'?s|'?re|getting|very|really|quite|so) (very |really |quite |a bit )?(ill|sick|unwell|poorly|faint|dizzy)\b/i,
      /^\W*(ill|sick|unwell|poorly)\b/i,
    ],
    unless: [
      /\b(no|not|nobody'?s?|none|n'?t)( \w+){0,2} (medical|medicines?|medication|ill|sick|unwell|poorly|pregnant)\b/i,
    ],
  },
  "phone-flat": {
    sign: [
      /\b(phone|mobile)\b[^.!?]{0,30}\b(flat|dying|dead|dies?|low|out of (battery|juice|charge)|run(s|ning)? (out|low|down)|about to go|nearly (gone|empty)|almost (gone|empty))\b/i,
      /(?<![\d.,])(1?\d|20) ?(%|per ?cent)[^.!?]{0,20}\b(battery|charge|phone|mobile|left|juice)\b/i,
      /\b(battery|phone|mobile|charge|juice)\b[^.!?]{0,20}(?<![\d.,])(1?\d|20) ?(%|per ?cent)/i,
      /\bmy battery('?s| is)? (nearly |almost |about to )?(flat|dying|dead|low|die|go)\b/i,
    ],
    unless: [
      /\b(leisure|van'?s?|house|habitation|drive|traction|car|vehicle|engine|starter|fridge|key|fob|12 ?v(olt)?) batter(y|ies)\b/i,
      /\b(plenty|full|charged|100 ?%)\b/i,
      /\b(was|had been|had|went) (flat|dead|died)\b/i,
    ],
  },
};
/** A percentage without the phone may be the drive battery of an electric van. */
const namesPhone = /\b(phone|mobile|my battery)\b/i;

/** Who is in need, as far as the words tell; in a fixed order. */
export function readNeeds(text: string, electric = false): Need[] {
  return (Object.keys(signs) as (keyof typeof signs)[]).filter((need) => {
    if (need === "phone-flat" && electric && !namesPhone.test(text)) return false;
    const { sign, unless } = signs[need];
    // What is taken back in one sentence may still be said in another.
    return text
      .split(/[.!?;\n]+|,| but | and /)
      .concat(need === "phone-flat" ? [text] : [])
      .some((part) => sign.some((s) => s.test(part)) && !unless.some((u) => u.test(part)));
  });
}
