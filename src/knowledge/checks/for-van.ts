/** The guided check of a light or fault as it is put for one van: the one tree that everything reads. Pure. */
import { actsOn, type Book, concernsDriving, type Entry } from "../book.js";
import type { VanType } from "../placeholders.js";
import type { End, Option, Question } from "../schema.js";

const unsure =
  /\b(not sure|unsure|no idea|dunno|(no|not a|havent a) clue|(dont|do not) know|(cant|cannot|could not|couldnt) (tell|say))\b/;
const unable = /\b(cant|cannot|could not|couldnt) (see|look|find|check|try)\b/;
const plain = (text: string) =>
  text
    .toLowerCase()
    .replace(/n[’' ]t\b/g, "nt")
    .replace(/[^\p{L}\p{N}]+/gu, " ");

/** Whether words say that somebody does not know. */
export const isUnsure = (text: string): boolean => unsure.test(plain(text));

/** Whether the label of an option is for who does not know, or cannot look. */
export const isForUnsure = (label: string): boolean => isUnsure(label) || unable.test(plain(label));

/** Whether an option is put to those who have this van. */
export const isFor = ({ when, unless }: Option, { has }: VanType): boolean =>
  (when === undefined || has.includes(when)) && (unless === undefined || !has.includes(unless));

/** Whether a question has an option of its own for who cannot tell. */
export const hasDoubt = ({ options }: Pick<Question, "options">): boolean =>
  options.some((o) => isForUnsure(o.say));

/**
 * The check of an entry, if it has one, with the options that concern the van. A question without a label for
 * who cannot tell gets one as its last: the firm is rung, and nothing that was feared is cleared.
 */
export function checkOf(
  { book, van }: { book: Book; van: VanType },
  entry: Entry | undefined,
): Question | undefined {
  if (entry?.kind !== "light" && entry?.kind !== "fault") return undefined;
  const severity = concernsDriving(entry) ? "stop" : (actsOn(entry) ?? "stop");
  const own = entry.text?.variants.find((v) => van.has.includes(v.when))?.check;
  const check = own ?? entry.text?.check;
  const say = severity === "stop" ? "check-unsure-stop" : "check-unsure-rest";
  const phrase = (id: string) => book.phrases.get(id) ?? "";
  const cannotTell: Option = {
    say: phrase("check-unsure"),
    then: { end: "firm", say: phrase(say), severity },
  };
  const forVan = (node: Question): Question => {
    const options = node.options
      .filter((option) => isFor(option, van))
      .map(({ say, then }): Option => ({ say, then: "ask" in then ? forVan(then) : then }));
    return { ask: node.ask, options: hasDoubt({ options }) ? options : [...options, cannotTell] };
  };
  return check && forVan(check);
}

/** Every end that the answers to a check, or to the rest of one, lead to. */
export const endsOf = (node: Question | End): End[] =>
  "ask" in node ? node.options.flatMap((o) => endsOf(o.then)) : [node];
