/** Lights, faults and dangers: what is told, who is alerted, and the questions after the safety step. Pure. */
import { minuteMs } from "../calendar.js";
import type { Callout } from "../callouts/callout.js";
import { isSecret } from "../callouts/whose.js";
import type { DangerEntry, Entry, FaultEntry, LightEntry } from "../knowledge/book.js";
import { checkOf } from "../knowledge/checks/for-van.js";
import { fill } from "../knowledge/placeholders.js";
import { placeWords } from "../place/place.js";
import { gravity, type Severity } from "../severity.js";
import { findsDanger } from "../triage/check.js";
import { severityNow } from "../triage/lights.js";
import { sameTrouble } from "../triage/matter.js";
import { isNight } from "../triage/order.js";
import { tellDanger, tellTrouble } from "../wording/entry.js";
import type { Voice } from "../wording/say.js";
import { alertedLine, alertIn, callOut, callOutBeside, type Matter, type Raised } from "./alarm.js";
import { toldIn } from "./callouts/needs.js";
import {
  ask,
  begin,
  needList,
  park,
  placeAndNeed,
  questionsFor,
  resume,
} from "./callouts/questions.js";
import { standing } from "./callouts/told.js";
import { placeKnown, placesFor } from "./heard/last.js";
import { namedByAnother, nameMatter, stepsFor, unclear, unclearMatter } from "./heard/light.js";
import type { Asking, Person, Questions } from "./hire.js";
import { clock, line, remember, type Turn, talkOf, tell, tellAll } from "./turn.js";

/** Words that came so many minutes after they were written are answered as late. */
const lateMin = 15;
/** At night staff are alerted after so many minutes where the hirer has not said whether it can wait. */
const nightAnswerMin = 10;

/** The line for words that came long after they were written; undefined when they are fresh. */
export function lateLine(turn: Turn, id: "late" | "danger-late"): string | undefined {
  const { writtenAt, receivedAt } = turn.arrival;
  return writtenAt !== undefined && receivedAt - writtenAt > lateMin * minuteMs
    ? line(turn, id, { time: clock(turn, writtenAt) })
    : undefined;
}

/**
 * A danger: the number first, all contacts at once; told to everybody on the hire, but never a threat. `lang`: the
 * language in which it was written, where it is not that of the hire. `check`: the entry whose check follows.
 */
export function danger(
  turn: Turn,
  person: Person,
  entry: DangerEntry,
  words: string,
  { lang = turn.voice.lang, check }: { lang?: string | undefined; check?: string } = {},
): void {
  const { callout, reached, isNew } = callOut(turn, person, {
    kind: "danger",
    matter: entry.id,
    title: entry.title,
    severity: "danger",
    words,
    told: toldIn(turn, words),
  });
  const { place, placeSaid } = placesFor(turn.hire, isSecret(callout) ? person : undefined);
  const where = place ? placeWords(place) : placeSaid?.words;
  const late = lateLine(turn, "danger-late");
  const told = (voice: Voice) =>
    tellDanger(voice, entry, {
      words,
      registration: turn.hire.booking.van.registration,
      people: turn.hire.people.length,
      ...(where ? { place: where } : {}),
      ...(late ? { late } : {}),
    }).text;
  const own = told({ ...turn.voice, lang });
  const greeting = turn.hire.people.find((p) => p.id === person.id)?.greeted
    ? []
    : [line(turn, "greeting")];
  const after = [...(reached.length > 0 ? [] : [line(turn, "alerted-none")]), ...greeting];
  const text = [own, ...after].join("\n");
  const how = { safety: true, severity: "danger", callout: callout.n } as const;
  person.greeted = true;
  const heardIt =
    callout.person === person.id || talkOf(turn, person.id).lastEntries.includes(entry.id);
  if (!isNew && heardIt && own.includes("\n")) {
    // The whole act stands above already: a person in panic reads one line.
    const [first = ""] = own.split("\n");
    const status = reached.length > 0 ? line(turn, "danger-repeat") : line(turn, "alerted-none");
    tell(turn, person, { text: [first, ...(late ? [late] : []), status].join("\n") }, how);
    turn.because.push(`danger ${entry.id} again`);
    return;
  }
  // The others of the hire were told when it was opened.
  if (isSecret(callout) || !isNew) tell(turn, person, { text }, { ...how });
  else {
    const others = lang === turn.voice.lang ? text : [told(turn.voice), ...after].join("\n");
    const askPlace = line(turn, "share-place");
    for (const one of turn.hire.people)
      tell(
        turn,
        one,
        { text: one.id === person.id ? text : others, askPlace },
        { ...how, everywhere: true },
      );
  }
  remember(turn, person.id, [entry.id]);
  const talk = talkOf(turn, person.id);
  delete talk.doubt;
  // Questions in progress wait until the danger is over.
  for (const one of isSecret(callout) ? [person] : turn.hire.people) park(turn, one);
  if (check) {
    talk.asking = { entry: check, callout: callout.n, steps: ["check"], path: [] };
    ask(turn, person);
  }
  turn.because.push(isNew ? `danger ${entry.id}` : `danger ${entry.id} again`);
}

