/** Whether somebody writes that the danger which they told of is over, or was none. Pure. */

const be = "(?:'s|'re|'ve|s| is| are| has| have| was)?(?: all)?(?: now)?";
const says = [
  /\bfalse alarm\b/,
  /\ball (?:clear|sorted|good|(?:safe(?:ly)? )?out|ok(?:ay)?|safe|fine|well)(?: now)?\b/,
  new RegExp(
    `\\b(?:we|everyone|everybody|it)${be} (?:safe|ok(?:ay)?|fine|all ?right|over(?! the| my| our))\\b`,
  ),
  new RegExp(`\\b(?:smoke|smell|hiss(?:ing)?|fumes|gas)${be} (?:stopped|gone(?! off)|cleared)\\b`),
  new RegExp(`\\b(?:fire|flames?)${be} (?:gone |went )?out\\b(?! of)`),
  new RegExp(`\\bit${be} (?:gone|went) out\\b(?! of)`),
  new RegExp(`\\balarm${be} (?:stopped|(?:gone )?(?:quiet|silent))\\b`),
  new RegExp(`\\bthey${be} (?:left|gone|driven (?:off|away)|drove (?:off|away))\\b`),
];
/** What takes it back: "we are not ok", "is it safe now?", "fine so far, but …". */
const unless =
  /\b(?:not|n'?t|never|nobody|no one|hardly|nearly|almost|but|except|still|again|if|when|until)\b|\?/;

/** Whether the words tell that it is over: nothing in them asks, denies or makes a condition. */
export function saysOver(words: string): boolean {
  const text = words.toLowerCase().replace(/[\u2018\u2019]/g, "'");
  return says.some((sign) => sign.test(text)) && !unless.test(text);
}
