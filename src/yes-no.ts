/** Whether what people write begins with a yes or a no, also in the languages that they slip into. Pure. */

const ends = "(?![\\p{L}\\p{M}\\p{N}])";
const starting = (words: string): RegExp =>
  new RegExp(`^[^\\p{L}\\p{N}]*(?:${words})${ends}`, "iu");

const yes = starting("y|yes|yeah|yep|aye|ja|oui|s[iìí]|tak");
/** "No idea where we are" and "no one here" say nothing of what was asked; "no brakes" tells of a trouble. */
const no = starting(
  `(?:n|no|nope|nah|nein|non|nie|nee)${ends}(?![ -](?:idea|clue|name|signal|sign|one|road|address|answer|reply|response|luck|connection|brakes?|steering|power)${ends})`,
);
/** "Nobody answers the phone" and "nothing works" deny nothing of what was asked. */
const nobody = starting(
  `(?:nobody|no[- ]?one|nothing|none)(?=[^\\p{L}\\p{N}]*$|\\W*(?:s|is|are|was|were|got|here|hurt|injured|ill|in|with|like|of|else|needs?|that|so|but|and|just|only|we|it|i|thanks?|sorry|serious|wrong|burning|yet)${ends}(?! (?:answer|pick|com|repl|respond|help|work)))`,
);
const notWell = starting(
  "not (?:ok|okay|good|well|fine|great|alright|really)|(?:we|i)(?: are| am|['’](?:re|m)) not (?:ok|okay|well|fine|alright|all right)",
);

/** Whether the words begin with a yes. */
export const saysYes = (words: string): boolean => yes.test(words);
/** Whether they begin with a no of their own. */
export const saysNo = (words: string): boolean => no.test(words);
/** Whether they begin with nobody, nothing or none. */
export const saysNobody = (words: string): boolean => nobody.test(words);
/** Whether they deny that all is well: "not ok", "not really", "we are not well". No such answer where a danger is asked about. */
export const saysNotWell = (words: string): boolean => notWell.test(words);
