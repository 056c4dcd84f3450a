/** Buttons: each acts on its own matter however old it is, or is told how that matter stands now. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { isOf } from "../../callouts/whose.js";
import { checkOf } from "../../knowledge/checks/for-van.js";
import { walk } from "../../triage/check.js";
import { answered, closed } from "../callouts/check.js";
import { inNeed } from "../callouts/needs.js";
import { ask } from "../callouts/questions.js";
import { roadsideSeen } from "../callouts/roadside.js";
import { isNumber, leaveSheet, settle } from "../callouts/settle.js";
import { standing } from "../callouts/told.js";
import { seenTapped } from "../care/notices.js";
import { askedOfVan, readingTapped, toldLately } from "../care/replies.js";
import type { Person, Questions, Talk } from "../hire.js";
import { sumCompleted, tellEntry, toPerson } from "../reply.js";
import { doubtSettled } from "../said/doubt.js";
import { vanKnown } from "../said/facts.js";
import { dangerOf, heldBack, isAsked } from "../said/in-danger.js";
import { said } from "../said.js";
import { danger } from "../trouble.js";
import { line, openCallouts, remember, type Turn, talkOf, tell } from "../turn.js";
import { heard, openOf } from "./sign.js";

/** The same button again within this time is a double tap, and changes nothing. */
const doubleMs = 30_000;

/** A button. `typed`: the number or label that stood for it in a text message. */
export function tapped(turn: Turn, person: Person, tap: string, typed?: string): void {
  // "Are you all right?" asks for one word, which may be the label of an older question too.
  const isWord = typed !== undefined && !isNumber(typed) && /^\W*\p{L}+\W*$/u.test(typed);
  if (isWord && talkOf(turn, person.id).wellAsked !== undefined) return said(turn, person, typed);
  heard(turn, person);
  const talk = talkOf(turn, person.id);
  const inDanger = dangerOf(openOf(turn, person));
  // What is texted in danger is for whoever reads their words, unless it answers what is asked now.
  if (typed !== undefined && inDanger && !isAsked(turn, person, tap))
    return said(turn, person, typed);
  // A number by text is a figure or for staff where those were the last to ask, else a button's.
  if (typed !== undefined && isNumber(typed)) {
    if (talk.sum && !talk.sum.overtaken && sumCompleted(turn, person, typed)) return;
    if (talk.staffLast) return said(turn, person, typed);
  }
  const last = talk.tapped;
  talk.tapped = { tap, at: turn.now };
  if (last?.tap === tap && turn.now - last.at < doubleMs) {
    turn.because.push("ignored: double tap");
    return;
  }
  if (inDanger && heldBack(turn, person, inDanger, tap)) return;
  const [kind = "", a = "", b = ""] = tap.split(":");
  if (kind === "place" || kind === "need" || kind === "night")
    return question(turn, person, kind, a, Number(b), typed);
  if (kind === "c") return option(turn, person, a, b.split(".").map(Number));
  if (kind === "doubt") return doubtTapped(turn, person, a === "yes", b);
  if (kind === "sheet") return notOnSheet(turn, person, Number(b), typed);
  if (kind === "urgent") return tappedUrgent(turn, person, Number(a), typed);
  if (kind === "e") return entryTapped(turn, person, a);
  other(turn, person, tap, typed);
}

