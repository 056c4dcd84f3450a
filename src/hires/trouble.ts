/** Lights, faults and dangers: what is told, who is alerted, and the questions after the safety step. Pure. */
import { after } from "../calendar.js";
import type { DangerEntry, Entry, FaultEntry, LightEntry } from "../knowledge/book.js";
import { fill } from "../knowledge/placeholders.js";
import type { End, Severity } from "../knowledge/schema.js";
import { placeWords } from "../place/place.js";
import { checkOf, walk } from "../triage/check.js";
import { severityNow } from "../triage/lights.js";
import { isNight } from "../triage/order.js";
import { tellAnswer, tellDanger, tellTrouble } from "../wording/entry.js";
import { alertedLine, callOut } from "./alarm.js";
import { toldIn } from "./callouts/needs.js";
import { ask, begin, needList, next } from "./callouts/questions.js";
import { isSecret } from "./callouts/told.js";
import { placeKnown } from "./heard/last.js";
import { nameLight, stepsFor, unclear, unclearMatter } from "./heard/light.js";
import type { Asking, Person } from "./hire.js";
import { clock, line, put, remember, setDue, type Turn, talkOf, tell, tellAll } from "./turn.js";

/** The line for words that came long after they were written; undefined when they are fresh (15 minutes). */
export function lateLine(turn: Turn, id: "late" | "danger-late"): string | undefined {
  const { writtenAt, receivedAt } = turn.arrival;
  return writtenAt !== undefined && receivedAt - writtenAt > 15 * 60_000
    ? line(turn, id, { time: clock(turn, writtenAt) })
    : undefined;
}

/** A danger: the number first, all contacts at once; told to everybody on the hire, but never a threat. */
export function danger(
  turn: Turn,
  person: Person,
  entry: DangerEntry,
  words: string,
  check?: { entry: string },
): void {
  const { callout, reached, isNew } = callOut(turn, person, {
    kind: "danger",
    matter: entry.id,
    title: entry.title,
    severity: "danger",
    words,
    told: toldIn(turn, words),
  });
  const { place, placeSaid } = turn.hire;
  const where = place ? placeWords(place) : placeSaid?.words;
  const late = lateLine(turn, "danger-late");
  const told = tellDanger(turn.voice, entry, {
    registration: turn.hire.booking.van.registration,
    people: turn.hire.people.length,
    ...(where ? { place: where } : {}),
    ...(late ? { late } : {}),
  });
  const greeting = turn.hire.people.find((p) => p.id === person.id)?.greeted
    ? []
    : [line(turn, "greeting")];
  const text = [
    told.text,
    ...(reached.length > 0 ? [] : [line(turn, "alerted-none")]),
    ...greeting,
  ].join("\n");
  const how = { safety: true, severity: "danger", callout: callout.n } as const;
  person.greeted = true;
  if (!isNew && callout.person === person.id && told.text.includes("\n")) {
    // The whole act stands above already: a person in panic reads one line.
    const [first = ""] = told.text.split("\n");
    const status = reached.length > 0 ? line(turn, "danger-repeat") : line(turn, "alerted-none");
    tell(turn, person, { text: [first, ...(late ? [late] : []), status].join("\n") }, how);
    turn.because.push(`danger ${entry.id} again`);
    return;
  }
  if (isSecret(callout)) tell(turn, person, { text }, { ...how });
  else
    tellAll(turn, { text, ...pictures(told.pictures), askPlace: line(turn, "share-place") }, how);
  remember(turn, person.id, [entry.id]);
  const talk = talkOf(turn, person.id);
  delete talk.doubt;
  if (check) {
    talk.asking = { entry: check.entry, callout: callout.n, steps: ["check"], path: [] };
    ask(turn, person);
  } else delete talk.asking;
  turn.because.push(isNew ? `danger ${entry.id}` : `danger ${entry.id} again`);
}

