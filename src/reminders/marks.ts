/** Oil marks, parts of a tank, and ok or not ok, read from a hirer's words. Pure. "unclear": meant, but not certain. */
import type { OilMark } from "../post.js";

const top = "(?:max(?:imum)?|top|upper|full|high(?:er|est)?|h)";
const low = "(?:min(?:imum)?|bottom|lower|low|lowest|l)";
const the = "(?:\\s(?:the|its|that|to|to the|at|at the|on|on the))?\\s";
const re = (source: string): RegExp => new RegExp(source);

const aboveTop = re(
  `\\b(?:above|over|past|beyond|higher than|more than)${the}${top}\\b|over ?full|overfilled|too (?:much|full|high)`,
);
const belowLow = re(
  `\\b(?:below|under|beneath|underneath|lower than|less than)${the}${low}\\b|\\bno oil\\b|nothing (?:on|at)\\b|not on the (?:dip)?stick|\\bdry\\b|\\bempty\\b|does(?:n't| not) (?:reach|touch)|can(?:'t|not) see (?:any )?oil`,
);
const nearTop = re(
  `\\b(?:just|slightly|a (?:bit|little|touch)|bit|little) (?:below|under)${the}${top}|\\b(?:near|nearly|almost|close to|towards|not quite)${the}${top}|upper (?:half|third|quarter)|well above${the}${low}`,
);
const nearLow = re(
  `\\b(?:just|slightly|a (?:bit|little|touch)|bit|little|barely) (?:above|over)${the}${low}|\\b(?:near|nearly|almost|close to|towards|not quite)${the}${low}|lower (?:half|third|quarter)`,
);
const within =
  /\bbetween\b|\bin ?between\b|\bmiddle\b|\bmid ?way\b|\bhalf ?way\b|\bcent(?:re|er)\b|\b(?:inside|within)\b.*\b(?:marks?|lines?|range)\b/;
const atLow = re(
  `\\bmin(?:imum)?\\b|\\b(?:bottom|lower|low|lowest)\\s(?:mark|line|dot|hole|notch|one|end)\\b|\\bat the (?:very )?bottom\\b|\\bbottom\\b`,
);
const atTop = re(
  `\\bmax(?:imum)?\\b|\\bfull\\b|\\b(?:top|upper|high|higher)\\s(?:mark|line|dot|hole|notch|one|end)\\b|\\btop\\b`,
);
const loosely = re(`\\b(?:above|over)${the}${low}\\b|\\b(?:below|under)${the}${top}\\b`);
const denied = re(
  `\\b(?:not|isn't|aren't|never|n't)\\b(?! quite)[^,;]{0,14}\\b(?:between|min|minimum|max|maximum|low|full|top|bottom|above|below)\\b`,
);

/** The oil mark that a piece of text names. Parts of the way count too: "about half" is between, "a quarter" is low. */
export function oilMark(piece: string): OilMark | "unclear" | undefined {
  if (denied.test(piece) && !belowLow.test(piece)) return "unclear";
  if (nearTop.test(piece)) return "between";
  if (nearLow.test(piece)) return "low";
  if (belowLow.test(piece)) return "below-min";
  if (aboveTop.test(piece)) return "above-max";
  if (loosely.test(piece)) return "unclear";
  if (within.test(piece)) return "between";
  const [isLow, isTop] = [atLow.test(piece), atTop.test(piece)];
  if (isLow && isTop) return "unclear";
  if (isLow) return "min";
  if (isTop) return "max";
  if (/\blow\b|\blowish\b/.test(piece)) return "low";
  const share = tankShare(piece);
  if (share === undefined || share === "unclear") return undefined;
  return share >= 0.95 ? "max" : share > 0.25 ? "between" : share > 0.05 ? "low" : "below-min";
}

const words: [RegExp, number][] = [
  [/\b(?:three|3)[ -]quarters?\b|\b3\/4\b/, 0.75],
  [/\btwo[ -]thirds?\b|\b2\/3\b/, 2 / 3],
  [/\b(?:one|a|1)[ -]third\b|\b1\/3\b/, 1 / 3],
  [/\bquarter\b|\b1\/4\b/, 0.25],
  [/\bhalf ?way\b|\bhalf\b|\b1\/2\b|\bmiddle\b/, 0.5],
  [/\bfull\b|\bto the (?:top|brim)\b/, 1],
  [/\bempty\b|\bnothing\b/, 0],
];
/** How far "just under" and "just over" move a named part. Common practice, no source: a gauge is read no finer. */
const touch = 0.05;

