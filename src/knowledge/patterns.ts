/**
 * The small pattern language of danger-words.yaml, and its search in a list of words. Pure.
 *   word      that word              burn*     any word that starts so
 *   a|b       either                 word?     may be missing
 *   in_here   those words in a row, as one of several: inside|in_here
 *   <class>   any word or phrase of a class of the file
 *   ..        up to three words between        ....      up to eight
 *   a & b     both, in any order, up to eight words between (up to three parts)
 */

/** One step of a pattern: a gap before it (most words between), and what may stand there. */
type Step = {
  gap: number;
  optional: boolean;
  words: ReadonlySet<string>;
  starts: readonly string[];
  /** Phrases of several words, by their first word. */
  phrases: ReadonlyMap<string, readonly (readonly string[])[]>;
};
/** `tag`: whatever the caller wants to know a group of patterns by. */
type Pattern = { name: string; tag: string; steps: Step[] };
export type PatternIndex = {
  /** Patterns by a whole first word. */
  byWord: Map<string, Pattern[]>;
  /** Patterns by the start of a first word. */
  byStart: Map<string, Pattern[]>;
};
export type Found = { name: string; tag: string; from: number; to: number };
type Classes = Readonly<Record<string, readonly string[]>>;

/** "a & b" in every order. */
function orders(parts: readonly string[]): string[] {
  if (parts.length < 2) return [...parts];
  return parts.flatMap((one, i) =>
    orders(parts.filter((_, k) => k !== i)).map((rest) => `${one} .... ${rest}`),
  );
}

/** The words and phrases that one piece of a pattern stands for. */
function formsOf(piece: string, classes: Classes): string[] {
  return piece.split("|").flatMap((form) => {
    const name = /^<([a-z-]+)>$/.exec(form)?.[1];
    if (name === undefined) return [form.replaceAll("_", " ")];
    const members = classes[name];
    if (!members) throw new Error(`unknown class <${name}>`);
    return [...members];
  });
}

/** A step that any of these forms fills. */
export function stepOf(forms: readonly string[], gap = 0, optional = false): Step {
  const phrases = new Map<string, string[][]>();
  for (const form of forms) {
    const [first = "", ...rest] = form.split(" ");
    if (rest.length > 0) phrases.set(first, [...(phrases.get(first) ?? []), [first, ...rest]]);
  }
  const single = forms.filter((f) => !f.includes(" "));
  return {
    gap,
    optional,
    phrases,
    words: new Set(single.filter((f) => !f.endsWith("*"))),
    starts: single.filter((f) => f.endsWith("*")).map((f) => f.slice(0, -1)),
  };
}

function compile(text: string, classes: Classes): Step[] {
  const steps: Step[] = [];
  let gap = 0;
  for (const piece of text.trim().split(/\s+/)) {
    if (/^\.+$/.test(piece)) {
      gap = piece.length > 2 ? 8 : 3;
      continue;
    }
    const optional = piece.endsWith("?");
    steps.push(stepOf(formsOf(optional ? piece.slice(0, -1) : piece, classes), gap, optional));
    gap = 0;
  }
  return steps;
}

const put = (map: Map<string, Pattern[]>, key: string, pattern: Pattern) => {
  const at = map.get(key);
  if (at) at.push(pattern);
  else map.set(key, [pattern]);
};

/** An index without patterns. */
export const emptyIndex = (): PatternIndex => ({ byWord: new Map(), byStart: new Map() });

/** Adds a pattern to an index, under every way in which it may begin. @throws when it begins with an optional word */
export function addOne(index: PatternIndex, pattern: Pattern): void {
  const first = pattern.steps[0];
  if (!first || first.optional)
    throw new Error(`the pattern "${pattern.name}" must begin with a word`);
  for (const w of new Set([...first.words, ...first.phrases.keys()])) put(index.byWord, w, pattern);
  for (const s of first.starts) put(index.byStart, s, pattern);
}

/** Adds patterns to an index under a tag. @throws on an unknown class or a pattern that begins with an optional word */
export function addAll(
  index: PatternIndex,
  tag: string,
  texts: readonly string[],
  classes: Classes,
): void {
  for (const name of texts)
    for (const text of orders(name.split(" & ")))
      addOne(index, { name, tag, steps: compile(text, classes) });
}

const nothing: readonly number[] = [];
const oneWord: readonly number[] = [1];

/** Whether one word fills a step by itself. */
export const fits = ({ words, starts }: Step, word: string): boolean =>
  words.has(word) || starts.some((s) => word.startsWith(s));

/** How many words fill the step at `at`: none, one, or a phrase's length; the longest first. */
function filled(step: Step, words: readonly string[], at: number): readonly number[] {
  const word = words[at] ?? "";
  const one = fits(step, word);
  const phrases = step.phrases.get(word);
  if (!phrases) return one ? oneWord : nothing;
  const lengths = phrases
    .filter((p) => p.every((w, k) => words[at + k] === w))
    .map((p) => p.length);
  if (one) lengths.push(1);
  return lengths.sort((a, b) => b - a);
}

/** Where the rest of a pattern ends, matched from word `at` on; −1 if it does not stand there. */
function ends(pattern: Pattern, step: number, words: readonly string[], at: number): number {
  const s = pattern.steps[step];
  if (!s) return at;
  for (let i = at; i <= at + s.gap && i < words.length; i++)
    for (const length of filled(s, words, i)) {
      const end = ends(pattern, step + 1, words, i + length);
      if (end >= 0) return end;
    }
  return s.optional ? ends(pattern, step + 1, words, at) : -1;
}

/** All patterns found in the words, in order of place. One pass serves all tags. */
export function find(index: PatternIndex, words: readonly string[]): Found[] {
  const found: Found[] = [];
  const look = (patterns: readonly Pattern[] | undefined, from: number) => {
    for (const pattern of patterns ?? []) {
      const first = pattern.steps[0];
      const length =
        first && filled(first, words, from).find((l) => ends(pattern, 1, words, from + l) >= 0);
      if (length !== undefined)
        found.push({
          name: pattern.name,
          tag: pattern.tag,
          from,
          to: ends(pattern, 1, words, from + length),
        });
    }
  };
  for (let i = 0; i < words.length; i++) {
    const word = words[i] ?? "";
    look(index.byWord.get(word), i);
    for (let n = 1; n <= word.length; n++) look(index.byStart.get(word.slice(0, n)), i);
  }
  return found;
}
