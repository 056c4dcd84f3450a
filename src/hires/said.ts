/** A hirer's words, taps, photos and places: danger first, then the question in progress, then matching. Pure. */
import type { Callout } from "../callouts/callout.js";
import { isSecret } from "../callouts/whose.js";
import { concerns, type Entry } from "../knowledge/book.js";
import { choose } from "../matching/choose.js";
import { picked } from "../matching/reading/talk.js";
import { placeIn, safetyOf } from "../place/read.js";
import type { FileRef } from "../post.js";
import { isFigures } from "../sums/words/quantities.js";
import { anyDanger } from "../triage/danger.js";
import { sameTrouble } from "../triage/matter.js";
import { readNeeds } from "../triage/needs.js";
import { saysOver } from "../triage/over.js";
import { canBeShown } from "../wording/pictures.js";
import { saysYes } from "../yes-no.js";
import { relay } from "./alarm.js";
import { noteTold } from "./callouts/needs.js";
import { resume, showSheet } from "./callouts/questions.js";
import {
  answersAllRight,
  answersQuestion,
  answersRoadside,
  isPlain,
  saysNone,
} from "./callouts/settle.js";
import { openFor, standing } from "./callouts/told.js";
import { seenSaid } from "./care/notices.js";
import { isReply, photoSaid, readingSaid } from "./care/replies.js";
import { saysOther, surely, tellsOther } from "./heard/aside.js";
import { asksForData } from "./heard/data.js";
import { awaitAnswer } from "./heard/doubt.js";
import { placeKnown } from "./heard/last.js";
import { lightOnSheet, unclear } from "./heard/light.js";
import { isOfPlace, onlyPlace, placeBeside, placeTold } from "./heard/place.js";
import { greet, heard, openOf } from "./heard/sign.js";
import type { Person, Talk } from "./hire.js";
import { act, stopsFirst, sumCompleted, tellEntry, toPerson } from "./reply.js";
import { besideOf, dangerOf, stillInDanger } from "./said/in-danger.js";
import { danger } from "./trouble.js";
import { line, nameOf, openCallout, type Turn, talkOf, tell } from "./turn.js";
import { type Choice, understand } from "./understand.js";

const wantsPerson =
  /^\W*(a |the )?(person|human|operator|real person|staff|somebody|someone|mensch|personne|persona|persoon|człowiek|osoba)( please)?\W*$|\b(talk|speak|chat|put me through|connect me)\b.{0,20}\b(person|human|someone|somebody|staff|you guys|the firm|the office)\b|\bget (me )?a person\b/i;
const wantsCalendar =
  /^\W*(?:my |the )?calendar(?: link| file| please)?\W*$|\b(?:reminders?|checks?)\b.{0,30}\bcalendar\b|\bcalendar\b.{0,30}\b(?:link|reminders?|subscri\w+)\b/i;

