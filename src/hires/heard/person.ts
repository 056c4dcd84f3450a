/** Asking for a person, or for one sooner. Pure. */

/** What stands before a word that is denied, or that holds only if something else does. */
const denial =
  "(?:(?:do|does|did|wo|would|is|are|was|were|could|should|ai)n['’]?t|not|never|nobody|no[- ]?one|hardly)(?: (?:really|actually|even|longer|think|believe|say|feel))*(?:(?<=think|believe|say)(?: that)?(?: (?:we|i|you|it))?(?: (?:really|will))?)?|no(?: longer)?";
const condition =
  "(?:if|when(?:ever)?|unless|until|till|in case|should)(?: (?:we|i|you|they))?(?: (?:do|ever|should|still|really|might))?";
const undenied = `(?<!\\b(?:${denial}|${condition}) )`;

const real = "(?:real|actual|live|living|proper|breathing)";
const someone = `(?:(?:${real} )*(?:person|human(?: being)?|operator|representative|member of staff|colleague)|(?:real|living|actual|live) (?:one|man|woman|soul|body)|some(?:one|body)(?: (?:real|living|alive|human))?|staff)`;
const certain = `(?:(?:${real} )*(?:person|human(?: being)?|operator|representative|member of staff)|(?:real|living|actual|live) (?:one|man|woman|soul|colleague)|(?:some(?:one|body)|anybody) (?:real|living|alive|human|(?:who|that|i) can (?:talk|speak)))`;
/** A person for something else: "a person outside to guide us". */
const other =
  "(?! (?:outside|behind|in|at|per|with|under|over|each|bed|tent|sleep\\w*|less|more|too|on (?:the|an?|my|our)\\b(?! (?:phone|line|chat|other end)))\\b| to (?!talk|speak|chat|call|ring|answer))";
const between = "[^.!?;,\\n]";
/** Somebody who is asked to ring, before or after the verb that asks; "the garage will ring us" is no such wish. */
const you = "(?:you|u|ye|some(?:one|body)|any(?:one|body))";
const ring = "(?:call|ring|phone)";
const politely = "(?: (?:please|pls|just|to))*";
const asks = new RegExp(
  [
    `^\\W*(?:please )?(?:an? |the |any )?(?:${someone}|mitarbeiter|mensch|personne|persona|persoon|medewerker|człowiek|osoba|operatore?|operador)(?: (?:please|pls|plz|now|bitte|svp|por favor|per favore|proszę|alstublieft|not? (?:an? )?(?:bot|robot|machine)))*\\W*$`,
    `\\b(?:talk|spea?k|speek|chat)\\b(?:(?!\\b(?:(?:camp ?)?site|garage|ferry|hotel|shop)\\b)${between}){0,20}\\b(?:${someone}|you guys|the firm|the office)\\b`,
    `\\b(?:put|connect|transfer|pass (?:me|us|this|it|that|on))\\b${between}{0,20}\\b(?:${certain}|staff|operator)\\b${other}`,
    `\\bput (?:me|us) (?:through(?! an? )|on to some(?:one|body))\\b|\\bput (?:some(?:one|body)|anybody|staff)(?: real)? on\\b`,
    `\\b(?:get|want|need|give|(?:(?:can|could|may) (?:i|we)|do you)(?: please| just)? have|(?:would|['’]d) like|prefer|fetch|find)\\b(?: (?:me|us|to|have|hold of|through|talk|speak|just|instead))* (?:an? |the |some )?${certain}\\b${other}`,
    `\\b(?:get|give|fetch) (?:me|us) (?:${someone}|one of (?:you|your staff))\\b${other}|\\bget staff\\b`,
    `(?:(?:\\b(?:can|could|will|would)|${undenied}\\b(?:want|need))${politely} ${you}|\\b${you} (?:can|could)|\\b(?:please|pls|plz)(?: ${you})?|^\\W*(?:can|could))${politely} ${ring} (?:me|us)\\b(?! (?:an? |some|when|if|before|the )\\b)`,
    `\\b(?:${someone}|anyone|anybody|body|soul)\\b${between}{0,25}\\b(?:(?:i|we) (?:can|could)|to|(?:who |that )?(?:can|could))(?: just)? (?:talk|speak|chat)\\b`,
    `^\\W*(?:please |pls )?${ring} (?:me|us)(?: back)?(?: (?:please|pls|plz|now|asap))*\\W*$`,
    `${undenied}(?<!\\b(?:no need\\b${between}{0,15}|(?:need|going|promised|supposed|due) to|they|s?he|aa|rac|roadside|assistance|recovery|garage|mechanic|driver|will|would|['’]ll) )\\b${ring} me back\\b`,
    "^\\W*staff,? (?:please|pls|plz)\\b|\\b(?:sprechen|parler|hablar|parlare|praten|spreken|rozmawiać|rozmawiac)(?!\\w).{0,25}\\b(?:mensch\\w*|person\\w*|jemand\\w*|mitarbeiter\\w*|quelqu|alguien|qualcuno|iemand|medewerker\\w*|kim(?:ś|s)|człowiek\\w*)|\\b(?:mensch\\w*|person\\w*|jemand\\w*|mitarbeiter\\w*|iemand|medewerker\\w*|kim(?:ś|s)|człowiek\\w*)\\b.{0,25}\\b(?:sprechen|praten|spreken|rozmawiac)\\b",
  ].join("|"),
  "iu",
);
/** Whether somebody asks for a person to write, talk or ring, and not only whether they write to one. */
export const asksForPerson = (words: string): boolean => asks.test(words);

