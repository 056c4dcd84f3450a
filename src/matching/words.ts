/** From a message to words: Unicode, apostrophes, contractions, numbers with units; by language. Pure. */
import { stem } from "./reading/stem.js";

/** What the danger layer read in a message. `id` is the danger that it points to. */
export type DangerVerdict = {
  verdict: "danger" | "doubt" | "none";
  id?: string;
  weight?: number;
  /** Its signs are words of another language, of which the model knows none. */
  foreign?: boolean;
  /** That language, where it is plain which it is. */
  lang?: string;
  /** It is a cry for help and nothing else: a doubt, whatever the model holds. */
  cry?: boolean;
  because: string[];
};

/** How one language is taken apart. Only English is filled; other languages use its rules. */
export type Analyser = {
  lang: string;
  stopWords: ReadonlySet<string>;
  stem: (word: string) => string;
};

const stopWords = new Set(
  (
    "a an the and or but if so as of to in on at by for from with into onto out up down off over about is are was were be been " +
    "being am do does did doing done have has had having will would can could shall should may might must i you he she it we " +
    "they me him her us them my your his its our their mine yours this that these those there here what which who whom when " +
    "where why how not no yes any some all both each more most other such only own same than too very just also please thanks " +
    "thank hi hello hey ok okay get got go going come need want like know tell mate cheers sorry then now again still even"
  ).split(" "),
);
const english: Analyser = { lang: "en", stopWords, stem };

/** The analyser of a language; English where none is filled. It remembers the stems that it made. */
export function analyserFor(lang = "en"): Analyser {
  const known = new Map<string, string>();
  const remembered = (word: string): string => {
    const had = known.get(word);
    if (had !== undefined) return had;
    if (known.size >= 50_000) known.clear();
    const made = english.stem(word);
    known.set(word, made);
    return made;
  };
  return { ...english, lang, stem: remembered };
}

const contractions: readonly (readonly [RegExp, string])[] = [
  [/\bwon'?t\b/g, "will not"],
  [/\bcan'?t\b|\bcannot\b/g, "can not"],
  [/\bshan'?t\b/g, "shall not"],
  [/\bain'?t\b/g, "is not"],
  [/\b(do|does|did|is|are|was|were|has|have|had|would|could|should|must|need)n'?t\b/g, "$1 not"],
  [/\b(i)'?m\b/g, "$1 am"],
  [/\b(i|you|we|they)'?ve\b/g, "$1 have"],
  [/\b(you|we|they|there|what|where|who)'re\b/g, "$1 are"],
  [/\b(youre|theyre)\b/g, "you are"],
  [/\b(i|you|he|she|it|we|they|that|there)'ll\b/g, "$1 will"],
  [/\b(i|you|he|she|we|they)'d\b/g, "$1 would"],
  [
    /\b(it|that|there|what|where|who|how|here|he|she|when|why|everything|something|nothing)'s\b/g,
    "$1 is",
  ],
  [/\blet'?s\b/g, "let us"],
  [/\b(gonna)\b/g, "going to"],
  [/\b(wanna)\b/g, "want to"],
  [/\b(gotta)\b/g, "have got to"],
  [/\b(dunno)\b/g, "do not know"],
  [/\bpls\b|\bplz\b/g, "please"],
  [/\bthx\b/g, "thanks"],
  [/\bu\b/g, "you"],
  // Small words as cold fingers type them: the speller leaves words of three letters alone.
  [/\b(?:teh|hte)\b/g, "the"],
  [/\b(?:adn|nad)\b/g, "and"],
  [/\b(?:taht|thta)\b/g, "that"],
  [/\b(?:waht|hwat|wat)\b/g, "what"],
  [/\b(?:wehre|hwere|whre|wher)\b/g, "where"],
  [/\bhwo\b/g, "how"],
  [/\bcna\b/g, "can"],
  [/\byuo\b/g, "you"],
  // The word of gas and of fire, which must not be missed for one letter; it stands so in asks, so the speller knows it.
  [/\bsmel(?=s?\b|ing\b|led\b)/g, "smell"],
  // "Were is" stands in no sentence.
  [/\b(?:were|wear|ware) (?=(?:is|are|do|does|did|can|could)\b)/g, "where "],
  [/\bur\b/g, "your"],
];
const squeezed: Readonly<Record<string, string>> = {
  whats: "what is",
  wheres: "where is",
  hows: "how is",
  theres: "there is",
  thats: "that is",
  whos: "who is",
};
const emoji: Readonly<Record<string, string>> = {
  "🔥": " fire ",
  "💨": " smoke ",
  "🆘": " sos help ",
  "🚑": " ambulance ",
  "🚒": " fire engine ",
  "🩸": " blood ",
  "⛽": " fuel ",
  "🔋": " battery ",
  "🚽": " toilet ",
  "🚿": " shower ",
  "🔑": " key ",
  "🛏": " bed ",
  "❄": " frost ",
  "👍": " thanks ",
  "🙏": " thanks ",
};

/** Lower case, accents gone, apostrophes straight, contractions opened; marks of sentences kept. */
export function plain(text: string): string {
  let t = text.normalize("NFKC").toLowerCase();
  t = t.replace(/\p{Extended_Pictographic}/gu, (e) => emoji[e] ?? " ");
  t = t
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .replaceAll("ß", "ss")
    .replaceAll("ł", "l")
    .replace(/[\u2018\u2019\u02bc`´]/g, "'");
  for (const [from, to] of contractions) t = t.replace(from, to);
  t = t.replace(/\b(whats|wheres|hows|theres|thats|whos)\b/g, (w) => squeezed[w] ?? w);
  // A letter held down ("heeeelp") counts as two at most.
  return t
    .replace(/'s\b/g, "")
    .replaceAll("'", "")
    .replace(/([a-z])\1{2,}/g, "$1$1");
}

/** The words of a message, letters and digits apart ("12v" is "12" and "v"); no stemming. */
export function words(text: string): string[] {
  return plain(text).match(/\p{L}+|\d+(?:[.,]\d+)?/gu) ?? [];
}

/** Sentences and clauses of a message, as they stand in it. */
export function sentences(text: string): string[] {
  return text
    .split(/(?<=[.?!;])\s+|\n+|(?<=[a-z)])\s*(?:\.{2,}|…|\s[-–—]\s)\s*/iu)
    .map((s) => s.trim())
    .filter((s) => /\p{L}/u.test(s));
}