/** `waits`: at night, until they say whether it can; `asked`: of whom its light needs no name any more. */
type Opened = Raised & { waits: boolean; asked?: readonly Person[] };
type Trouble = { entry: LightEntry | FaultEntry; severity: Severity };

/**
 * Several troubles in one message: each is opened, the worst leads and asks its questions. `from`: the open
 * call-out of which a check has found that it is this one.
 */
export function troubles(
  turn: Turn,
  person: Person,
  entries: readonly (LightEntry | FaultEntry)[],
  words: string,
  from?: Callout,
): void {
  // What was said of the light before it had a name counts: that it flashes, or is red.
  const allSaid = (entry: LightEntry | FaultEntry) =>
    [unclearMatter(turn, person, entry, words)?.words, words].filter(Boolean).join(" / ");
  const [lead, ...others] = entries
    .map((entry): Trouble => ({ entry, severity: severityNow(entry, allSaid(entry)) ?? "soon" }))
    .sort((a, b) => gravity(a.severity) - gravity(b.severity));
  if (!lead) return;
  const also = others.map((o) => `${o.severity.toUpperCase()}: ${title(turn, o.entry)}`);
  const opened = trouble(turn, person, lead, words, { also, ...(from ? { from } : {}) });
  const waiting = others.flatMap((other) => besides(turn, person, other, words, opened) ?? []);
  if (opened) begin(turn, person, questionsOf(turn, person, lead, opened, words), true);
  for (const other of opened?.asked ?? []) resume(turn, other);
  for (const questions of waiting) begin(turn, person, questions, false);
}

const title = (turn: Turn, entry: Entry): string => fill(entry.title, turn.voice.values);

/** A light or fault that leads: its call-out is raised, and everybody on the hire is told. Undefined where it is none. */
function trouble(
  turn: Turn,
  person: Person,
  found: Trouble,
  words: string,
  more: { also: string[]; from?: Callout },
): Opened | undefined {
  const { entry, severity } = found;
  if (openedAsDanger(turn, person, found, words)) return undefined;
  const nameless = more.from ?? unclearMatter(turn, person, entry, words);
  if (nameless) nameMatter(turn, person, nameless, entry, severity);
  if (severity === "note") {
    calm(turn, person, entry, nameless);
    return undefined;
  }
  const told = toldIn(turn, words);
  const waits =
    severity === "soon" && isNight(turn.facts.book.firm, turn.now) && told.needs.length === 0;
  const matter = {
    ...matterOf(turn, found, words),
    also: more.also,
    named: nameless !== undefined,
  };
  const asked = nameless ? namedByAnother(turn, person, nameless.n) : [];
  const opened = { ...callOut(turn, person, matter, waits), waits, asked };
  tellOpened(turn, person, found, opened, nameless !== undefined);
  remember(turn, person.id, [entry.id]);
  // Silence must not hold it back.
  if (waits && opened.isNew) alertIn(turn, opened.callout, nightAnswerMin);
  return opened;
}

const matterOf = (turn: Turn, { entry, severity }: Trouble, words: string): Matter => ({
  kind: entry.kind,
  matter: entry.id,
  title: title(turn, entry),
  severity,
  words,
  told: toldIn(turn, words),
});

/**
 * Opens a fault that is treated as a danger until it is placed: an unknown beep is carbon monoxide until the
 * check says otherwise. True where it did.
 */
function openedAsDanger(
  turn: Turn,
  person: Person,
  { entry, severity }: Trouble,
  words: string,
): boolean {
  if (entry.kind !== "fault" || severity !== "danger") return false;
  const same = turn.facts.book.entries.get(entry.sameAs ?? entry.dangerUntilChecked ?? "");
  if (same?.kind !== "danger") return false;
  danger(turn, person, same, words, { check: entry.id });
  return true;
}

/** A light that only informs: told, and nobody is alerted. */
function calm(turn: Turn, person: Person, entry: LightEntry | FaultEntry, nameless?: Callout) {
  const told = tellTrouble(turn.voice, entry, "note");
  const late = lateLine(turn, "late");
  const text = late ? `${late}\n${told.text}` : told.text;
  const message = { text, ...pictures(told.pictures), buttons: answerButtons(turn) };
  tell(turn, person, message, { severity: "note" });
  remember(turn, person.id, [entry.id]);
  if (nameless)
    begin(turn, person, { entry: entry.id, callout: nameless.n, steps: [], path: [] }, true);
  if (entry.id === unclear)
    begin(turn, person, { entry: entry.id, steps: ["sheet"], path: [] }, true);
}

