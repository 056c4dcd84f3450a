/**
 * The small pattern language of danger-words.yaml, and its search in a list of words. Pure.
 *   word      that word              burn*     any word that starts so
 *   a|b       either                 word?     may be missing
 *   <class>   any word or phrase of a class of the file
 *   ..        up to three words between        ....      up to eight
 *   a & b     both, in any order, up to eight words between (up to three parts)
 */

/** One step of a pattern: a gap before it (most words between), and what may stand there. */
type Step = { gap: number; optional: boolean; words: ReadonlySet<string>; starts: readonly string[] };
/** `tag`: whatever the caller wants to know a group of patterns by. */
export type Pattern = { name: string; tag: string; steps: Step[] };
export type PatternIndex = {
  /** Patterns by a whole first word. */
  byWord: Map<string, Pattern[]>;
  /** Patterns by the start of a first word. */
  byStart: Map<string, Pattern[]>;
};
export type Found = { name: string; tag: string; from: number; to: number };
export type Classes = Readonly<Record<string, readonly string[]>>;

/** "a & b" in every order. */
function orders(parts: readonly string[]): string[] {
  if (parts.length < 2) return [...parts];
  return parts.flatMap((one, i) => orders(parts.filter((_, k) => k !== i)).map((rest) => `${one} .... ${rest}`));
}

/** Opens <classes> into one pattern text a phrase where a phrase has several words. */
function opened(text: string, classes: Classes): string[] {
  const at = /<([a-z-]+)>(\??)/.exec(text);
  if (!at) return [text];
  const members = classes[at[1] ?? ""];
  if (!members) throw new Error(`unknown class <${at[1]}> in "${text}"`);
  const single = members.filter((m) => !m.includes(" "));
  const forms = members.filter((m) => m.includes(" "));
  if (single.length > 0) forms.push(single.join("|") + (at[2] ?? ""));
  else if (at[2]) forms.push("");
  return forms.flatMap((f) => opened(text.slice(0, at.index) + f + text.slice(at.index + at[0].length), classes));
}

function compile(text: string): Pattern {
  const steps: Step[] = [];
  let gap = 0;
  for (const piece of text.trim().split(/\s+/)) {
    if (piece === "") continue;
    if (/^\.+$/.test(piece)) {
      gap = piece.length > 2 ? 8 : 3;
      continue;
    }
    const optional = piece.endsWith("?");
    const forms = (optional ? piece.slice(0, -1) : piece).split("|");
    steps.push({
      gap,
      optional,
      words: new Set(forms.filter((f) => !f.endsWith("*"))),
      starts: forms.filter((f) => f.endsWith("*")).map((f) => f.slice(0, -1)),
    });
    gap = 0;
  }
  return { name: text, tag: "", steps };
}

const put = (map: Map<string, Pattern[]>, key: string, pattern: Pattern) => {
  const at = map.get(key);
  if (at) at.push(pattern);
  else map.set(key, [pattern]);
};

/** An index without patterns. */
export const emptyIndex = (): PatternIndex => ({ byWord: new Map(), byStart: new Map() });

/** Adds patterns to an index under a tag. @throws on an unknown class or a pattern that begins with an optional word */
export function addAll(index: PatternIndex, tag: string, texts: readonly string[], classes: Classes): void {
  for (const text of texts)
    for (const one of orders(text.split(" & ")).flatMap((o) => opened(o, classes))) {
      const pattern = { ...compile(one), name: text, tag };
      const first = pattern.steps[0];
      if (!first || first.optional) throw new Error(`the pattern "${text}" must begin with a word`);
      for (const w of first.words) put(index.byWord, w, pattern);
      for (const s of first.starts) put(index.byStart, s, pattern);
    }
}

/** Adds one pattern made elsewhere, found by its first word or, when `loose`, by how that word starts. */
export function addOne(index: PatternIndex, pattern: Pattern, first: string, loose: boolean): void {
  put(loose ? index.byStart : index.byWord, first, pattern);
}

const fits = (step: Step, word: string) => step.words.has(word) || step.starts.some((s) => word.startsWith(s));

/** Where the rest of a pattern ends, matched from word `at` on; −1 if it does not stand there. */
function ends(pattern: Pattern, step: number, words: readonly string[], at: number): number {
  const s = pattern.steps[step];
  if (!s) return at;
  for (let i = at; i <= at + s.gap && i < words.length; i++) {
    if (!fits(s, words[i] ?? "")) continue;
    const end = ends(pattern, step + 1, words, i + 1);
    if (end >= 0) return end;
  }
  return s.optional ? ends(pattern, step + 1, words, at) : -1;
}

/** All patterns found in the words, in order of place. One pass serves all tags. */
export function find(index: PatternIndex, words: readonly string[]): Found[] {
  const found: Found[] = [];
  const look = (patterns: readonly Pattern[] | undefined, from: number) => {
    for (const pattern of patterns ?? []) {
      const to = ends(pattern, 1, words, from + 1);
      if (to >= 0) found.push({ name: pattern.name, tag: pattern.tag, from, to });
    }
  };
  for (let i = 0; i < words.length; i++) {
    const word = words[i] ?? "";
    look(index.byWord.get(word), i);
    for (let n = 1; n <= word.length; n++) look(index.byStart.get(word.slice(0, n)), i);
  }
  return found;
}
