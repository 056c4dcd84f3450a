/**
 * English stemmer: the Porter2 ("Snowball English") algorithm, so that "charging", "charged" and
 * "charges" meet. Source: snowballstem.org/algorithms/english/stemmer.html. Pure.
 */

const vowel = /[aeiouy]/;
const double = /(bb|dd|ff|gg|mm|nn|pp|rr|tt)$/;
const shortSyllable = /(^|[^aeiouy])[aeiouy][^aeiouywxY]$|^[aeiouy][^aeiouy]$/;

const whole: Readonly<Record<string, string>> = {
  skis: "ski",
  skies: "sky",
  dying: "die",
  lying: "lie",
  tying: "tie",
  idly: "idl",
  gently: "gentl",
  ugly: "ugli",
  early: "earli",
  only: "onli",
  singly: "singl",
  sky: "sky",
  news: "news",
  howe: "howe",
  atlas: "atlas",
  cosmos: "cosmos",
  bias: "bias",
  andes: "andes",
};
const after1a = /^(inning|outing|canning|herring|earring|proceed|exceed|succeed)$/;

const step2: readonly (readonly [string, string])[] = [
  ["ational", "ate"],
  ["ization", "ize"],
  ["fulness", "ful"],
  ["ousness", "ous"],
  ["iveness", "ive"],
  ["tional", "tion"],
  ["biliti", "ble"],
  ["lessli", "less"],
  ["entli", "ent"],
  ["ation", "ate"],
  ["alism", "al"],
  ["aliti", "al"],
  ["ousli", "ous"],
  ["iviti", "ive"],
  ["fulli", "ful"],
  ["enci", "ence"],
  ["anci", "ance"],
  ["abli", "able"],
  ["izer", "ize"],
  ["ator", "ate"],
  ["alli", "al"],
  ["bli", "ble"],
  ["ogi", "og"],
  ["li", ""],
];
const step3: readonly (readonly [string, string])[] = [
  ["ational", "ate"],
  ["tional", "tion"],
  ["alize", "al"],
  ["icate", "ic"],
  ["iciti", "ic"],
  ["ative", ""],
  ["ical", "ic"],
  ["ness", ""],
  ["ful", ""],
];
const step4 = [
  "ement",
  "ance",
  "ence",
  "able",
  "ible",
  "ment",
  "ant",
  "ent",
  "ism",
  "ate",
  "iti",
  "ous",
  "ive",
  "ize",
  "ion",
  "al",
  "er",
  "ic",
] as const;

/** Where R1 starts: after the first non-vowel that follows a vowel, from `from` on. */
function region(word: string, from: number): number {
  for (let i = from + 1; i < word.length; i++)
    if (!vowel.test(word[i] ?? "") && vowel.test(word[i - 1] ?? "")) return i + 1;
  return word.length;
}

function plurals(w: string): string {
  if (w.endsWith("sses")) return w.slice(0, -2);
  if (w.endsWith("ied") || w.endsWith("ies")) return w.length > 4 ? w.slice(0, -2) : w.slice(0, -1);
  if (w.endsWith("us") || w.endsWith("ss") || !w.endsWith("s")) return w;
  return vowel.test(w.slice(0, -2)) ? w.slice(0, -1) : w;
}

function pastAndGerund(w: string, r1: number): string {
  const eed = /(eed|eedly)$/.exec(w);
  if (eed) return w.length - eed[0].length >= r1 ? `${w.slice(0, -eed[0].length)}ee` : w;
  const end = /(ingly|edly|ing|ed)$/.exec(w);
  if (!end || !vowel.test(w.slice(0, -end[0].length))) return w;
  const cut = w.slice(0, -end[0].length);
  if (/(at|bl|iz)$/.test(cut)) return `${cut}e`;
  if (double.test(cut)) return cut.slice(0, -1);
  return r1 >= cut.length && shortSyllable.test(cut) ? `${cut}e` : cut;
}

function derived(w: string, r1: number): string {
  const hit = step2.find(([end]) => w.endsWith(end));
  if (!hit) return w;
  const [end, put] = hit;
  const cut = w.slice(0, -end.length);
  if (cut.length < r1) return w;
  if (end === "ogi") return cut.endsWith("l") ? cut + put : w;
  if (end === "li") return /[cdeghkmnrt]$/.test(cut) ? cut : w;
  return cut + put;
}

function furtherDerived(w: string, r1: number, r2: number): string {
  const hit = step3.find(([end]) => w.endsWith(end));
  if (!hit) return w;
  const cut = w.slice(0, -hit[0].length);
  return cut.length >= (hit[0] === "ative" ? r2 : r1) ? cut + hit[1] : w;
}

function endings(w: string, r2: number): string {
  const end = step4.find((e) => w.endsWith(e));
  if (!end) return w;
  const cut = w.slice(0, -end.length);
  if (cut.length < r2) return w;
  return end === "ion" && !/[st]$/.test(cut) ? w : cut;
}

function lastLetter(w: string, r1: number, r2: number): string {
  const cut = w.slice(0, -1);
  if (w.endsWith("e"))
    return cut.length >= r2 || (cut.length >= r1 && !shortSyllable.test(cut)) ? cut : w;
  return w.endsWith("ll") && cut.length >= r2 ? cut : w;
}

/** The stem of a lower-case English word without apostrophes; shorter words than three letters stay. */
export function stem(word: string): string {
  if (word.length < 3 || /\d/.test(word)) return word;
  const known = whole[word];
  if (known !== undefined && Object.hasOwn(whole, word)) return known;
  // A y that is a consonant is written Y: at the start, and after a vowel.
  let w = word.replace(/^y/, "Y").replace(/([aeiouy])y/g, "$1Y");
  const prefix = /^(gener|commun|arsen)/.exec(w);
  const r1 = prefix ? prefix[0].length : region(w, 0);
  const r2 = region(w, r1);
  w = plurals(w);
  if (after1a.test(w)) return w;
  w = pastAndGerund(w, r1);
  w = w.replace(/^(.+[^aeiouy])[yY]$/, "$1i");
  w = derived(w, r1);
  w = furtherDerived(w, r1, r2);
  w = endings(w, r2);
  return lastLetter(w, r1, r2).replaceAll("Y", "y");
}
