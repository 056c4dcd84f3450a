/** A hirer's words, taps, photos and places: danger first, then the question in progress, then matching. Pure. */
import type { Callout } from "../callouts/callout.js";
import type { Entry } from "../knowledge/book.js";
import { choose } from "../matching/choose.js";
import { placeIn, safetyOf } from "../place/read.js";
import type { FileRef } from "../post.js";
import { relay } from "./alarm.js";
import { inNeed, noteTold } from "./callouts/needs.js";
import { next, resume, showSheet } from "./callouts/questions.js";
import { roadsideSeen } from "./callouts/roadside.js";
import { answersQuestion, saysNo, saysYes, settle } from "./callouts/settle.js";
import { openFor } from "./callouts/told.js";
import { seenSaid, seenTapped } from "./care/notices.js";
import { isReply, photoSaid, readingSaid, readingTapped } from "./care/replies.js";
import { lightOnSheet, unclear } from "./heard/light.js";
import { placeBeside, placeTold } from "./heard/place.js";
import { greet, heard, openOf } from "./heard/sign.js";
import type { Person } from "./hire.js";
import { act, sumCompleted, tellEntry, toPerson } from "./reply.js";
import { answered, closed, danger } from "./trouble.js";
import { line, nameOf, openCallouts, remember, type Turn, talkOf, tell } from "./turn.js";
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
  heard(turn, person);
  const talk = talkOf(turn, person.id);
  const choice = understand(turn.facts.matcher, {
    text: words,
    van: turn.van,
    lang: turn.hire.booking.lang,
    context: { lastEntries: talk.lastEntries, ...(talk.offered ? { offered: talk.offered } : {}) },
  });
  const { entries } = turn.facts.book;
  const first = entries.get(choice.entries[0]?.id ?? "");
  const mine = openOf(turn, person);
  const owner = mine.find((c) => c.state === "with");
  const open = owner ?? mine.find((c) => c.severity !== "note");
  // Whatever is written while a matter is open reaches staff; the matter itself, written again, by its alert.
  const again = choice.outcome === "triage" && matterOf(first) === open?.matter;
  const pass = () => open !== undefined && !again && relay(turn, person, open, words);
  if (choice.outcome === "triage" && (first?.kind === "danger" || matterOf(first) !== first?.id)) {
    placeBeside(turn, person, words);
    pass();
    return act(turn, person, choice, words);
  }
  if (talk.doubt && (saysYes(words) || saysNo(words))) {
    pass();
    return doubtSettled(turn, person, saysYes(words));
  }
  const safety = talk.asking?.steps[0] === "place" ? safetyOf(words) : undefined;
  // A road, or "not safe, on a bend", answers what was asked: no doubt is left to settle.
  const askedPlace = talk.asking?.steps[0] === "place" || talk.whereAsked !== undefined;
  const answersPlace =
    choice.danger === "live-lane" &&
    askedPlace &&
    (safety === "unsafe" || placeIn(words) !== undefined);
  // While a danger is open the number has been told, and whoever has it reads every word.
  const known = mine.some((c) => c.severity === "danger" && c.state === "with");
  if (choice.doubt && !answersPlace && !known) {
    pass();
    return doubt(turn, person, choice.danger ?? "injury", words);
  }
  if (choice.outcome === "triage") placeBeside(turn, person, words);
  // Words that tell a place are passed on as one.
  const placed =
    choice.outcome !== "triage" && placeTold(turn, person, words, safety !== undefined);
  const light = lightOnSheet(turn, person, words);
  const seen = placed || (light === undefined && pass());
  greet(turn, person);
  if (edited && saysTheSame(turn, person, choice)) return;
  if (light) {
    delete talk.sheet;
    return tellEntry(turn, person, light, light.title);
  }
  const named = choice.outcome === "triage" ? first : undefined;
  if (answersQuestion(turn, person, words, placed, named) || seenSaid(turn, person, words)) return;
  // "low again, 54,900, tyres ok" is the check that was asked for, however much it resembles a light.
  if (choice.outcome === "triage" && !(vanKnown(turn) && isReply(turn, person, words)))
    return act(turn, person, choice, words);
  if (placed) {
    if (open) noteTold(turn, person, open.n, words);
    return resume(turn, person);
  }
  // Without its van in the book every figure and place would be another van's.
  if (!vanKnown(turn) && choice.outcome !== "courtesy")
    return owner
      ? tell(turn, person, { text: passedOn(turn, owner, seen) }, { callout: owner.n })
      : toPerson(turn, person, words, wantsPerson.test(words));
  if (readingSaid(turn, person, words) || sumCompleted(turn, person, words)) return;
  const number = /^\W*([1-3])\W*$/.exec(words)?.[1];
  const entry = entries.get((number && talk.offered?.[Number(number) - 1]) || "");
  if (entry) return tellEntry(turn, person, entry, words);
  if (wantsCalendar.test(words)) return tell(turn, person, { text: line(turn, "calendar") });
  const asks = wantsPerson.test(words);
  if (asks && !owner) return toPerson(turn, person, words, true);
  const pressing = open !== undefined && noteTold(turn, person, open.n, words);
  const understood = choice.outcome === "answer" || choice.outcome === "lacks";
  if (open && (!understood || asks)) {
    // What was not understood is for whoever has the matter; what was, is answered as well.
    if (choice.outcome === "courtesy" && !asks) {
      if (!pressing) act(turn, person, choice, words);
    } else if (!pressing)
      tell(turn, person, { text: passedOn(turn, owner, seen) }, { callout: open.n });
    return resume(turn, person);
  }
  act(turn, person, choice, words);
  if (choice.outcome === "person") {
    const asked = openFor(turn.hire, person).find((c) => c.kind === "person");
    if (asked) noteTold(turn, person, asked.n, words);
  }
  // A talk that was interrupted by another question goes on where it stood.
  if (talk.asking) resume(turn, person);
}

