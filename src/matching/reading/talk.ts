/** What a message means after what was said before: "and the other one?", "no, the second". Pure. */
import { plain } from "../words.js";

/** Where the talk stands: the last entries told, the newest first, and the choices on the screen. */
export type Context = { lastEntries: readonly string[]; offered?: readonly string[] };

/** The whole message must pick: "where is the first aid kit" and "how long will it last" ask for something. */
const pick = (which: string): RegExp =>
  new RegExp(
    `^(?:(?:no|yes|ok|i mean|i meant|it is|its|i think|probably|maybe|take|option|number) )*(?:the )?(?:${which})(?: (?:one|option|please|thanks|thank you|of (?:them|these|those|the three)|i think|i mean|then))*$`,
  );
const ordinals: readonly (readonly [RegExp, number])[] = [
  [pick("1|one|first|1st|former|top"), 0],
  [pick("2|two|second|2nd|middle"), 1],
  [pick("3|three|third|3rd"), 2],
  [pick("(?:very )?last"), -1],
];

const bare = (text: string): string =>
  plain(text)
    .replace(/[^\p{L}\p{N} ]/gu, "")
    .trim();

/** The choice on the screen that the words pick by place; undefined when they pick none. */
export function picked(text: string, offered: readonly string[]): string | undefined {
  const said = bare(text);
  if (said === "no one") return undefined;
  const at = ordinals.find(([pattern]) => pattern.test(said))?.[1];
  return at === undefined ? undefined : offered.at(at);
}

const other =
  /\b(the other|another|other one|others|not that|not this|different one|wrong one|no not)\b|^no\b/;
/** Whether the words turn down what was told last: "no, the other light". */
export const turnsDown = (text: string): boolean =>
  other.test(plain(text)) && plain(text).split(/\s+/).length <= 9;

const refusal =
  /^(?:no(?: (?:no|thanks|thank you|sorry|please))*|(?:no )?(?:i mean )?(?:not (?:that|this)(?: one)?|no not(?: the| that)? \w+|(?:the |an?)?(?:other|different|wrong) ?\w*|others?)(?: please)?)$/;
/** Whether they do so and say nothing else: "no hot water" and "another light came on" tell something. */
export const onlyTurnsDown = (text: string): boolean => refusal.test(bare(text));

/** "No brakes" takes up nothing; "no, the other one" and "no it is red" do. */
const opener =
  /^(and|or|but|also|what about|how about|what if|so|ok|okay|then|no(?=$| ?[,.;:!?]| (?:the|that|this|not|i|it|its|one|other|another|but|only|thanks|sorry)\b)|not|same|even|still|which|with|without|for|in|on|from|until|till|after|before|by|at|the other|as well)\b/;
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