/** Words from a person of the hire. Every message is watched for danger, whoever has the matter. */
export function said(turn: Turn, person: Person, text: string, edited = false): void {
  const words = text.trim();
  if (words === "") {
    turn.because.push("ignored: empty message");
    return;
  }
  const talk = talkOf(turn, person.id);
  const { wellAsked, roadsideAsked, offered = [] } = talk;
  const picks = picked(words, offered) !== undefined;
  heard(turn, person);
  const read = understand(turn.facts.matcher, {
    text: words,
    van: turn.van,
    lang: turn.hire.booking.lang,
    context: { lastEntries: talk.lastEntries, ...(offered.length > 0 ? { offered } : {}) },
  });
  const { entries } = turn.facts.book;
  const mine = openOf(turn, person);
  const askedPlace = talk.asking?.steps[0] === "place" || talk.whereAsked !== undefined;
  const choice =
    (askedPlace || mine.some((c) => c.severity !== "note")) &&
    onlyPlace(turn.facts.book, read.danger, words)
      ? aPlace(read)
      : read;
  const first = entries.get(choice.entries[0]?.id ?? "");
  const owner = mine.find((c) => c.state === "with");
  const open = mine.find(isSecret) ?? mine.find((c) => c.severity !== "note") ?? owner;
  // Whatever is written while a matter is open reaches staff; the matter itself, written again, by its alert.
  const { book } = turn.facts;
  const matter = matterOf(first);
  const again =
    choice.outcome === "triage" &&
    matter !== undefined &&
    open !== undefined &&
    sameTrouble(book, matter, open.matter);
  // Words of a threat, or of what may be one, stand on no matter that others share.
  const threat = isSecret({ matter: (choice.doubt ? feared(turn, choice) : matter) ?? "" });
  const pass = () => {
    if (open === undefined || again) return false;
    if (owner && owner !== open) relay(turn, person, owner, words);
    return relay(turn, person, open, words, { noted: threat });
  };
  if (choice.outcome === "triage" && (first?.kind === "danger" || matterOf(first) !== first?.id)) {
    placeBeside(turn, person, words);
    act(turn, person, choice, words);
    pass();
    return;
  }
  const isOpen = talk.doubt && isAsked(turn, talk.doubt) && !talk.doubt.overtaken;
  if (isOpen && (saysYes(words) || saysNone(words))) {
    // "No, nobody hurt, but the red oil light is on" settles it and tells of something else.
    const more = saysNone(words) && !isPlain(words) && choice.answered > 0;
    if (!more) {
      pass();
      return doubtSettled(turn, person, saysYes(words));
    }
    settleDoubt(talk);
  }
  const safety = talk.asking?.steps[0] === "place" ? safetyOf(words) : undefined;
  // A road, or "not safe, on a bend", answers what was asked: no doubt is left to settle.
  const answersPlace =
    askedPlace &&
    ((choice.danger === "live-lane" && (safety === "unsafe" || placeIn(words) !== undefined)) ||
      (isOfPlace(book, choice.danger) && safety === "safe"));
  // While a danger is open the number has been told, and staff read every word: no doubt is left.
  const inDanger = dangerOf(mine);
  const answersSum = talk.sum !== undefined && isFigures(words);
  // "I am alone, cold" was asked for and makes it urgent; "ill" may be more.
  const needs = talk.asking?.steps[0] === "need" ? readNeeds(words) : [];
  const answersNeeds = needs.length > 0 && !needs.includes("medical");
  if (choice.doubt && !answersPlace && !answersSum && !answersNeeds && !inDanger) {
    return doubt(turn, person, feared(turn, choice), words, pass());
  }
  if (choice.outcome === "triage") placeBeside(turn, person, words);
  // Words that tell a place are passed on as one.
  const placed =
    choice.outcome !== "triage" && placeTold(turn, person, words, safety !== undefined);
  const light = lightOnSheet(turn, person, words);
  // A trouble's own alert carries its words; who is not alerted reads them after it.
  const triaged = choice.outcome === "triage";
  const seen = placed || (light === undefined && !triaged && pass());
  greet(turn, person);
  if (edited && saysTheSame(turn, person, choice)) return;
  if (light) {
    delete talk.sheet;
    return tellEntry(turn, person, light, light.title);
  }
  if (wellAsked !== undefined && !inDanger && answersAllRight(turn, person, wellAsked, words))
    return;
  // What picks from the screen, was changed, or asks for something else answers no older question.
  const aside = edited || picks || tellsOther(turn, person, words, choice);
  const here = inDanger || aside ? undefined : roadsideAsked;
  if (here !== undefined && answersRoadside(turn, person, here, words)) return;
  const named = choice.outcome === "triage" ? first : undefined;
  if (
    (!aside && answersQuestion(turn, person, words, placed, named)) ||
    seenSaid(turn, person, words)
  ) {
    // "Yes, safe, but now the oil light is red": the answer is taken, and the other trouble is one of its own.
    const known = mine.some((c) => sameTrouble(book, c.matter, matter ?? ""));
    if (triaged && !known && (choice.entries[0]?.p ?? 0) >= surely)
      act(turn, person, choice, words);
    if (triaged) pass();
    return;
  }
  // In danger nothing else is answered: "where is the light switch" may be the wrong thing to do.
  const over = inDanger !== undefined && saysOver(words);
  if (inDanger && !placed && (over || choice.outcome !== "courtesy"))
    return stillInDanger(turn, person, inDanger, triaged ? pass() : seen, besideOf(over, choice));
  // "low again, 54,900, tyres ok" is the check that was asked for, however much it resembles a light.
  const replies = triaged && vanKnown(turn) && isReply(turn, person, words);
  if (triaged && !replies) act(turn, person, choice, words);
  if (triaged) pass();
  if (triaged && !replies) return;
  if (placed) {
    if (open) noteTold(turn, person, open.n, words);
    return resume(turn, person);
  }
  // Without its van in the book every figure and place would be another van's.
  if (!vanKnown(turn) && choice.outcome !== "courtesy")
    return owner && open
      ? tell(turn, person, { text: passedOn(turn, open, seen) }, { callout: open.n })
      : toPerson(turn, person, words, wantsPerson.test(words));
  const more = tellsMore(turn, mine, words, choice);
  if (readingSaid(turn, person, words, more)) return;
  if (!saysOther(turn, person, words, choice) && sumCompleted(turn, person, words)) return;
  const number = /^\W*([1-3])\W*$/.exec(words)?.[1];
  const entry = entries.get((number && talk.offered?.[Number(number) - 1]) || "");
  if (entry) return tellEntry(turn, person, entry, words);
  if (wantsCalendar.test(words)) return tell(turn, person, { text: line(turn, "calendar") });
  if (asksForData(words)) return toPerson(turn, person, words, "data");
  const asks = wantsPerson.test(words);
  if (asks && !owner) return toPerson(turn, person, words, true);
  const pressing = open !== undefined && noteTold(turn, person, open.n, words);
  const understood = choice.outcome === "answer" || choice.outcome === "lacks" || more;
  if (open && !pressing && !understood && askedWhichPlace(turn, person, words))
    return resume(turn, person);
  if (open && (!understood || asks)) {
    // What was not understood is for whoever has the matter; what was, is answered as well.
    if (choice.outcome === "courtesy" && !asks) {
      if (!pressing) act(turn, person, choice, words);
    } else if (!pressing)
      tell(turn, person, { text: passedOn(turn, open, seen) }, { callout: open.n });
    return resume(turn, person);
  }
  act(turn, person, choice, words);
  if (choice.outcome === "person") {
    const asked = openFor(turn.hire, person).find((c) => c.kind === "person");
    if (asked) noteTold(turn, person, asked.n, words);
  }
  // A talk that was interrupted by another question goes on where it stood; not while a choice is on the screen.
  if (talk.asking && choice.outcome !== "choices") resume(turn, person);
}

