/** Number words of English. Pure. */

const ones =
  "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split(
    " ",
  );
const tens = "twenty thirty forty fifty sixty seventy eighty ninety".split(" ");
const values = new Map([
  ...ones.map((word, i) => [word, i + 1] as const),
  ...tens.map((word, i) => [word, (i + 2) * 10] as const),
]);
/** "twenty five", "ninety", "seven"; not the parts of "three quarters" and "two thirds". */
const numeral = new RegExp(
  `\\b(?:(${tens.join("|")})(?:[ -](${ones.slice(0, 9).join("|")}))?|(${ones.join("|")}))\\b(?![ -](?:quarter|third)| \\d{3})`,
  "g",
);

/**
 * A lower-case text with its number words as digits: "twenty-five" is 25, "two hundred" 200, "two and a half" 2.5;
 * "ten thirty" stays two numbers,
 * and "one 220 g" is no 1,220.
 */
export const digits = (text: string): string =>
  text
    .replace(numeral, (_whole, ten?: string, one?: string, small?: string) =>
      String((values.get(ten ?? "") ?? 0) + (values.get(one ?? small ?? "") ?? 0)),
    )
    .replace(/\b(\d{1,2}|a) hundred(?: and)?(?: (\d{1,2}))?\b/g, (_whole, n: string, rest = "0") =>
      String((n === "a" ? 1 : Number(n)) * 100 + Number(rest)),
    )
    .replace(/\b(\d{1,3}) and a half\b/g, "$1.5");
