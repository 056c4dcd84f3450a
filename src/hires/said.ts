/** A hirer's words, taps, photos and places: danger first, then the question in progress, then matching. Pure. */

import type { Callout } from "../callouts/callout.js";
import { choose } from "../matching/choose.js";
import { safetyOf } from "../place/read.js";
import { optionIn } from "../triage/check.js";
import { relay, ring } from "./alarm.js";
import { photoSaid, readingSaid, readingTapped } from "./care/replies.js";
import { placeKnown } from "./heard/last.js";
import { placeBeside, placeTold } from "./heard/place.js";
import { greet, heard, openTrouble } from "./heard/sign.js";
import type { Person } from "./hire.js";
import { act, sumCompleted, tellEntry, toPerson } from "./reply.js";
import {
  answered,
  ask,
  closed,
  danger,
  morningRole,
  next,
  questionOf,
  showSheet,
  untilMorning,
} from "./trouble.js";
import {
  clock,
  line,
  nameOf,
  openCallouts,
  put,
  remember,
  type Turn,
  talkOf,
  tell,
} from "./turn.js";
import { understand } from "./understand.js";

const wantsPerson =
  /^\W*(a |the )?(person|human|operator|real person|staff|somebody|someone|mensch|personne|persona|persoon|człowiek|osoba)( please)?\W*$|\b(talk|speak|chat|put me through|connect me)\b.{0,20}\b(person|human|someone|somebody|staff|you guys|the firm|the office)\b|\bget (me )?a person\b/i;
const yes = /^\W*(y|yes|yeah|yep|aye|ja|oui|s[iì]|tak)\b/i;
const no = /^\W*(n|no|nope|nah|nein|non|nie|nee|nobody|nothing)\b/i;

