/** Whether a piece of a reply is made of a reply's own words alone: beside any other word it may tell something else. Pure. */
import { digits } from "../knowledge/measures/numerals.js";
import { arrivalIn } from "./arrival.js";
import { pieces, plainly } from "./words.js";

/** What stands in any reply, and says nothing of a thing. */
const small = `
  a an and all already also am are around as at be been being both but by did do done each for from great had has have
  he hello here hey hi i i'd i'll i'm i've in is it it'll it's its just like look looking looks maybe me more my no now
  of oh ok on one or our perfect please probably quite rather really say says she so some sorry still sure ta than
  thank thanks that that's the their them then there there's they they'll they're think this to today too up us very
  was we we'd we'll we're we've well were will with would yeah yep yes you your yup cheers roger guess reckon`;
/** What a time of arrival is told in. */
const timely = `
  about after afternoon again agreed aim aiming am approx approximately arranged arrival arrive arriving arrived back
  base before behind between booked box bring bringing circa clock come coming day delay delayed depot drop dropped
  dropping due earlier early estimate eta evening exactly expect expected expecting fine fri friday get getting go
  going good half hand handed handing her hope hopefully hoping hour hours hr hrs h ish key keys late later latest make
  mid midday min mins minute minutes mon monday morning most noon o o'clock oclock off office onwards over past pick
  plan planned planning plans pm pull pulling quarter reach return returned returning returns roughly running same sat
  saturday see should soon sooner sun sunday thu thur thurs thursday till time tomorrow tonight traffic tue tues tuesday
  until van wed wednesday yard`;
/** What the marks and levels of a check are told in, and whether a thing is ok. */
const checked = `
  about above again almost alright any aren't back bald bar barely bars below beneath better between beyond bit blocks bone
  bottom bulge bulges bulging can can't cannot cent center centre check checked checking close cold completed coolant correct could
  couldn't crack cracked cut cuts damage damaged deflated dip dipped dipstick does doesn't dot driver driver's drivers dry
  empty end enough everything except fine finished flat four front full fully gone good got half halfway happy
  healthy high higher highest hissing hole if inside isn't issue issues km l last least left less level line lines
  liter liters litre litres little looked low lower lowest lowish mark marks max maximum measured mi mid middle midway mile
  mileage miles min minimum missing much nail nails near nearly nearside new none normal not notch nothing number
  odometer offside oil once only order outside over overfilled overfull passenger passenger's passengers per percent
  problem problems psi puncture punctured quarter quarters read reading reads rear rest right rim rubbing same screw
  screws scuff see seem seems segments show showing shows shy side sidewall since slight slightly soft sorted sound
  spot stick tell third thirds three ticked time top torn touch towards tread twice two tyre tyres under underneath
  understood upper valve visible wall way week wheel wheels when within without worn wrong yesterday`;
const ofTank = "tank gauge display needle fluid adblue blue def stuff";
const setOf = (...lists: string[]): ReadonlySet<string> =>
  new Set(lists.join(" ").trim().split(/\s+/));
const ofTime = setOf(small, timely);
const ofCheck = setOf(small, checked);
const ofLevel = setOf(small, checked, ofTank);

const only = (piece: string, own: ReadonlySet<string>): boolean =>
  (piece.match(/[\p{L}']+/gu) ?? []).every((word) => own.has(word));

/** Whether a piece tells a time and nothing else: "sorry, by about half past ten". */
export const onlyTime = (piece: string): boolean =>
  !/[%°£€$]/.test(piece) && only(digits(piece), ofTime);

/** Whether a piece tells a mark, or whether something is ok, and names no other thing: "low, like last time". */
export const onlyMark = (piece: string): boolean => only(digits(piece), ofCheck);

/** The same of the level in a tank. */
export const onlyLevel = (piece: string): boolean => only(digits(piece), ofLevel);

const day = "mon|tue|wed|thu|fri|sat|sun";
/** Words by which a time among others is that of an arrival. */
const comes = new RegExp(
  [
    "(?:be|get|getting|are|come|coming|head|heading|drive|driving|way|(?:it|her|van)) back",
    `back (?:at|by|around|about|before|after|in|today|tonight|tomorrow|with you|noon|midday|\\d+|on (?:${day})[a-z]*)`,
    `back (?:${day})[a-z]*`,
    "(?:be|get|getting) (?:there|here|in|to you|with you)",
    "(?:drop|dropping|hand|handing|dropped|handed) (?:(?:it|her|the van|van|the keys?|keys?) )?(?:off|back|over|in)",
    "arriv(?:e|es|ed|ing|al)|eta|return(?:ing|s)?|see you|with you|expect (?:us|me)|make it|on (?:our|my) way",
    "running (?:late|behind)|(?:hours?|hrs?|h|mins?|minutes?|bit|be|are) late|late by|later than|delayed",
    "(?:sat ?nav|maps?|gps|phone) says",
    // Here already.
    "(?:have|has|been|van|we|i|we've|i've|just|already) returned|returned (?:it|her|the (?:van|keys?))",
    "already (?:here|there)|(?:we are|we're|i am|i'm) here|keys? (?:is |are )?in the (?:key ?)?box",
  ]
    .map((way) => `\\b(?:${way})\\b`)
    .join("|"),
);

/** Where one arrives, or is in; and what of that is the firm's yard. */
const where = /\b(?:arriv\w*|be|get|getting) (?:in|at|to|into) (?:(?:the|our) )?([a-z][\w'-]*)/;
const yard = setOf("yours garage reception hq place you");
const isYard = (place: string, base: string): boolean =>
  ofTime.has(place) || yard.has(place) || plainly(base).split(" ").includes(place);

/**
 * Whether a piece with a time in it tells an arrival of the van's return, whatever else it may tell: "ferry docks late,
 * so we arrive at 3". `base`: the firm's place; at another they arrive on the way.
 */
export function tellsArrival(piece: string, base = ""): boolean {
  const place = where.exec(digits(piece))?.[1] ?? "at";
  return comes.test(
    isYard(place, base) ? piece : piece.replace(/\barriv\w*|\b(?:be|get|getting) in\b/g, " "),
  );
}

/** Who or what else comes, or is there. */
const others =
  /\b(?:aa|rac|roadside|recovery|breakdown|mechanics?|truck|tow(?:ing)?|ferry|flight|plane|train|bus|taxi|(?:they|he|she)(?:'\w+)?)\b|\bgarage(?:'ll| (?:will|is|are|can|comes?|arrives?))\b/;
const backAt = /\bback (?:at|to|in|into|on|from) (?:(?:the|our) )?([a-z][\w'-]*)/;
/** By which "here" and "back" are said of the van. */
const handedIn =
  /\bkeys?\b|\b(?:yard|depot|base)\b|\b(?:returned|dropped|handed) (?:it|her|(?:the )?van|off|back|over|in)\b|\bvan(?:'s| is| has been)? (?:already )?(?:back|returned)\b/;

/**
 * Whether a coming told in plain words is not that of the van: somebody else's, to another place, or a "here" or
 * "back" that may be of anything. For words that answer no question. `base`: the firm's place.
 */
export function comesElsewhere(plain: string, base = ""): boolean {
  const ofVan = onlyTime(plain) || handedIn.test(plain);
  return pieces(plain).some((piece) => {
    const time = arrivalIn(piece);
    if (time === undefined || !(onlyTime(piece) || tellsArrival(piece, base))) return false;
    const place = backAt.exec(digits(piece))?.[1] ?? "yard";
    const isBack = typeof time === "object" && "back" in time;
    return others.test(piece) || place === "van" || !isYard(place, base) || (isBack && !ofVan);
  });
}
