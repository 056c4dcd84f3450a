/** What a message means after what was said before: "and the other one?", "no, the second". Pure. */
import { plain } from "../words.js";

/** Where the talk stands: the last entries told, the newest first, and the choices on the screen. */
export type Context = { lastEntries: readonly string[]; offered?: readonly string[] };

const ordinals: readonly (readonly [RegExp, number])[] = [
  [
    /^(no )?(the )?(1|one|first|1st|former|top)( one| option| please)*$|\b(the first|first one|number one|option (1|one))\b/,
    0,
  ],
  [
    /^(no )?(the )?(2|two|second|2nd|middle)( one| option| please)*$|\b(the second|second one|number two|option (2|two)|the middle one)\b/,
    1,
  ],
  [
    /^(no )?(the )?(3|three|third|3rd)( one| option| please)*$|\b(the third|third one|number three|option (3|three))\b/,
    2,
  ],
];

/** The choice on the screen that the words pick by place; undefined when they pick none. */
export function picked(text: string, offered: readonly string[]): string | undefined {
  const said = plain(text)
    .replace(/[^\p{L}\p{N} ]/gu, "")
    .trim();
  if (said.split(" ").length > 6) return undefined;
  if (/\b(the )?last( one)?$/.test(said)) return offered.at(-1);
  const at = ordinals.find(([pattern]) => pattern.test(said))?.[1];
  return at === undefined ? undefined : offered[at];
}

const other =
  /\b(the other|another|other one|others|not that|not this|different one|wrong one|no not)\b|^no\b/;
/** Whether the words turn down what was told last: "no, the other light". */
export const turnsDown = (text: string): boolean =>
  other.test(plain(text)) && plain(text).split(/\s+/).length <= 9;

const opener =
  /^(and|or|but|also|what about|how about|what if|so|ok|okay|then|no|not|same|even|still|which|with|without|for|in|on|from|until|till|after|before|by|at|the other|as well)\b/;
const pointing =
  /\b(it|that|this|them|those|these|one|there|ones|again|instead|too|either|otherwise|same|the other|it is|they)\b/;

/** Whether the words take up what was said before: "and …", "is it …", "the other one". */
export const takesUp = (text: string): boolean => {
  const said = plain(text).trim();
  return opener.test(said) || pointing.test(said);
};

/** How much the words lean on what was told before, 0 to 1. `rare`: how many words of weight they have. */
export function leans(text: string, rare: number): number {
  const said = plain(text).trim();
  const length = said.split(/\s+/).length;
  if (length > 14) return 0;
  let by = 0;
  if (opener.test(said)) by += 0.4;
  if (pointing.test(said)) by += 0.35;
  if (rare <= 1) by += 0.35;
  else if (rare === 2) by += 0.15;
  if (length <= 4) by += 0.1;
  return Math.min(1, by);
}
