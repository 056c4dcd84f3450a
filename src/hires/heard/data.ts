/** Asking for one's data: a copy, or to erase it. Pure. */

const mine = "(?:my|our)(?: \\w+)?";
const things =
  "(?:data|details|information|messages|chats?|conversations?|photos|records?|account)\\b";
/** Not from one of these: the group is to be closed. */
const from = "(?!.{0,12}\\b(?:from|on|off|in|out of)\\b.{0,20}\\b";
/** A name or number on the booking is changed there. */
const reach = `(?:names?|numbers?|address(?:es)?)\\b${from}(?:booking|hire|insurance|contract)\\b(?! (?:system|records?|firm|company)))`;
const erase = "\\b(?:delete|erase|remove|wipe|destroy|(?<!n['’]?t |not |did you |we )forget)\\b";
/** What stands in a device of the van is none of what the firm keeps. */
const inVan = `${from}(?:radio|stereo|head ?unit|dash ?cam|sat ?nav|screen|display|bluetooth|tv)\\b)`;
/** "About us", but not "on US plugs" or "on us returning early". */
const ofUs =
  "\\b(?:about|on|of) (?:me|us)\\b(?! (?!and|or|in|at|from|so|now|both|all|please|pls)\\w)";
const asks = new RegExp(
  [
    `${erase}.{0,20}\\b${mine} (?:${things}|${reach})${inVan}`,
    `${erase}.{0,20}\\b(?:everything|all)\\b.{0,20}(?:${ofUs}|\\byou (?:have|know|keep|hold|store)\\b)`,
    `\\bcopy of (?:all )?(?:of )?${mine} ${things}`,
    `\\bwhat (?:do|does|did|have) you (?:all )?(?:know|keep|kept|have|hold|store|stored|saved?)\\b.{0,12}${ofUs}`,
    "\\bgdpr\\b|\\bdata protection\\b|\\bsubject access\\b|\\bright to (?:be forgotten|erasure)\\b|\\bpersonal data\\b",
  ].join("|"),
  "i",
);

/** "What data … about me" asks for it beside one of these. */
const keeps =
  /\b(?:hold|keep|kept|have|has|know|collect|collected|stored?|saved?|got|process|want|need|see|send|give)\b/i;
const about = new RegExp(
  `\\b(?:what|which|any|all)\\b.{0,20}\\b(?:data|information|details)\\b.{0,40}${ofUs}`,
  "i",
);

/** Whether somebody asks for a copy of what is kept of them, or wants it erased: a person answers that. */
export const asksForData = (words: string): boolean =>
  asks.test(words) || (keeps.test(words) && about.test(words));