/** Several troubles in one message: each is opened, the worst leads and asks its questions. */
export function troubles(
  turn: Turn,
  person: Person,
  entries: readonly (LightEntry | FaultEntry)[],
  words: string,
): void {
  // What was said of the light before it had a name counts: that it flashes, or is red.
  const allSaid = (entry: LightEntry | FaultEntry) =>
    [unclearMatter(turn, person, entry, words)?.words, words].filter(Boolean).join(" / ");
  const ranked = entries
    .map(
      (entry) =>
        ({ entry, severity: severityNow(entry, allSaid(entry)) ?? "soon" }) as {
          entry: LightEntry | FaultEntry;
          severity: Severity;
        },
    )
    .sort((a, b) => order.indexOf(a.severity) - order.indexOf(b.severity));
  const [lead, ...others] = ranked;
  if (!lead) return;
  trouble(turn, person, lead.entry, lead.severity, words);
  for (const other of others) trouble(turn, person, other.entry, other.severity, words, true);
}
const order: Severity[] = ["danger", "stop", "soon", "note"];

function trouble(
  turn: Turn,
  person: Person,
  entry: LightEntry | FaultEntry,
  severity: Severity,
  words: string,
  second = false,
): void {
  if (entry.kind === "fault" && severity === "danger") {
    // Treated as the danger until it is placed: an unknown beep is carbon monoxide until the check says otherwise.
    const danger1 = turn.facts.book.entries.get(entry.sameAs ?? "carbon-monoxide");
    if (danger1?.kind === "danger")
      return danger(turn, person, danger1, words, { entry: entry.id });
  }
  const late = lateLine(turn, "late");
  const intro = late ? `${late}\n` : "";
  const nameless = unclearMatter(turn, person, entry, words);
  if (nameless && entry.kind === "light") nameLight(turn, person, nameless, entry, severity);
  if (severity === "note") {
    const told = tellTrouble(turn.voice, entry, severity);
    tell(
      turn,
      person,
      { text: intro + told.text, ...pictures(told.pictures), buttons: answerButtons(turn) },
      { severity },
    );
    remember(turn, person.id, [entry.id]);
    if (nameless) begin(turn, person, { entry: entry.id, steps: [], path: [] }, true);
    if (entry.id === unclear)
      begin(turn, person, { entry: entry.id, steps: ["sheet"], path: [] }, true);
    return;
  }
  const waits =
    severity === "soon" &&
    isNight(turn.facts.book.firm, turn.now) &&
    toldIn(turn, words).needs.length === 0;
  const { callout, reached, isNew } = callOut(
    turn,
    person,
    {
      kind: entry.kind,
      matter: entry.id,
      title: entry.title,
      severity,
      words,
      told: toldIn(turn, words),
    },
    waits,
  );
  const nothingNew = !isNew && reached.length === 0;
  const told = tellTrouble(turn.voice, entry, severity, {
    unsafe: callout.placeSafe === false && severity === "stop",
    ...(waits || nothingNew ? {} : { alerted: alertedLine(turn, reached) }),
  });
  const seen =
    callout.needs?.length && !nothingNew
      ? `\n${line(turn, "noted-need", { needs: needList(turn, callout.needs) })}`
      : "";
  // Where it is not safe to wait they are asked at once where that is.
  const lost = callout.placeSafe === false && !placeKnown(turn.hire, callout.openedAt);
  if (lost) talkOf(turn, person.id).whereAsked = callout.n;
  const message = {
    text: `${intro}${told.text}${seen}${lost ? `\n${line(turn, "where-question")}` : ""}`,
    ...pictures(told.pictures),
    ...(lost ? { askPlace: line(turn, "share-place") } : {}),
  };
  tellAll(turn, message, { safety: severity === "stop", severity, callout: callout.n });
  remember(turn, person.id, [entry.id]);
  if (waits && isNew) {
    // Silence must not hold it back: without an answer in ten minutes staff are alerted.
    setDue(
      turn,
      `callout:${callout.n}:next`,
      after(turn.now, 10),
      { kind: "next-contact", callout: callout.n },
      callout.generation,
    );
  }
  const check: Asking[] = checkOf(entry) ? ["check"] : [];
  const own =
    entry.kind === "light" && entry.id === unclear
      ? stepsFor(entry, severity, words)
      : { steps: check, path: [] };
  // Of a matter that is open already, only what was not yet answered is asked.
  const { asking } = talkOf(turn, person.id);
  const left = asking?.callout === callout.n ? asking.steps : [];
  const place: Asking[] = callout.placeSafe === undefined ? ["place"] : [];
  const asked: Asking[] = isNew
    ? [...place, "need"]
    : left.filter((step) => step === "place" || step === "need");
  const needs = severity === "stop" ? asked : [];
  // Where the check decides whether the van may move at all, it comes first.
  const decides =
    entry.id === unclear || entry.untilChecked !== undefined || severity !== entry.severity;
  const steps: Asking[] =
    waits && isNew
      ? ["night", ...own.steps]
      : decides
        ? [...own.steps, ...needs]
        : [...needs, ...own.steps];
  begin(
    turn,
    person,
    { entry: entry.id, callout: callout.n, steps: second ? own.steps : steps, path: own.path },
    !second,
  );
}