/** Words from a person of the hire. Every message is watched for danger, whoever has the matter. */
export function said(turn: Turn, person: Person, text: string): void {
  const words = text.trim();
  if (words === "") {
    turn.because.push("ignored: empty message");
    return;
  }
  heard(turn);
  const talk = talkOf(turn, person.id);
  const choice = understand(turn.facts.matcher, {
    text: words,
    van: turn.van,
    lang: turn.hire.booking.lang,
    context: { lastEntries: talk.lastEntries, ...(talk.offered ? { offered: talk.offered } : {}) },
  });
  const first = choice.entries[0] && turn.facts.book.entries.get(choice.entries[0].id);
  if (
    choice.outcome === "triage" &&
    first &&
    (first.kind === "danger" || (first.kind === "fault" && first.sameAs))
  ) {
    placeBeside(turn, person, words);
    return act(turn, person, choice, words);
  }

  if (talk.doubt && (yes.test(words) || no.test(words)))
    return doubtSettled(turn, person, yes.test(words));
  if (choice.doubt) return doubt(turn, person, choice.danger ?? "injury", words);
  greet(turn, person);
  const onSheet = talk.sheet
    ? /^\W*(?:number |no\.? ?|it'?s )?(\d{1,2})\W*$/i.exec(words)?.[1]
    : undefined;
  const light =
    onSheet && turn.facts.book.entries.get(turn.facts.book.lightSheet[Number(onSheet) - 1] ?? "");
  if (light) {
    delete talk.sheet;
    return tellEntry(turn, person, light, light.title);
  }
  const owner = openCallouts(turn.hire).find((c) => c.state === "with");
  if (answersQuestion(turn, person, words, owner)) return;
  if (choice.outcome === "triage") placeBeside(turn, person, words);
  else if (placeTold(turn, person, words)) return ask(turn, person);
  if (choice.outcome !== "triage" && choice.outcome !== "courtesy" && !vanKnown(turn))
    return toPerson(turn, person, words, wantsPerson.test(words));
  if (choice.outcome !== "triage" && readingSaid(turn, person, words)) return;
  if (choice.outcome !== "triage" && sumCompleted(turn, person, words)) return;
  const number = /^\W*([1-3])\W*$/.exec(words)?.[1];
  const chosen = number && talk.offered?.[Number(number) - 1];
  const entry = chosen && turn.facts.book.entries.get(chosen);
  if (entry) return tellEntry(turn, person, entry, words);
  if (wantsPerson.test(words)) return toPerson(turn, person, words, true);

  const open = owner ?? openTrouble(turn);
  const understood = choice.outcome === "answer" || choice.outcome === "lacks";
  if (open && choice.outcome !== "triage") {
    relay(turn, person, open, words);
    // What was not understood is for whoever has the matter; what was, is answered as well.
    if (!understood && choice.outcome !== "courtesy") {
      const text = owner
        ? line(turn, "relayed", { name: nameIn(turn, owner.with) })
        : line(turn, "added");
      tell(turn, person, { text }, { callout: open.n });
    }
    if (!understood) return ask(turn, person);
  }
  act(turn, person, choice, words);
  // A talk that was interrupted by another question goes on where it stood.
  if (choice.outcome !== "triage" && talk.asking) ask(turn, person);
}

const nameIn = (turn: Turn, id: string | undefined) => nameOf(turn, id ?? "");

/** Whether the book has this van: without it, every figure and place would be another van's. */
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

/** Whether the words answer the question on the screen; if so they are taken as its answer, and `owner` reads them. */
function answersQuestion(
  turn: Turn,
  person: Person,
  words: string,
  owner: Callout | undefined,
): boolean {
  const { asking } = talkOf(turn, person.id);
  const now = asking?.steps[0];
  if (!asking || !now) return false;
  if (now === "check") {
    const question = questionOf(turn, asking.entry, asking.path);
    const option = question && optionIn(question, words);
    if (option === undefined) return false;
    answered(turn, person, option);
    if (owner) relay(turn, person, owner, words);
    return true;
  }
  const n = asking.callout ?? 0;
  if (now === "place") {
    const safety = safetyOf(words);
    const told = placeTold(turn, person, words, safety !== undefined);
    if (!told && !safety) return false;
    // Where they are is known now; whether it is safe there is still to be said.
    if (safety) settle(turn, person, now, n, safety === "safe");
    else ask(turn, person);
    if (owner && !told) relay(turn, person, owner, words);
    return true;
  }
  if (!yes.test(words) && !no.test(words)) return false;
  settle(turn, person, now, n, yes.test(words));
  if (owner) relay(turn, person, owner, words);
  return true;
}

/** An answer to "safe place?", "anyone in need?" or "until morning?". */
function settle(
  turn: Turn,
  person: Person,
  question: "place" | "need" | "night",
  n: number,
  isYes: boolean,
): void {
  const callout = turn.hire.callouts.find((c) => c.n === n && c.state !== "done");
  if (question === "night") {
    if (isYes && callout) {
      untilMorning(turn, n);
      const until = turn.hire.callouts.find((c) => c.n === n)?.waitsUntil;
      if (until !== undefined)
        tell(
          turn,
          person,
          { text: line(turn, "night-waits", { who: morningRole(turn), time: clock(turn, until) }) },
          { callout: n },
        );
    } else if (callout) urgent(turn, person, n);
    return next(turn, person);
  }
  const pressing = question === "need" ? isYes : !isYes;
  const where =
    question === "place" && callout && !placeKnown(turn.hire, callout.openedAt)
      ? line(turn, "where-question")
      : undefined;
  if (where) talkOf(turn, person.id).whereAsked = n;
  const askPlace = where ? { askPlace: line(turn, "share-place") } : {};
  if (pressing && callout) {
    urgent(turn, person, n);
    const text = line(turn, question === "place" ? "ring-roadside-now" : "noted-need");
    const how = { safety: true, callout: n, severity: callout.severity };
    tell(turn, person, { text: where ? `${text}\n${where}` : text, ...askPlace }, how);
  } else if (callout) {
    const text = where ?? line(turn, question === "need" ? "noted" : "noted-place");
    tell(turn, person, { text, ...askPlace }, { callout: n });
  }
  next(turn, person);
}

/** Somebody is in need, the place is unsafe, or it cannot wait: the answer is due at once. */
function urgent(turn: Turn, person: Person, n: number): void {
  const callout = turn.hire.callouts.find((c) => c.n === n && c.state !== "done");
  if (!callout) return;
  const { waitsUntil: _waits, ...rest } = callout;
  const raised = { ...rest, urgent: true, answerBy: turn.now };
  put(turn, raised);
  if (raised.state === "with" && raised.with)
    relay(turn, person, raised, line(turn, "urgent-words"));
  else {
    const reached = ring(turn, raised);
    tell(
      turn,
      person,
      {
        text:
          reached.length > 0
            ? line(turn, "alerted", { who: roleList(turn, reached) })
            : line(turn, "alerted-none"),
      },
      { callout: n },
    );
  }
}

const roleList = (turn: Turn, ids: string[]) =>
  [...new Set(ids.map((id) => turn.facts.book.firm.contacts[id]?.role ?? id))].join(" and ");

/** A button. One that belongs to a question that is over is told so, once; a double tap changes nothing. */
export function tapped(turn: Turn, person: Person, tap: string, typed?: string): void {
  heard(turn);
  const [kind = "", a = "", b = ""] = tap.split(":");
  const talk = talkOf(turn, person.id);
  const { book } = turn.facts;
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
      if (callout && !callout.urgent) urgent(turn, person, callout.n);
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
      return settle(turn, person, kind, Number(b), a === "safe" || a === "yes");
    }
    case "r":
      // A button says what it means however old it is; a number does not.
      return typed === undefined || talk.reading?.wants.some((want) => want === a.split("=")[0])
        ? readingTapped(turn, person, tap)
        : unasked(turn, person, typed);
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

/** A photo, a voice note or the like: kept for staff and said so plainly. */
export function shown(
  turn: Turn,
  person: Person,
  what: string,
  more: { caption?: string | undefined; kept: boolean },
): void {
  const { caption, kept } = more;
  heard(turn);
  greet(turn, person);
  if (what !== "photo" || caption?.trim() || !photoSaid(turn, person)) {
    const text =
      what === "photo"
        ? line(turn, "photo")
        : line(turn, kept ? "unreadable" : "unreadable-lost", { what });
    tell(turn, person, { text });
  }
  const told = turn.facts.book.entries.get(talkOf(turn, person.id).lastEntries[0] ?? "");
  if (
    what === "photo" &&
    !caption?.trim() &&
    (told?.kind === "light" || openCallouts(turn.hire).some((c) => c.kind === "light"))
  )
    showSheet(turn, person);
  share(turn, person, `(${what})${caption ? ` ${caption}` : ""}`);
  if (caption?.trim()) said(turn, person, caption);
}

function share(turn: Turn, person: Person, text: string): void {
  const open = openTrouble(turn) ?? openCallouts(turn.hire)[0];
  if (open) relay(turn, person, open, text);
}
