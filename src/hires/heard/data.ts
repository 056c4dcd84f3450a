/** Asking for one's data: a copy, or to erase it. Pure. */

const mine = "(?:my|our)(?: \\w+)?";
const things = "(?:data|details|information|messages|chats?|photos|records?|account)";
const asks = new RegExp(
  [
    `\\b(?:delete|erase|remove|wipe|forget|destroy)\\b.{0,20}\\b${mine} ${things}\\b`,
    `\\bcopy of (?:all )?(?:of )?${mine} ${things}\\b`,
    "\\b(?:what|which|any|all)\\b.{0,20}\\b(?:data|information|details)\\b.{0,40}\\b(?:about|on|of) (?:me|us)\\b",
    "\\bgdpr\\b|\\bdata protection\\b|\\bsubject access\\b|\\bright to (?:be forgotten|erasure)\\b|\\bpersonal data\\b",
  ].join("|"),
  "i",
);

/** Whether somebody asks for a copy of what is kept of them, or wants it erased: a person answers that. */
export const asksForData = (words: string): boolean => asks.test(words);
