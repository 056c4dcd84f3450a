/** A hirer's words, taps, photos and places: danger first, then the question in progress, then matching. Pure. */
import { worse } from "../callouts/steps.js";
import { choose } from "../matching/choose.js";
import { optionIn } from "../triage/check.js";
import { hearFrom, relay, ring } from "./alarm.js";
import { readingSaid, readingTapped } from "./care.js";
import type { Person } from "./hire.js";
import { act, sumCompleted, tellEntry, toPerson } from "./reply.js";
import {
  answered,
  ask,
  danger,
  morningRole,
  next,
  questionOf,
  showSheet,
  untilMorning,
} from "./trouble.js";
import { clock, line, openCallouts, put, remember, type Turn, talkOf, tell } from "./turn.js";
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
  )
    return act(turn, person, choice, words);

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
  if (answersQuestion(turn, person, words)) {
    if (owner) relay(turn, person, owner, words);
    return;
  }
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

const nameIn = (turn: Turn, id: string | undefined) =>
  turn.facts.book.firm.contacts[id ?? ""]?.name ?? "";

/** The worst open matter that is more than a question. */
const openTrouble = (turn: Turn) =>
  openCallouts(turn.hire)
    .filter((c) => c.severity !== "note")
    .sort((a, b) => (worse(a.severity, b.severity) ? -1 : 1))[0];

/** Any sign of life moves the "hear from" of the open matters. */
function heard(turn: Turn): void {
  for (const callout of openCallouts(turn.hire)) {
    if (callout.hearFromBy === undefined) continue;
    put(turn, { ...callout, silent: 0 });
    hearFrom(turn, callout.n);
  }
}

/** The first message tells that this is an automated assistant, and how to get a person. */
function greet(turn: Turn, person: Person): void {
  if (person.greeted) return;
  person.greeted = true;
  tell(turn, person, { text: line(turn, "greeting") });
}

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
  const entry = turn.facts.book.entries.get(open.danger);
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

/** Whether the words answer the question on the screen; if so they are taken as its answer. */
function answersQuestion(turn: Turn, person: Person, words: string): boolean {
  const { asking } = talkOf(turn, person.id);
  const now = asking?.steps[0];
  if (!asking || !now) return false;
  if (now === "check") {
    const question = questionOf(turn, asking.entry, asking.path);
    const option = question && optionIn(question, words);
    if (option === undefined) return false;
    answered(turn, person, option);
    return true;
  }
  const good =
    now === "place" ? /\bsafe\b/i.test(words) && !/\b(un|not )safe/i.test(words) : yes.test(words);
  const bad =
    now === "place"
      ? /\b(unsafe|not safe|dangerous|hard shoulder|live lane)\b/i.test(words)
      : no.test(words);
  const looksLikePlace =
    now === "place" &&
    /\b([ABMN]\d{1,4}|road|street|lane|lay ?by|junction|near|outside|car ?park|campsite|village|mile|km|marker)\b/i.test(
      words,
    );
  if (!good && !bad && !looksLikePlace) return false;
  if (looksLikePlace) notePlace(turn, asking.callout, words);
  settle(turn, person, now, asking.callout ?? 0, good || (!bad && looksLikePlace));
  return true;
}

function notePlace(turn: Turn, n: number | undefined, words: string): void {
  const callout = turn.hire.callouts.find((c) => c.n === n && c.state !== "done");
  if (callout)
    put(turn, {
      ...callout,
      words: `${callout.words ?? callout.title} / place: ${words}`.slice(-900),
    });
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
  const placed =
    (turn.hire.place !== undefined && turn.hire.place.at >= (callout?.openedAt ?? turn.now)) ||
    callout?.words?.includes(" / place: ");
  if (pressing && callout) {
    urgent(turn, person, n);
    const text = question === "place" ? line(turn, "ring-roadside-now") : line(turn, "noted-need");
    tell(turn, person, { text }, { safety: true, callout: n, severity: callout.severity });
  } else if (callout)
    tell(
      turn,
      person,
      {
        text: line(turn, question === "need" ? "noted" : placed ? "noted-place" : "place-missing"),
      },
      { callout: n },
    );
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
export function tapped(turn: Turn, person: Person, tap: string): void {
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
      else turn.because.push("ignored: double or stale tap");
      return;
    }
    case "e": {
      const entry = book.entries.get(a);
      if (!entry) return tell(turn, person, { text: line(turn, "check-closed") });
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
      turn.because.push("ignored: that question is closed");
      return tell(turn, person, { text: line(turn, "check-closed") });
    }
    case "place":
    case "need":
    case "night": {
      if (talk.asking?.steps[0] !== kind || talk.asking.callout !== Number(b)) {
        turn.because.push("ignored: double or stale tap");
        return;
      }
      return settle(turn, person, kind, Number(b), a === "safe" || a === "yes");
    }
    case "r":
      return readingTapped(turn, person, tap);
    case "number":
      return tell(turn, person, { text: line(turn, "number-unknown", { number: a }) });
    default:
      turn.because.push(`ignored: unknown button ${kind.slice(0, 20)}`);
  }
}

/** A place that was shared goes to the hirer's state and to whoever has or was told of the open matters. */
export function located(turn: Turn, person: Person, lat: number, lon: number): void {
  heard(turn);
  greet(turn, person);
  turn.hire.place = { lat, lon, at: turn.now };
  const place = `${lat.toFixed(5)}, ${lon.toFixed(5)} (geo:${lat.toFixed(5)},${lon.toFixed(5)})`;
  tell(turn, person, { text: line(turn, "located", { place }) });
  share(turn, person, place);
  const { asking } = talkOf(turn, person.id);
  if (asking?.steps[0] === "place") ask(turn, person);
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
  const text =
    what === "photo"
      ? line(turn, "photo")
      : line(turn, kept ? "unreadable" : "unreadable-lost", { what });
  tell(turn, person, { text });
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
