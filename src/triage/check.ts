/** Walks a guided check: the question or end at a path of chosen options. Pure. */
import { endsOf, isForUnsure, isUnsure } from "../knowledge/checks/for-van.js";
import type { End, Question } from "../knowledge/schema.js";
import { saysNo, saysYes } from "../yes-no.js";

/** The node that a path leads to; undefined when the book has changed and the path leads nowhere. */
export function walk(check: Question, path: readonly number[]): Question | End | undefined {
  let node: Question | End = check;
  for (const choice of path) {
    if (!("ask" in node)) return undefined;
    const option: { then: Question | End } | undefined = node.options[choice];
    if (!option) return undefined;
    node = option.then;
  }
  return node;
}

/** The questions and chosen options on a path, as staff read them: "What do you see? Smoke or flames". */
export function chosen(check: Question, path: readonly number[]): string[] {
  return path.flatMap((choice, i) => {
    const node = walk(check, path.slice(0, i));
    const option = node && "ask" in node ? node.options[choice] : undefined;
    return node && "ask" in node && option ? [`${node.ask} ${option.say}`] : [];
  });
}

/** Whether an answer to the check may tell of a danger to life: then it comes before every other question. */
export const findsDanger = (node: Question | End): boolean =>
  endsOf(node).some((end) => end.severity === "danger");

const plain = (t: string) =>
  t
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, " ")
    .trim();
const isYes = (said: string) => saysYes(said) || /^(it is|it does|they do)$/.test(said);
const isNo = (said: string) => saysNo(said) || /^not (really|at all|yet)$/.test(said);
/** So many words are a yes or a no and little else. */
const shortly = 4;

/** Words that tell no option from another. */
const empty = new Set(
  "a an the it its i is are am was they you your we my or and of in on to at with all as usual one some only now after again look do does will when if just too here there has have been since go goes going come comes came can so that this up tell sure idea much very".split(
    " ",
  ),
);
/** What people say for the word of a label. */
const alike: Record<string, string> = { blink: "flash", solid: "stead", constant: "stead" };
/** Endings that people change; so short a rest as of "ring" and "red" is no word of its own. */
const stem = (word: string): string => {
  const cut = word.replace(/(?<=\p{L}{3})(?:ing|ily|es|ed|ly|s|y)$/u, "");
  return alike[cut] ?? cut;
};
const contents = (text: string): Set<string> =>
  new Set(
    text
      .split(" ")
      .filter((w) => w.length > 2 && !empty.has(w))
      .map(stem),
  );
const negated = /\b(not|no|never|without|cannot|cant|dont|doesnt|isnt|arent|wont|hasnt|nothing)\b/;

/** Plain words with "isn t" and the like as one word. */
const joined = (said: string): string => said.replaceAll("n t", "nt");

/** "I can't see it" and no more: who cannot find the van, or see somebody, tells of something else. */
const cannotLook =
  /^(sorry )?(i |we )?(really |just )?(cant|cannot|could not|couldnt) (see|look|find|check|try)( (it|that|this|them|there|here|now|sorry))*$/;
const doubts = (said: string): boolean =>
  cannotLook.test(said) || (isUnsure(said) && said.split(" ").length <= shortly);

/** What is asked back answers nothing: "how long will it take", "are you still there". */
const asksBack =
  /^(?:how|what|where|when|who|why) (?:is|are|s|do|does|did|can|could|should|will|would|time|long|far|many|much)\b|^(?:can|could|should|may|will|would|do|does|did|is|are) (?:i|we|you|it|that|this|the|there|they|some\w*|any\w*)\b/;

/**
 * The option whose label shares most words with a short text. One that clears the van must be said in full;
 * a text that denies or asks anything chooses none; what flashes counts as flashing whatever else it is. `among`: the
 * options whose labels begin with the yes or no with which the text begins.
 */
function optionByWords(
  question: Question,
  said: string,
  among?: readonly number[],
): number | undefined {
  const rest = (text: string) => (among ? text.replace(/^\S+/, "") : text);
  if (said.split(" ").length > 12 || asksBack.test(said)) return undefined;
  if (negated.test(joined(rest(said)))) return undefined;
  const words = contents(rest(said));
  const hits = question.options.map(({ say, then }, i) => {
    if (among && !among.includes(i)) return 0;
    const wanted = [...contents(rest(plain(say)))];
    const shared = wanted.filter((w) => words.has(w));
    const clears = "end" in then && then.end === "cleared";
    if (clears && shared.length < wanted.length) return 0;
    return shared.includes("flash") ? 100 : shared.length;
  });
  const most = Math.max(0, ...hits);
  const best = hits.filter((h) => h === most).length === 1 ? hits.indexOf(most) : -1;
  return most > 0 && best >= 0 ? best : undefined;
}

/** Whether words are the label of an option and no more. */
export const isOption = (question: Question, text: string): boolean =>
  question.options.some(({ say }) => plain(say) === plain(text));

/**
 * Which option the hirer's words choose: by number, label, yes and no, or its words; undefined if none. A yes or
 * a no chooses where one label alone begins so; where more do, the words that set them apart.
 * `strictly`: not by its words alone, since they may be meant for somebody else.
 */
export function optionIn(question: Question, text: string, strictly = false): number | undefined {
  const said = plain(text);
  const number = /^\d$/.exec(said) ? Number(said) - 1 : -1;
  if (question.options[number]) return number;
  const labels = question.options.map((o) => plain(o.say));
  const those = (test: (label: string) => boolean) =>
    labels.flatMap((label, i) => (test(label) ? [i] : []));
  const exact = labels.indexOf(said);
  if (exact >= 0) return exact;
  const isShort = said.split(" ").length <= shortly;
  // "No, 2" takes something back.
  if (/^no (?:\w+ )?\d{1,2}$/.test(said)) return undefined;
  const begins = isYes(said) ? isYes : isNo(said) ? isNo : undefined;
  const by = begins ? those(begins) : [];
  if (by.length === 1 && isShort) return by[0];
  if (by.length > 1) return strictly ? undefined : optionByWords(question, said, by);
  if (strictly) return undefined;
  const doubtful = those(isForUnsure);
  return doubts(joined(said)) && doubtful.length === 1
    ? doubtful[0]
    : optionByWords(question, said);
}