/** The matter under which an entry is opened: some faults are a danger by another name. */
const matterOf = (entry: Entry | undefined): string | undefined =>
  entry?.kind === "fault" && entry.sameAs ? entry.sameAs : entry?.id;

const passedOn = (turn: Turn, owner: Callout | undefined, seen: boolean): string =>
  owner?.with && seen
    ? line(turn, "relayed", { name: nameOf(turn, owner.with) })
    : line(turn, "added");

/**
 * A message that was changed is read again. Where it only puts a letter right, and says what was answered
 * already, nothing is said twice.
 */
function saysTheSame(turn: Turn, person: Person, choice: Choice): boolean {
  const [first] = choice.entries;
  const known = first && talkOf(turn, person.id).lastEntries[0] === first.id;
  const same = known && choice.outcome !== "choices" && choice.outcome !== "person";
  if (same) turn.because.push("ignored: a changed message that says the same");
  return same === true;
}

/** Whether the book has this van. */
const vanKnown = (turn: Turn): boolean => turn.facts.book.vans.has(turn.hire.booking.van.type);

function doubt(turn: Turn, person: Person, id: string, words: string): void {
  talkOf(turn, person.id).doubt = { danger: id, text: words };
  tell(
    turn,
    person,
    {
      text: `${line(turn, "doubt")}\n${line(turn, "doubt-question")}`,
      buttons: [
        { tap: "doubt:yes", label: line(turn, "doubt-yes") },
        { tap: "doubt:no", label: line(turn, "doubt-no") },
      ],
    },
    { safety: true },
  );
  turn.because.push(`doubt about ${id}`);
}

function doubtSettled(turn: Turn, person: Person, isDanger: boolean): void {
  const talk = talkOf(turn, person.id);
  const open = talk.doubt;
  delete talk.doubt;
  if (!open) {
    turn.because.push("ignored: no doubt is open");
    return;
  }
  // A danger that the book no longer has is met with the one that tells to ring and to help.
  const entry = [open.danger, "injury"]
    .map((id) => turn.facts.book.entries.get(id))
    .find((e) => e?.kind === "danger");
  if (isDanger && entry?.kind === "danger") return danger(turn, person, entry, open.text);
  greet(turn, person);
  const choice = choose(turn.facts.matcher, {
    text: open.text,
    van: turn.van,
    lang: turn.hire.booking.lang,
    danger: { verdict: "none", because: ["the hirer says nobody is in danger"] },
  });
  act(turn, person, choice, open.text);
}

