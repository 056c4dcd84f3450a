/** A hirer's reply cut into short plain pieces, spelled as the readers of marks and figures expect. Pure. */
import { oneSlip } from "../spelling.js";

/** Words that a reading hangs on; a word one slip away from exactly one of them is taken for it. */
const spelled = [
  "between",
  "middle",
  "bottom",
  "upper",
  "lower",
  "maximum",
  "minimum",
  "quarter",
  "quarters",
  "nearly",
  "almost",
  "under",
  "above",
  "below",
  "empty",
  "tyres",
  "coolant",
  "odometer",
  "mileage",
  "kilometres",
  "three",
  "halfway",
  "marks",
  "lines",
  "third",
  "thirds",
  "about",
];
/** Words of their own, one slip away from those. */
const asTheyAre = ["there", "power", "tower", "slower", "flower", "parks", "lanes", "early"];
/** Short words whose slips would catch too much by distance. */
const slips: Record<string, string> = {
  ful: "full",
  fulll: "full",
  haf: "half",
  hlaf: "half",
  hafl: "half",
  tires: "tyres",
  tire: "tyre",
  miels: "miles",
  milles: "miles",
  kilometers: "kilometres",
  kms: "km",
  okay: "ok",
  oke: "ok",
  okey: "ok",
  okk: "ok",
  kk: "ok",
  mim: "min",
  maks: "max",
  tirs: "tyres",
  whell: "wheel",
  whells: "wheels",
  coolent: "coolant",
  oyl: "oil",
  oill: "oil",
  betwen: "between",
  midle: "middle",
  quater: "quarter",
};

function respell(word: string): string {
  const known = slips[word];
  if (known) return known;
  if (word.length < 5 || spelled.includes(word) || asTheyAre.includes(word)) return word;
  const near = spelled.filter((s) => oneSlip(word, s));
  return near.length === 1 ? (near[0] ?? word) : word;
}

/** Lower case, plain apostrophes and fractions, spelling mended, greetings and thumbs put aside. */
export function plainly(text: string): string {
  return text
    .normalize("NFKC")
    .toLowerCase()
    .replace(/[’‘`´]/g, "'")
    .replace(/\u2044/g, "/")
    .replace(/(\d)(?=1\/[24]\b)/g, "$1 ")
    .replace(/[👍👌✅✔]\p{Emoji_Modifier}?\ufe0f?/gu, " ok ")
    .replace(/\bgood (morning|evening|afternoon|day|night)\b/g, " ")
    .replace(/[a-zà-ÿ]+/g, respell)
    .replace(/\bcan not\b/g, "cannot")
    .replace(/\bo\.k\.?/g, "ok")
    .replace(/(?<![a-z])([ap])\.\s?m\b\.?/g, "$1m")
    .replace(/\bokay\b/g, "ok")
    .replace(/\s+/g, " ")
    .trim();
}

const asking =
  /^(?:and |so |but |ok |hi |hello |please )*(?:how|where|what|why|when|which|who|whose|can|could|may|should|shall|would|will|do|does|did|is|are|am|was|has|have)\b(?!')/;

/** Whether a piece asks rather than tells. */
export const isQuestion = (piece: string): boolean => asking.test(piece);

/** The pieces of a plain text: at commas, full stops, "and", "but"; never within "between min and max" or a figure. */
export function pieces(plain: string): string[] {
  return plain
    .replace(
      /\bbetween (?:the )?(?:two |min(?:imum)?|max(?:imum)?|low(?:er)?|top|upper|bottom|high|l|full)(?: mark| line)?s? (?:and|&|-) (?:the )?(?:max(?:imum)?|min(?:imum)?|top|upper|bottom|low(?:er)?|high|h|full)(?: mark| line)?s?\b/g,
      "between the marks",
    )
    .replace(
      /\bbetween (?:a |one )?(half|third|quarter|three quarters|1\/2|1\/4|3\/4|full) and (?:a |one )?(half|quarter|three quarters|two thirds|1\/2|1\/4|3\/4|full)\b/g,
      "from $1 to $2",
    )
    .split(/(?<!\d),|,(?!\d)|[;\n!]|\.(?!\d)|\?| and (?!a half)| but | except |\s[-–—]\s/)
    .map((p) => p.trim())
    .filter((p) => p !== "");
}