/** Whether the words most likely tell of a trouble that stops the van and is not open yet: then they choose which it is. */
function tellsMore(turn: Turn, open: readonly Callout[], words: string, choice: Choice): boolean {
  const { book } = turn.facts;
  const [top] = choice.entries;
  const lead = book.entries.get(top?.id ?? "");
  return (
    choice.outcome === "choices" &&
    (top?.p ?? 0) >= 0.5 &&
    stopsFirst(lead, words) &&
    !open.some((c) => sameTrouble(book, c.matter, lead?.id ?? ""))
  );
}

/** The matter under which an entry is opened: some faults are a danger by another name. */
const matterOf = (entry: Entry | undefined): string | undefined =>
  entry?.kind === "fault" && entry.sameAs ? entry.sameAs : entry?.id;

/** "In a lay-by" does not tell where that is: it is asked once more, unless another has told it. True where it was. */
function askedWhichPlace(turn: Turn, person: Person, words: string): boolean {
  const talk = talkOf(turn, person.id);
  if (talk.whereAsked === undefined || talk.asking?.steps[0] === "place") return false;
  if (safetyOf(words) !== "safe" && placeIn(words) !== "vague") return false;
  const how = { callout: talk.whereAsked };
  const since = openCallout(turn, talk.whereAsked)?.openedAt ?? turn.now;
  delete talk.whereAsked;
  if (placeKnown(turn.hire, person, since)) return false;
  const askPlace = line(turn, "share-place");
  tell(turn, person, { text: line(turn, "which-place"), askPlace }, how);
  return true;
}

/** That the words reached staff, and how the matter stands where nobody has it yet. */
const passedOn = (turn: Turn, c: Callout, seen: boolean): string =>
  c.state === "with" && c.with && seen
    ? line(turn, "relayed", { name: nameOf(turn, c.with) })
    : `${line(turn, "added")} ${standing(turn, c)}`;

/** Words that only tell where they are, whatever that place reminds of. */
const aPlace = (choice: Choice): Choice => {
  const { danger: _danger, ...rest } = choice;
  return { ...rest, outcome: "person", entries: [], answered: 0, doubt: false };
};

/** The danger that is feared, of those that this van can be in. */
function feared(turn: Turn, { danger: id, entries }: Choice): string {
  const fits = (one: string | undefined) => {
    const entry = turn.facts.book.entries.get(one ?? "");
    return entry?.kind === "danger" && concerns(entry, turn.van);
  };
  return [id, ...entries.map((e) => e.id)].find(fits) ?? anyDanger;
}

/**
 * A message that was changed is read again. Where it only puts a letter right, and says what was answered
 * already, nothing is said twice.
 */
function saysTheSame(turn: Turn, person: Person, choice: Choice): boolean {
  const [first] = choice.entries;
  const known = first && talkOf(turn, person.id).lastEntries[0] === first.id;
  // Of a trouble one word ("red", "alone") may change how grave it is.
  const apart = ["choices", "person", "triage"].includes(choice.outcome);
  const same = known && !apart;
  if (same) turn.because.push("ignored: a changed message that says the same");
  return same === true;
}