const pictures = (ids: string[]) => (ids.length > 0 ? { pictures: ids } : {});

/** The buttons under an ordinary answer. */
export const answerButtons = (turn: Turn): { tap: string; label: string }[] => [
  { tap: "ok", label: line(turn, "that-worked") },
  { tap: "else", label: line(turn, "something-else") },
  { tap: "person", label: line(turn, "get-a-person") },
];

/** A button whose question is over, or no longer in the book: the plain way on, and a person. */
export function closed(turn: Turn, person: Person): void {
  turn.because.push("that question is closed");
  const buttons = [{ tap: "person", label: line(turn, "get-a-person") }];
  tell(turn, person, { text: line(turn, "check-closed"), buttons });
}

/** The hirer chose an option of the current check. */
export function answered(turn: Turn, person: Person, option: number): void {
  const { asking } = talkOf(turn, person.id);
  if (!asking) return;
  asking.path.push(option);
  const entry = turn.facts.book.entries.get(asking.entry);
  const check = checkOf(entry);
  const node = check && walk(check, asking.path);
  if (!node) {
    // The book has changed: the button was on the screen, and its question is in it no more.
    closed(turn, person);
    return next(turn, person);
  }
  if ("ask" in node) {
    // The colour is known: now the sheet of lights, then the rest of the check.
    if (asking.steps[1] === "sheet") asking.steps = ["sheet", "check", ...asking.steps.slice(2)];
    return ask(turn, person);
  }
  finish(turn, person, entry, node);
}

function finish(turn: Turn, person: Person, entry: Entry | undefined, end: End): void {
  const talk = talkOf(turn, person.id);
  const n = talk.asking?.callout;
  const callout = turn.hire.callouts.find((c) => c.n === n && c.state !== "done");
  const goTo = end.goTo ? turn.facts.book.entries.get(end.goTo) : undefined;
  turn.because.push(`check of ${entry?.id ?? "?"} ended: ${end.end}`);
  if (goTo?.kind === "danger") return danger(turn, person, goTo, end.say);
  const parts = [fill(end.say, turn.voice.values)];
  if (end.end === "firm") parts.push(line(turn, "check-firm"));
  if (end.end === "roadside") parts.push(line(turn, "check-roadside"));
  if (end.end === "cleared" && callout) parts.push(line(turn, "check-cleared-note"));
  tell(turn, person, { text: parts.join("\n") }, n === undefined ? {} : { callout: n });
  if (callout) {
    const severity = end.severity ? `, now ${end.severity}` : "";
    put(turn, {
      ...callout,
      words: `${callout.words ?? callout.title} / check: ${end.end}${severity}`.slice(-900),
      ...(end.severity ? { checked: end.severity } : {}),
    });
  }
  if (goTo?.kind === "answer") tell(turn, person, { text: tellAnswer(turn.voice, goTo).text });
  if (goTo && (goTo.kind === "light" || goTo.kind === "fault") && goTo.id !== entry?.id)
    return troubles(turn, person, [goTo], end.say);
  if (end.end === "cleared" && talk.asking)
    talk.asking.steps = talk.asking.steps.filter((step) => step === "check" || step === "sheet");
  next(turn, person);
}