/** A button. One that belongs to a question that is over is told so, once; a double tap changes nothing. */
export function tapped(turn: Turn, person: Person, tap: string, typed?: string): void {
  heard(turn, person);
  const [kind = "", a = "", b = ""] = tap.split(":");
  const talk = talkOf(turn, person.id);
  const { book } = turn.facts;
  // Where a sum waits for a figure, a number by text is that figure before it is a button's.
  if (talk.sum && typed !== undefined && /^\d+$/.test(typed) && sumCompleted(turn, person, typed))
    return;
  switch (kind) {
    case "ok":
      return tell(turn, person, { text: line(turn, "worked") });
    case "else":
    case "none": {
      delete talk.offered;
      return tell(turn, person, {
        text: line(turn, "else"),
        buttons: [{ tap: "person", label: line(turn, "get-a-person") }],
      });
    }
    case "person": {
      const about = book.entries.get(talk.lastEntries[0] ?? "")?.title;
      return toPerson(
        turn,
        person,
        about ? `${line(turn, "get-a-person")} (${about})` : line(turn, "get-a-person"),
        true,
      );
    }
    case "urgent": {
      const callout = openCallouts(turn.hire).find((c) => c.n === Number(a));
      if (callout && !callout.urgent) inNeed(turn, person, callout.n, []);
      else unasked(turn, person, typed);
      return;
    }
    case "e": {
      const entry = book.entries.get(a);
      if (!entry) return closed(turn, person);
      if (entry.kind === "answer" && !vanKnown(turn)) return toPerson(turn, person, entry.title);
      remember(turn, person.id, [entry.id]);
      return tellEntry(turn, person, entry, entry.title);
    }
    case "doubt":
      return doubtSettled(turn, person, a === "yes");
    case "c": {
      const path = b.split(".").map(Number);
      const { asking } = talk;
      const current = asking?.steps[0] === "check" && asking.entry === a;
      if (
        current &&
        path.length === asking.path.length + 1 &&
        asking.path.every((x, i) => x === path[i])
      )
        return answered(turn, person, path.at(-1) ?? -1);
      if (current && path.every((x, i) => x === asking.path[i])) {
        turn.because.push("ignored: double tap");
        return;
      }
      return closed(turn, person);
    }
    case "place":
    case "need":
    case "night": {
      if (talk.asking?.steps[0] !== kind || talk.asking.callout !== Number(b)) {
        return unasked(turn, person, typed);
      }
      return settle(turn, person, kind, Number(b), a);
    }
    case "rs":
      return roadsideSeen(turn, person, Number(b), a === "yes");
    case "sheet":
      if (talk.asking?.steps[0] === "sheet" && (talk.asking.callout ?? 0) === Number(b))
        return next(turn, person);
      return unasked(turn, person, typed);
    case "r":
      // A button says what it means however old it is; a number does not.
      return typed === undefined || talk.reading?.wants.some((want) => want === a.split("=")[0])
        ? readingTapped(turn, person, tap)
        : unasked(turn, person, typed);
    case "seen":
      return seenTapped(turn, person, a);
    case "number":
      return unasked(turn, person, typed ?? a);
    default:
      turn.because.push(`ignored: unknown button ${kind.slice(0, 20)}`);
  }
}

/** A button of a question that is over: silence, for it was tapped twice; but words are words, and a number is answered. */
function unasked(turn: Turn, person: Person, typed: string | undefined): void {
  turn.because.push("ignored: double or stale tap");
  if (typed === undefined) return;
  if (/\d/.test(typed)) tell(turn, person, { text: line(turn, "number-unknown", { typed }) });
  else said(turn, person, typed);
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
  const text =
    what === "photo"
      ? line(turn, "photo")
      : line(turn, file ? "unreadable" : "unreadable-lost", { what });
  const { lastEntries, sheet } = talkOf(turn, person.id);
  const told = turn.facts.book.entries.get(lastEntries[0] ?? "");
  const open = openFor(turn.hire, person);
  const ofLight = told?.kind === "light" || open.some((c) => c.kind === "light");
  // A photo out of the blue may be of a light: its colour and the sheet are one tap away.
  const asks = what === "photo" && words === "" && !ofLight && open.length === 0;
  const buttons = [
    { tap: `e:${unclear}`, label: line(turn, "photo-is-light") },
    { tap: "person", label: line(turn, "get-a-person") },
  ];
  const isReply = what === "photo" && words === "" && photoSaid(turn, person);
  if (!isReply) tell(turn, person, { text, ...(asks ? { buttons } : {}) });
  if (what === "photo" && words === "" && ofLight && !sheet) showSheet(turn, person);
  share(turn, person, `(${what})${words ? ` ${words}` : ""}`, file);
  if (words) said(turn, person, words);
}

function share(turn: Turn, person: Person, text: string, file?: FileRef): void {
  const [open] = openOf(turn, person);
  if (open) relay(turn, person, open, text, { file });
}