function other(turn: Turn, person: Person, tap: string, typed: string | undefined): void {
  const [kind = "", a = "", b = ""] = tap.split(":");
  const talk = talkOf(turn, person.id);
  const getPerson = line(turn, "get-a-person");
  switch (kind) {
    case "ok":
      return tell(turn, person, { text: line(turn, "worked") });
    case "else":
    case "none":
      delete talk.offered;
      return tell(turn, person, {
        text: line(turn, "else"),
        buttons: [{ tap: "person", label: getPerson }],
      });
    case "person": {
      const about = turn.facts.book.entries.get(talk.lastEntries[0] ?? "")?.title;
      return toPerson(turn, person, about ? `${getPerson} (${about})` : getPerson, true);
    }
    case "rs": {
      const c = matterOf(turn, person, Number(b));
      return !c || c.state === "done"
        ? now(turn, person, c)
        : roadsideSeen(turn, person, c.n, a === "yes");
    }
    case "r":
      if (!askedOfVan(turn, a.split("=")[0] ?? "")) return closed(turn, person);
      // A button says what it means however old it is; a number only what is asked, or put right.
      return typed === undefined ||
        [...(talk.reading?.wants ?? []), ...toldLately(turn, person)].some(
          (want) => want === a.split("=")[0],
        )
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

/** The matter of a button, or the one that it was joined to; none that is another's alone. */
function matterOf(turn: Turn, person: Person, n: number): Callout | undefined {
  const { callouts } = turn.hire;
  const c = callouts.find((one) => one.n === n && isOf(callouts, one, person.id));
  return c?.joinedTo === undefined ? c : matterOf(turn, person, c.joinedTo);
}

/** Says how the matter of an old button stands; words that came for it by text are read as words. */
function now(turn: Turn, person: Person, c: Callout | undefined, typed?: string): void {
  if (!c || typed !== undefined) return unasked(turn, person, typed);
  turn.because.push("an older button: told how its matter stands");
  tell(turn, person, { text: standing(turn, c) }, { callout: c.n });
}

/** A button of nothing: silence; but words are words, and a number is answered. */
function unasked(turn: Turn, person: Person, typed: string | undefined): void {
  turn.because.push("ignored: double or stale tap");
  if (typed === undefined) return;
  if (/\d/.test(typed)) tell(turn, person, { text: line(turn, "number-unknown", { typed }) });
  else said(turn, person, typed);
}

/** An answer to "safe place?", "anyone in need?" or "until morning?", of whichever message. */
function question(
  turn: Turn,
  person: Person,
  kind: "place" | "need" | "night",
  answer: string,
  n: number,
  typed: string | undefined,
): void {
  const { asking } = talkOf(turn, person.id);
  if (asking?.steps[0] === kind && asking.callout === n)
    return settle(turn, person, kind, n, answer);
  const c = matterOf(turn, person, n);
  if (!c || typed !== undefined || c.state === "done") return now(turn, person, c, typed);
  const known =
    kind === "place"
      ? c.placeSafe === (answer === "safe")
      : kind === "need"
        ? answer === "none" || (c.needs ?? []).some((need) => need === answer)
        : c.state !== "nobody-yet" ||
          c.urgent ||
          (answer === "yes") === (c.waitsUntil !== undefined);
  if (known) return now(turn, person, c);
  settle(turn, person, kind, c.n, answer);
}

/** An option of a guided check: of an older question it is answered anew from there. */
function option(turn: Turn, person: Person, entry: string, path: number[]): void {
  const talk = talkOf(turn, person.id);
  const { asking } = talk;
  const asked = [asking, ...(talk.later ?? [])].find(
    (q) => q?.entry === entry && q.steps.includes("check"),
  );
  if (asked && path.every((x, i) => x === asked.path[i])) {
    turn.because.push("ignored: answered so before");
    return asked === asking ? ask(turn, person) : undefined;
  }
  const check = checkOf(turn.voice, turn.facts.book.entries.get(entry));
  if (!check || !walk(check, path)) return closed(turn, person);
  const open = openCallouts(turn.hire).find((c) => c.matter === entry && c.van === undefined);
  if (!asked && !open) {
    // It is over, or of a van that was given up.
    const over = turn.hire.callouts.findLast((c) => c.matter === entry);
    return over ? now(turn, person, matterOf(turn, person, over.n)) : closed(turn, person);
  }
  const questions: Questions = asked ?? {
    entry,
    steps: [],
    path: [],
    ...(open ? { callout: open.n } : {}),
  };
  lead(talk, questions);
  questions.steps = ["check", ...questions.steps.filter((step) => step !== "check")];
  questions.path = path.slice(0, -1);
  answered(turn, person, path.at(-1) ?? -1);
}

/** Makes these the current questions; the others wait. */
function lead(talk: Talk, questions: Questions): void {
  const others = [talk.asking, ...(talk.later ?? [])].filter((q) => q !== undefined);
  talk.asking = questions;
  talk.later = others.filter((q) => q !== questions && q.steps.length > 0).slice(0, 4);
}

/** A danger stays one however late the button comes; a "no" settles only the doubt that is open. */
function doubtTapped(turn: Turn, person: Person, isDanger: boolean, id: string): void {
  const entry = turn.facts.book.entries.get(id);
  if (talkOf(turn, person.id).doubt) return doubtSettled(turn, person, isDanger);
  const { doubted } = talkOf(turn, person.id);
  const words = [line(turn, "doubt-yes"), ...(doubted ? [doubted] : [])].join(": ");
  if (isDanger && entry?.kind === "danger") return danger(turn, person, entry, words);
  turn.because.push("ignored: no doubt is open");
}

function notOnSheet(turn: Turn, person: Person, n: number, typed: string | undefined): void {
  const { asking } = talkOf(turn, person.id);
  if (asking?.steps[0] === "sheet" && (asking.callout ?? 0) === n) return leaveSheet(turn, person);
  now(turn, person, matterOf(turn, person, n), typed);
}

function tappedUrgent(turn: Turn, person: Person, n: number, typed: string | undefined): void {
  const c = matterOf(turn, person, n);
  if (c && c.state !== "done" && !c.urgent) return inNeed(turn, person, c.n, []);
  now(turn, person, c, typed);
}

function entryTapped(turn: Turn, person: Person, id: string): void {
  const entry = turn.facts.book.entries.get(id);
  if (!entry) return closed(turn, person);
  if (entry.kind === "answer" && !vanKnown(turn)) return toPerson(turn, person, entry.title);
  remember(turn, person.id, [entry.id]);
  tellEntry(turn, person, entry, entry.title);
}