const help = new RegExp(`${undenied}\\bneed (?:help|some(?:one|body)|you)\\b`, "i");
/** Whether somebody says that they need help, not that they need none or would ring if they did. */
export const asksHelp = (words: string): boolean => help.test(words);

const cannotWait = "\\bcan(?: ?no|['’]?)t wait\\b";
const urgent = new RegExp(
  [
    `(?:\\b(?:it|this|that)|^\\W*(?:no|sorry)\\b)\\W+(?:(?:we|i|really|just) )*${cannotWait}(?! to\\b)`,
    // "We can't wait!" and "can't wait to see Skye" are joy.
    `${cannotWait}(?=[^\\w!]*$|[.,;]|(?: (?:please|here|all night|(?:that|so|any|much) long(?:er)?|(?:until|till|for) (?:the )?morning|(?:until|till) (?:tomorrow|then|daylight)))\\b(?! to\\b))`,
    "\\burgent(?:ly)?\\b",
    `${undenied}\\bneed (?:some(?:body|one)|you|help|(?:a )?person|it)\\b[^.!?]{0,20}(?<!\\bnot )\\b(?:now|tonight|at once|asap)\\b`,
    "(?:^\\W*|[.,;!?] *|\\b(?:please|pls|(?:can|could) (?:some(?:body|one)|any(?:body|one)|you)(?: please)?|you (?:must|have to)) )come (?:now|at once|tonight)\\b(?! or\\b)",
    "\\bchanged (?:our|my) minds?\\b",
  ].join("|"),
  "i",
);
/** "Urgent" where it is denied, asked, or only if. */
const hardlyUrgent = new RegExp(
  `\\b(?:(?:${denial}|nothing)(?: (?:so|too|very|that|an?|in|it|is|it['’]?s|sounds?|looks?|seems?|feels?))*|(?:if|when|unless) (?:it|this|that|things?|(?:some|any)thing)(?:['’]s)?(?: (?:is|are|gets?|becomes?|more|really))*|how|less|non)[- ]urgent|^\\W*(?:is|was) (?:it|this|that|the|my|our|an?)\\b[^.,;!?]*\\burgent|\\burgent\\w*\\W*\\?`,
  "gi",
);
/** Whether somebody says that what waits for the morning cannot: "it can't wait", "we need somebody now". */
export const saysUrgent = (words: string): boolean =>
  urgent.test(words.replace(hardlyUrgent, " ")) && !/\bcan wait\b/i.test(words);