/** Whether the book has this van. */
export const vanKnown = (turn: Turn): boolean =>
  turn.facts.book.vans.has(turn.hire.booking.van.type);

/** So long a plain yes or no answers the question of a doubt; later "no hot water" is not meant for it. */
const doubtMs = 30 * 60_000;
const isAsked = ({ now }: Turn, { at = now }: NonNullable<Talk["doubt"]>): boolean =>
  now - at <= doubtMs;

/** The doubt is over; its buttons still stand on the screen. */
function settleDoubt(talk: Talk): void {
  if (talk.doubt) talk.doubted = talk.doubt.text;
  delete talk.doubt;
}

/** `seen`: staff have the words already. */
function doubt(turn: Turn, person: Person, id: string, words: string, seen: boolean): void {
  const waits = seen ? {} : awaitAnswer(turn, person, words);
  talkOf(turn, person.id).doubt = { danger: id, text: words, at: turn.now, ...waits };
  tell(
    turn,
    person,
    {
      text: `${line(turn, "doubt")}\n${line(turn, "doubt-question")}`,
      buttons: [
        { tap: `doubt:yes:${id}`, label: line(turn, "doubt-yes") },
        { tap: `doubt:no:${id}`, label: line(turn, "doubt-no") },
      ],
    },
    { safety: true },
  );
  turn.because.push(`doubt about ${id}`);
}

/** The one question of a doubt was answered: a danger, or what the words meant otherwise. */
export function doubtSettled(turn: Turn, person: Person, isDanger: boolean): void {
  const talk = talkOf(turn, person.id);
  const open = talk.doubt;
  settleDoubt(talk);
  if (!open) {
    turn.because.push("ignored: no doubt is open");
    return;
  }
  // A danger that the book no longer has is met with the one that tells to ring and to help.
  const entry = [open.danger, anyDanger]
    .map((id) => turn.facts.book.entries.get(id))
    .find((e) => e?.kind === "danger");
  if (isDanger && entry?.kind === "danger") return danger(turn, person, entry, open.text);
  greet(turn, person);
  const inDanger = dangerOf(openOf(turn, person));
  if (inDanger) {
    const told = relay(turn, person, inDanger, open.text);
    return stillInDanger(turn, person, inDanger, told, "says");
  }
  const choice = choose(turn.facts.matcher, {
    text: open.text,
    van: turn.van,
    lang: turn.hire.booking.lang,
    danger: { verdict: "none", because: ["the hirer says nobody is in danger"] },
  });
  act(turn, person, choice, open.text);
}

/** A photo, a voice note or the like: kept for staff and said so plainly; a photo may be of a light. */
export function shown(
  turn: Turn,
  person: Person,
  what: string,
  file?: FileRef,
  caption?: string,
): void {
  heard(turn, person);
  greet(turn, person);
  const words = caption?.trim() ?? "";
  const unshown = what === "photo" && file !== undefined && !canBeShown(file.kind);
  const text =
    what === "photo"
      ? line(turn, unshown ? "photo-unshown" : "photo")
      : line(turn, file ? "unreadable" : "unreadable-lost", { what });
  const { lastEntries, sheet, staffSpoke } = talkOf(turn, person.id);
  const told = turn.facts.book.entries.get(lastEntries[0] ?? "");
  const open = openFor(turn.hire, person);
  const ofLight = told?.kind === "light" || open.some((c) => c.kind === "light");
  // A photo out of the blue may be of a light: its colour and the sheet are one tap away.
  const asks = what === "photo" && words === "" && !ofLight && open.length === 0;
  const buttons = asks
    ? [
        { tap: `e:${unclear}`, label: line(turn, "photo-is-light") },
        { tap: "person", label: line(turn, "get-a-person") },
      ]
    : [];
  const isReply =
    what === "photo" &&
    words === "" &&
    photoSaid(turn, person, buttons, unshown ? text : undefined);
  if (!isReply) tell(turn, person, { text, ...(asks ? { buttons } : {}) });
  // A light that has its name needs no sheet, nor does whoever staff have asked for the photo.
  const isUnclear = lastEntries[0] === unclear || open.some((c) => c.matter === unclear);
  if (what === "photo" && words === "" && isUnclear && !sheet && !staffSpoke)
    showSheet(turn, person);
  share(turn, person, `(${what})${words ? ` ${words}` : ""}`, file, words !== "");
  if (words) said(turn, person, words);
}

/** `noted`: what was said with it is read, and noted, as words. */
function share(
  turn: Turn,
  person: Person,
  text: string,
  file: FileRef | undefined,
  noted: boolean,
): void {
  const [open] = openOf(turn, person);
  if (open) relay(turn, person, open, text, { file, noted });
}