/** What the hirers read of it: all of it and everybody, but what was told before only whoever writes it again. */
function tellOpened(
  turn: Turn,
  person: Person,
  { entry, severity }: Trouble,
  { callout, reached, isNew, rises, waits }: Opened,
  wasNameless: boolean,
): void {
  const how = { safety: severity === "stop", severity, callout: callout.n };
  const late = lateLine(turn, "late");
  const again = !isNew && !rises && !wasNameless;
  const heardIt =
    (callout.person === person.id && callout.matter === entry.id) ||
    talkOf(turn, person.id).lastEntries.includes(entry.id);
  if (again && heardIt) {
    const status = reached.length > 0 ? line(turn, "told-again") : standing(turn, callout);
    const lines = [...(late ? [late] : []), line(turn, `may-move-${severity}`), status];
    return tell(turn, person, { text: lines.join("\n") }, how);
  }
  const told = tellTrouble(turn.voice, entry, severity, {
    unsafe: callout.placeSafe === false && severity === "stop",
    ...(waits
      ? {}
      : { alerted: isNew || rises ? alertedLine(turn, reached) : standing(turn, callout) }),
  });
  const seen = callout.needs?.length
    ? [line(turn, "noted-need", { needs: needList(turn, callout.needs) })]
    : [];
  // Where it is not safe to wait they are asked at once where that is.
  const lost = callout.placeSafe === false && !placeKnown(turn.hire, person, callout.openedAt);
  if (lost) talkOf(turn, person.id).whereAsked = callout.n;
  const where = lost ? [line(turn, "where-question")] : [];
  const message = {
    text: [...(late ? [late] : []), told.text, ...seen, ...where].join("\n"),
    ...pictures(told.pictures),
    ...(lost ? { askPlace: line(turn, "share-place") } : {}),
  };
  if (again) tell(turn, person, message, how);
  else tellAll(turn, message, how);
}

/** What is asked of the trouble that leads, in order. */
function questionsOf(
  turn: Turn,
  person: Person,
  { entry, severity }: Trouble,
  { callout, isNew, rises, waits }: Opened,
  words: string,
): Questions {
  const known = !isNew && !rises && callout.checkedAt !== undefined;
  const own = known ? { steps: [], path: [] } : ownQuestions(turn, entry, severity, words);
  // Of a matter that is open already, only what was not yet answered is asked.
  const all = questionsFor(talkOf(turn, person.id));
  const left = all.find((q) => q.callout === callout.n)?.steps ?? [];
  const asked = () =>
    isNew
      ? placeAndNeed(turn, person, callout)
      : left.filter((step) => step === "place" || step === "need");
  const needs = severity === "stop" ? asked() : [];
  // Where the check decides whether the van may move at all, or may find a danger, it comes first.
  const tree = checkOf(turn.voice, entry);
  const decides =
    entry.id === unclear ||
    entry.untilChecked !== undefined ||
    severity !== entry.severity ||
    (tree !== undefined && findsDanger(tree));
  const steps: Asking[] = decides ? [...own.steps, ...needs] : [...needs, ...own.steps];
  return {
    entry: entry.id,
    callout: callout.n,
    steps: waits && isNew ? ["night", ...own.steps] : steps,
    path: own.path,
  };
}

function ownQuestions(
  { voice }: Turn,
  entry: LightEntry | FaultEntry,
  severity: Severity,
  words: string,
) {
  const check = checkOf(voice, entry);
  if (check && entry.id === unclear) return stepsFor(check, severity, words);
  const steps: Asking[] = check ? ["check"] : [];
  return { steps, path: [] };
}

/**
 * A trouble beside the one that leads: told in short, its questions wait. One that is the same trouble (a
 * light and its effect) opens nothing more; another is opened with whoever was alerted for the first.
 */
function besides(
  turn: Turn,
  person: Person,
  found: Trouble,
  words: string,
  lead: Opened | undefined,
): Questions | undefined {
  const { entry, severity } = found;
  if (severity === "note") {
    calm(turn, person, entry);
    return undefined;
  }
  if (openedAsDanger(turn, person, found, words)) return undefined;
  const { book } = turn.facts;
  const same = lead !== undefined && sameTrouble(book, lead.callout.matter, entry.id);
  const matter = matterOf(turn, found, words);
  const opened = same
    ? lead
    : callOutBeside(turn, person, matter, lead, lead?.waits ? nightAnswerMin : undefined);
  const heardIt = talkOf(turn, person.id).lastEntries.includes(entry.id);
  if (!same && !opened.isNew && !opened.rises && heardIt) return undefined;
  const told = tellTrouble(turn.voice, entry, severity, { beside: true });
  const status = lead?.isNew || !opened.isNew ? [] : [alertedLine(turn, opened.reached)];
  const { n } = opened.callout;
  tellAll(
    turn,
    { text: [told.text, ...status].join("\n"), ...pictures(told.pictures) },
    { safety: severity === "stop", severity, callout: n },
  );
  remember(turn, person.id, [entry.id]);
  const own = ownQuestions(turn, entry, severity, words);
  const leads = book.entries.get(lead?.callout.matter ?? "");
  return same && checkOf(turn.voice, leads) ? undefined : { entry: entry.id, callout: n, ...own };
}

const pictures = (ids: string[]) => (ids.length > 0 ? { pictures: ids } : {});

/** The buttons under an ordinary answer. */
export const answerButtons = (turn: Turn): { tap: string; label: string }[] => [
  { tap: "ok", label: line(turn, "that-worked") },
  { tap: "else", label: line(turn, "something-else") },
  { tap: "person", label: line(turn, "get-a-person") },
];