function part(text: string): number | undefined {
  for (const [pattern, share] of words) if (pattern.test(text)) return share;
  return undefined;
}

/** The share of a tank, 0–1, that a piece of text names: per cent, fraction, bars of bars, or words. */
export function tankShare(piece: string): number | "unclear" | undefined {
  const percent = /\b(\d{1,3}) ?(?:%|percent|per cent|pct)/.exec(piece)?.[1];
  if (percent !== undefined) return Number(percent) <= 100 ? Number(percent) / 100 : "unclear";
  const range = /\bfrom (.+) to (.+)$/.exec(piece);
  if (range) {
    const [a, b] = [part(range[1] ?? ""), part(range[2] ?? "")];
    if (a !== undefined && b !== undefined) return (a + b) / 2;
  }
  const bars =
    /\b(\d{1,2})(?: ?(?:bars?|blocks?|segments?|lines?))? ?(?:\/|of|out of) ?(?:the )?(\d{1,2})\b/.exec(
      piece,
    );
  if (bars) {
    const [n, of] = [Number(bars[1]), Number(bars[2])];
    return of >= 2 && n <= of ? n / of : "unclear";
  }
  const decimal = /(?:^|\s)(0[.,]\d{1,3}|1[.,]0+)\b/.exec(piece)?.[1];
  if (decimal !== undefined) return Number(decimal.replace(",", "."));
  const share = part(piece);
  if (share === undefined)
    return /\blow\b|\breserve\b|\b\d{1,2} ?(?:bars?|litres?|liters?|l)\b/.test(piece)
      ? "unclear"
      : undefined;
  if (/\bnot (?!quite)(?:\w+ )?(?:full|half|empty)\b|n't (?:full|half|empty)\b/.test(piece))
    return "unclear";
  const nearly = /\b(?:almost|nearly|not quite|close to|just about|near)\b/.test(piece);
  const less = /\b(?:under|below|less than|shy of|a bit less)\b/.test(piece);
  const more = /\b(?:over|above|more than|a bit more|better than)\b/.test(piece);
  if (share === 0) return nearly || more ? 0.1 : 0;
  if (share === 1 && (nearly || less)) return 0.9;
  if (less || nearly) return share - touch;
  return more && share < 1 ? share + touch : share;
}

const harmless =
  /\b(?:no|not|nothing|none|never|without|any|aren't|isn't|don't|doesn't)(?: \w+){0,3}? (?:problems?|damaged?|wrong|cuts?|bulges?|bulging|nails?|low|flat|soft|issues?|leaks?|leaking|worn|bad|missing)\b(?: or \w+)*/g;
const bad =
  /\b(?:not|isn't|aren't|never|doesn't|don't)\b(?: \w+){0,2}? (?:ok|good|fine|right|great|normal|well|look)\b|\bbad\b|\bflat\b|\blow(?:er)?\b|\bsoft\b|\bcuts?\b|\bbulg\w*|\bnails?\b|\bscrews?\b|\bcrack\w*|\bworn\b|\bbald\b|\bdamage\w*|\bleak\w*|\bhiss\w*|\bpunctur\w*|\bwrong\b|\bproblems?\b|\bdeflat\w*|\bbelow\b|\bunder\b|\bempty\b|\bmissing\b|\btorn\b|\brubbing\b|\bdown\b/;
const good =
  /\b(?:ok|good|fine|great|perfect|alright|all right|normal|sound|spot on|well|correct|healthy|between|in order|as new|happy)\b/;

/** Ok or not ok, as said of tyres or coolant; undefined where neither is said. "Done" says neither. */
export function okOrNot(piece: string): "ok" | "not-ok" | undefined {
  const rest = piece.replace(harmless, " ok ");
  if (bad.test(rest)) return "not-ok";
  return good.test(rest) ? "ok" : undefined;
}

/** Whether a text only says that a thing was done, or yes: no reading, but a reply. */
export const onlyDone = (plain: string): boolean =>
  /^(?:(?:yes|yep|yeah|yup|ja|si|oui|done|ok|all|checked|check|finished|sure|fine|good|great|have|did|it|i|we|is|it's|everything|that|that's|the|oil|tyres|fluid|now|just|today|this|morning|already|so|and|looks?|alright|perfect|read|got|thanks?|thank|you|ta|cheers|will|do|no|problem|problems|roger|understood|completed?|sorted|ticked)[\s,.!]*)+$/.test(
    plain,
  );
