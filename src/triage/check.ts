/** Walks a guided check: the question or end at a path of chosen options. Pure. */
import type { Entry } from "../knowledge/book.js";
import type { End, Question } from "../knowledge/schema.js";

/** The check of an entry, if it has one. */
export function checkOf(entry: Entry | undefined): Question | undefined {
  return entry?.kind === "light" || entry?.kind === "fault" ? entry.text?.check : undefined;
}

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

const plain = (t: string) =>
  t
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, " ")
    .trim();
const yes = /^(y|yes|yeah|yep|aye|ja|oui|si|tak|it is|it does|they do)\b/;
const no = /^(n|no|nope|nah|not|nein|non|nie)\b/;

/** Which option the hirer's words choose: by number, by its label, or by yes and no; undefined if none. */
export function optionIn(question: Question, text: string): number | undefined {
  const said = plain(text);
  const number = /^\d$/.exec(said) ? Number(said) - 1 : -1;
  if (question.options[number]) return number;
  const labels = question.options.map((o) => plain(o.say));
  const exact = labels.indexOf(said);
  if (exact >= 0) return exact;
  if (said.split(" ").length > 4) return undefined;
  const starts = (pattern: RegExp) => labels.findIndex((l) => pattern.test(l));
  const by = yes.test(said) ? starts(yes) : no.test(said) ? starts(no) : -1;
  return by >= 0 ? by : undefined;
}
