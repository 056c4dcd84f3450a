/** Several matters in one message, and the question inside a long story. Pure. */
import { plain, sentences } from "../words.js";

const asking =
  /^(how|where|what|when|which|who|why|hwo|wot|whts?|hwat|wath|wher|whre|hwere|wich|wen|cna|coul*d|coold|could|may|is|are|do|does|did|should|shall|must|will|would|have|has|any|tell|show|need|want)\b/;
const askingAnywhere =
  /\?|\b(how (do|does|to|can|is|are|much|many|long|far|often|should|about)|where (is|are|do|does|can|should|to)|what (is|are|do|does|about|if|time|kind|happens)|which (one|way|button|side|is)|can (i|we|you)|could (you|we|i)|is there|are there|do (we|i|you)|should (i|we)|when (do|does|is|can|should|are)|wondering|asking|need to know|tell me|any idea|any chance|not sure (how|where|what|which|if)|no idea (how|where|what)|want to know|can not find|looking for)\b/;

/** Few words without a subject name a matter rather than tell a background: "toilet full", "tolls on the bridge". */
const telling = /\b(i|we|he|she|they|it|my|our|his|her|there|wife|husband|kids)\b/;
const namesOnly = (said: string): boolean => said.split(/\s+/).length <= 5 && !telling.test(said);

/** Whether a piece of a message asks something, rather than tells a background. */
export function asks(piece: string): boolean {
  return asksOutright(piece) || namesOnly(plain(piece).trim());
}

/** Whether it asks in the form of a question. */
export function asksOutright(piece: string): boolean {
  const said = plain(piece).trim();
  return asking.test(said) || askingAnywhere.test(said);
}

/** A greeting or a filler at the head of a message, which asks nothing. */
const lead =
  /^\s*(hi|hello|hey|hiya|good (morning|afternoon|evening)|dear [a-z]+|morning|evening|sorry|ok|okay|right|so|please|thanks|thank you|cheers|quick (one|question)|one more (thing|question)|two( wee| quick)? (things|questions|queries|qs)|couple of( wee| quick)? (things|questions|queries)|question)\b[\s,.:;!-]*(there|all|guys|team|everyone|folks)?[\s,.:;!-]*/i;

/** The message without greetings at its head; the whole when nothing else is in it. */
export function withoutLead(text: string): string {
  let rest = text;
  for (let i = 0; i < 3 && lead.test(rest); i++) rest = rest.replace(lead, "");
  return (rest.match(/\p{L}{2,}/gu) ?? []).length >= 2 ? rest : text;
}

const joints =
  /\s*(?:[,;]|\bbut\b)?\s+(?:and|n|also|plus|oh and|as well as|then|&)\s+(?=(?:also|then)?\s*(?:how'?s?|where'?s?|what'?s?|when'?s?|which|who'?s?|why|can|could|may|is|are|do|does|should|will|must|the|a|my|there'?s?|it|we|i'?m?|our|wondering|also)\b)|\s*,\s*and\s+|\s*,\s+(?=(?:how'?s?|where'?s?|what'?s?|when|which|who|why|can|could|may|is there|are there|do|does|should|will)\b)|\s+(?:also|plus)\s+/gi;

/** The pieces of a message that may each carry a matter of their own; one piece when there is nothing to part. */
export function pieces(text: string): string[] {
  // Each run of blanks as one: `joints` takes time by the cube of its length.
  const found = sentences(withoutLead(text)).flatMap((s) => s.replace(/\s+/g, " ").split(joints));
  return found.map((p) => p.trim()).filter((p) => (p.match(/\p{L}{2,}/gu) ?? []).length > 0);
}

/** Where a sentence may go over to another matter without asking anything: "wont start and heater shows error". */
const finer = /\s*[,;.!+&\n]+\s*|\s+(?:and|plus|also|but)\s+/i;
/** Words that make a clause no report of what is wrong now: it asks, supposes, or looks back. */
const notNow =
  /\?|\b(?:if|whether|how|when|why|what|where|which|was|were|been|since|had|would|could|should|yesterday|last (?:week|night|year|time)|fixed|sorted|again now)\b/i;
/** A sign that is denied ("no warning lights"); a thing that does not work is told by a denial. */
const denied =
  /\b(?:no|not|never|without|any|n[o']?t)\b[^,;.]{0,20}\b(?:lights?|lamps?|warnings?|symbols?|messages?|errors?|noises?|sounds?|smells?|smoke|steam|leak\w*|drip\w*|flash\w*|beep\w*|overheat\w*|damaged?|problems?|issues?|trouble|wrong|urgent|flat|broken|cracked|stuck)\b/i;
/** By a denial ("will not start"), or by a word of its own. */
const fails = /\b(?:no|not|never|stopped)\b|n'?t\b/i;
const failing =
  /\b(?:broken?|dead|stuck|jammed|blocked|flat|puncture\w*|burst|faulty?|failed|failing|errors?|warnings?|lights?|lamps?|symbols?|smells?|smok\w*|steam\w*|overheat\w*|nois\w*|leak\w*|drip\w*|beep\w*|flash\w*|red|torn|ripped|cracked|smashed|snapped|lost|empty|trip(?:s|ped|ping))\b/i;
/**
 * Whether a clause reports that something does not work, rather than where they are or what they are doing.
 * Beside a question only a denial does: what is asked about is named with such words too.
 */
export const reportsFailing = (clause: string, asked: boolean): boolean =>
  fails.test(clause) || (!asked && failing.test(clause));

/** Longer stories, and longer lists, are read as a whole only. */
const most = { letters: 300, clauses: 6 };

/**
 * The clauses of a message that tell of something that is so now, two words or more each; none when there is
 * only one clause in all.
 */
export function clauses(text: string): string[] {
  if (text.length > most.letters) return [];
  const found = text.split(finer).filter((c) => (c.match(/\p{L}{2,}/gu) ?? []).length >= 2);
  if (found.length < 2 || found.length > most.clauses) return [];
  return found.filter((c) => !notNow.test(c) && !denied.test(c));
}
