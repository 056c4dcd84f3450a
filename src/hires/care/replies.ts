/** What hirers reply to reminders: read, kept, asked about, followed up. Pure. */
import { after, minuteMs } from "../../calendar.js";
import { regionOf } from "../../knowledge/book.js";
import { fill } from "../../knowledge/placeholders.js";
import type { Want } from "../../knowledge/schema.js";
import type { Button } from "../../post.js";
import { isAlarming, readReading, whatFollows } from "../../reminders/answer.js";
import { sayArrival } from "../../reminders/arrival.js";
import { buttonsFor, namesOf, sayReading } from "../../reminders/buttons.js";
import { sayKm } from "../../reminders/distance.js";
import { comesElsewhere, onlyTime, tellsArrival } from "../../reminders/own-words.js";
import { wordsFor } from "../../reminders/plan.js";
import { isQuestion, pieces, plainly } from "../../reminders/words.js";
import { isGrave } from "../../severity.js";
import { dueSoon, lookedAtBy, missingBy, replan, send, windowOpens } from "../care.js";
import type { Hire, Person, SentReminder } from "../hire.js";
import { line, openCallouts, personOf, setDue, type Turn, talkOf, tell } from "../turn.js";
import { arriving, takenFor } from "./arriving.js";
import { againToStaff, follow } from "./follow.js";
import { readingsOfVan } from "./readings.js";
import { tellToAdd } from "./sums.js";
import { ringToday, roadIsOver, settleTask } from "./tasks.js";

/** The reminders whose reply has not come, whole or in part. */
const unanswered = (hire: Hire): SentReminder[] =>
  hire.sentReminders.filter((s) => !s.answered && s.wants !== undefined);

/** No further asking about a reminder, and no task. */
function quiet(turn: Turn, sent: SentReminder, why: string): void {
  setDue(turn, `reply:${sent.key}`, null, { kind: "reply-missing", key: sent.key }, 0);
  settleTask(turn, sent, why);
}

/** Nothing of the van that was given up is waited for any more. */
export function closeAll(turn: Turn, why: string): void {
  for (const sent of unanswered(turn.hire)) {
    sent.answered = true;
    quiet(turn, sent, why);
  }
  for (const talk of Object.values(turn.hire.talks)) delete talk.reading;
}

/** A hire that is on again or goes on: its oil checks without an answer are followed up as before. */
export function followAnew(turn: Turn): void {
  if (roadIsOver(turn.hire, turn.now)) return;
  const tasks = openCallouts(turn.hire).map((c) => c.n);
  for (const sent of unanswered(turn.hire))
    if (sent.wants?.includes("oil") && !tasks.includes(sent.task ?? 0)) missingBy(turn, sent);
}

/** A check that nobody answered: asked once more, with what else is due now; then a task for a named person. */
export function replyMissing(turn: Turn, key: string): void {
  const sent = turn.hire.sentReminders.find((s) => s.key === key);
  const person = personOf(turn.hire, undefined);
  if (!sent || sent.answered || !person || roadIsOver(turn.hire, turn.now)) {
    turn.because.push("ignored: answered, or the hire is over");
    return;
  }
  if (turn.now < lookedAtBy(turn, sent)) {
    turn.because.push("ignored: asked today already");
    return;
  }
  const opens = windowOpens(turn);
  if (opens > turn.now) {
    setDue(turn, `reply:${key}`, opens, { kind: "reply-missing", key }, 0);
    turn.because.push("waits for the morning");
    return;
  }
  const rule = turn.facts.book.reminders.rules[sent.rule];
  if (sent.asked < 2 && rule) {
    const soon = dueSoon(turn);
    const before = turn.hire.sentReminders.length;
    if (soon.some((row) => row.wants.includes("oil"))) {
      // The next check is due by now: it is the asking once more.
      send(turn, soon);
      for (const next of turn.hire.sentReminders.slice(before)) next.asked = 2;
    } else {
      sent.asked = 2;
      sent.againAt = turn.now;
      const { text } = wordsFor(rule, turn.van.has);
      const again = `${line(turn, "reply-missing")}\n${fill(text, turn.voice.values)}`;
      send(turn, soon, { text: again, wants: sent.wants ?? [] });
      missingBy(turn, sent);
    }
    turn.because.push(`asked once more: ${sent.rule}`);
    return replan(turn);
  }
  ringToday(turn, person, sent);
}

type Read = Extract<ReturnType<typeof readReading>, { kind: "reading" }>;

const unitOf = (turn: Turn): "miles" | "km" =>
  regionOf(turn.facts.book, turn.hire.booking.region).region.distanceUnit;
const named = (turn: Turn, names: string) => fill(names, turn.voice.values);

/** The last reading that has an odometer. */
const lastOdometer = (turn: Turn) =>
  readingsOfVan(turn.hire).findLast((r) => r.odometerKm !== undefined);

/** That odometer, as it is told. */
function lastSaid(turn: Turn): string {
  const { odometerKm } = lastOdometer(turn) ?? {};
  return odometerKm === undefined ? "none" : sayKm(odometerKm, unitOf(turn));
}

/** Reads words or a pressed button as this person's reply to what is awaited; `rights`: the odometer before it was wrong. */
function readReply(
  turn: Turn,
  person: Person,
  words: string,
  wants: readonly Want[],
  rights = false,
): ReturnType<typeof readReading> {
  const wrong = rights ? lastOdometer(turn) : undefined;
  const last = readingsOfVan(turn.hire).findLast((r) => r.odometerKm !== undefined && r !== wrong);
  const { reading, staffLast } = talkOf(turn, person.id);
  const doubted = reading?.doubted;
  return readReading(words, wants, {
    distanceUnit: unitOf(turn),
    at: turn.now,
    base: turn.facts.book.firm.place,
    file: turn.facts.book.reminders,
    ...(last ? { last } : {}),
    ...(doubted ? { doubted } : {}),
    ...(staffLast ? { onlyNamed: true } : {}),
  });
}

/** For so long what was told can be put right. */
const rightMs = 24 * 60 * minuteMs;
/** What this person told within that time. */
export function toldLately(turn: Turn, person: Person): readonly Want[] {
  const { told } = talkOf(turn, person.id);
  return told && turn.now - told.at <= rightMs ? told.wants : [];
}
/** Whether the van that they have must not move, or life is in danger: what they do not name may be anything then. */
const mustNotDrive = ({ hire }: Turn): boolean =>
  openCallouts(hire).some((c) => isGrave(c.severity) && c.van === undefined);
/** Whether what they told may be put right without its name: nothing else was told or asked since. */
function rightsUnnamed(turn: Turn, person: Person): boolean {
  const { told, sum } = talkOf(turn, person.id);
  return told?.overtaken === undefined && sum === undefined && !mustNotDrive(turn);
}
/** Words by which something told is put right, whether or not they name it: "sorry, 57,430". */
const putsRight =
  /^\W*(?:sorry|correction|actually|oops|not \d+|i (?:meant?|misread))\b|\bread (?:it|that) wrong\b/i;
/** What tells nothing of the right one: "57,430 not 57,340", "I read it wrong". */
const wrongOne = /\bnot \d[\d., ]*|\b(?:i )?read (?:it|that) wrong\b/gi;

/** Whether they may tell another time for the return: one was told, or asked for on its day, and the van is not back. */
const mayComeLater = ({ arrival, sentReminders, returnRecordAt, booking }: Hire): boolean =>
  returnRecordAt === undefined &&
  (arrival !== undefined ||
    sentReminders.some(
      ({ rule, sentAt }) =>
        rule === "return-morning" && sentAt >= after(booking.returnAt, -24 * 60),
    ));

/** All that unanswered checks of this hire still wait for, and when they come, as long as that may change. */
function awaitedOf({ hire }: Turn): Want[] {
  const wants = unanswered(hire).flatMap((s) => s.wants ?? []);
  return mayComeLater(hire) ? [...new Set<Want>([...wants, "arrival"])] : wants;
}

/**
 * Whether words plainly tell when they come, to nobody's question; a bare number may be anything, and so may any time
 * while they must not drive.
 */
function tellsWhen(turn: Turn, person: Person, words: string): boolean {
  const plain = plainly(words);
  const { place } = turn.facts.book.firm;
  if (/^\W*\d{1,2}\W*$/.test(plain) || comesElsewhere(plain, place)) return false;
  if (mustNotDrive(turn)) return false;
  return (
    pieces(plain).some((piece) => tellsArrival(piece, place)) ||
    (onlyTime(plain) && talkOf(turn, person.id).sum === undefined)
  );
}

/**
 * What words tell of what is awaited. Who was asked may answer an older question as well, or only that: "about half,
 * 57,340" a day after it. Of somebody else only what is named counts, and what stands unnamed beside it.
 */
function replyOf(turn: Turn, person: Person, said: string): ReturnType<typeof readReading> {
  const told = toldLately(turn, person);
  const rights = told.length > 0 && putsRight.test(said);
  const words = rights ? said.replace(wrongOne, " ") : said;
  const asked = talkOf(turn, person.id).reading?.wants;
  const awaited = awaitedOf(turn);
  const read = readReply(turn, person, words, asked ?? []);
  const tells = (wants: readonly Want[]) =>
    read.kind === "reading" && read.got.some((want) => wants.includes(want));
  const names = tells(awaited);
  if (!asked && !names && awaited.includes("arrival") && tellsWhen(turn, person, words)) {
    const when = readReply(turn, person, words, ["arrival"]);
    if (when.kind === "reading") return when;
  }
  // Named or not, it puts right what was told; what is named is nothing else besides.
  const isNamed = tells([...awaited, ...told, ...(asked ?? [])]);
  if (rights && !isNamed && rightsUnnamed(turn, person))
    return readReply(turn, person, words, [...(asked ?? []), ...told], told.includes("odometer"));
  if (!asked && !names) return read;
  if (read.kind === "not-a-reading") return read;
  const older = awaited.filter((want) => want !== "safety");
  const all = readReply(turn, person, words, [...new Set([...(asked ?? []), ...older])]);
  // With more to choose from, an unnamed mark may be nobody's: what was understood stays so.
  const got = read.kind === "reading" ? read.got : [];
  const holds = all.kind === "reading" && got.every((want) => all.got.includes(want));
  return holds && all.got.length > got.length ? all : read;
}

/** Asks for what a reply still lacks; `first` is told before it. */
function askFor(
  turn: Turn,
  person: Person,
  phrase: string,
  wants: readonly Want[],
  { first = "", also = [] }: { first?: string; also?: readonly Button[] } = {},
): void {
  const file = turn.facts.book.reminders;
  const text = first + line(turn, phrase, { wants: named(turn, namesOf(wants, file)) });
  const buttons = [...buttonsFor(wants, file), ...also];
  tell(turn, person, { text, ...(buttons.length > 0 ? { buttons } : {}) });
}

/**
 * Whether the words carry a reading; if so it is kept or asked about. Where no reminder's reply is awaited from
 * this person, only words that name what an unanswered check asked for, that put right what they told, or that tell
 * when they come are one. `trouble`: what is left of them most
 * likely tells of one, and is still to be answered.
 */
export function readingSaid(turn: Turn, person: Person, words: string, trouble: boolean): boolean {
  const open = talkOf(turn, person.id).reading?.wants;
  const told = toldLately(turn, person);
  const awaited = [...awaitedOf(turn), ...told];
  if (!open && awaited.length === 0) return false;
  const read = replyOf(turn, person, words);
  if (read.kind === "none" || (read.kind === "not-a-reading" && !open)) return false;
  if (read.kind === "not-a-reading") askFor(turn, person, "reading-ask", read.missing);
  else if (open || read.got.some((want) => awaited.includes(want))) {
    keep(turn, person, read, words);
    const confirms = read.got.length > 0 && read.got.every((want) => want === "safety");
    if (confirms && read.rest === "") tell(turn, person, { text: line(turn, "seen-thanks") });
    // A question beside it is still answered; beside "done", which tells nothing more, whatever else was written.
    if (confirms || trouble || isAlarming(read.rest)) return read.rest === "";
    return !pieces(read.rest).some(isQuestion);
  } else return false;
  return true;
}

/** Whether the words are nothing but the reply that this person is asked for, whatever else they resemble. */
export function isReply(turn: Turn, person: Person, words: string): boolean {
  const { reading } = talkOf(turn, person.id);
  const wants = [...(reading?.wants ?? []), ...awaitedOf(turn)];
  const read = replyOf(turn, person, words);
  return (
    reading !== undefined &&
    read.kind === "reading" &&
    read.rest === "" &&
    read.got.some((want) => wants.includes(want))
  );
}

/** Whether this was asked of the van that they have now: a button of before says nothing of it. */
export function askedOfVan({ hire, facts, van }: Turn, want: string): boolean {
  const { vanSince } = hire;
  // The safety points of another van are told with it.
  if (vanSince === undefined || want === "safety") return true;
  const { rules } = facts.book.reminders;
  return hire.sentReminders.some(({ rule, sentAt }) => {
    const asks = rules[rule];
    return sentAt >= vanSince && asks && wordsFor(asks, van.has).wants.some((w) => w === want);
  });
}

/** A reading given by button: "r:want=value". One of an older reminder is still a reading. */
export function readingTapped(turn: Turn, person: Person, tap: string): void {
  const read = readReply(turn, person, tap.slice(2), talkOf(turn, person.id).reading?.wants ?? []);
  if (read.kind === "reading") return keep(turn, person, read);
  turn.because.push("ignored: unknown reading button");
}

/**
 * A photo instead of the reply: staff see it, and the mark itself is asked for. False where nothing is awaited that a
 * photo could show. `unshown`: what is told of one that cannot be shown; `also`: what else it may be.
 */
export function photoSaid(
  turn: Turn,
  person: Person,
  also: readonly Button[],
  unshown?: string,
): boolean {
  const { wants = [] } = talkOf(turn, person.id).reading ?? {};
  const seen = wants.filter((want) => want !== "safety" && want !== "arrival");
  if (seen.length === 0) return false;
  if (unshown) askFor(turn, person, "reading-more", seen, { first: `${unshown}\n`, also });
  else askFor(turn, person, "reading-photo", seen, { also });
  return true;
}

/** The note of a reading, with the hour for which an arrival in it is taken. */
function noted(turn: Turn, { arrival, reading: { note } }: Read): { note?: string } {
  if (!arrival || note === undefined) return {};
  return { note: note.replace(sayArrival(arrival), sayArrival(takenFor(turn, arrival))) };
}

/** Keeps what was read, asks about what is doubtful or missing, and acts on a low mark. `words`: as it was written. */
function keep(turn: Turn, person: Person, read: Read, words?: string): void {
  const { book } = turn.facts;
  const talk = talkOf(turn, person.id);
  const earlier = readingsOfVan(turn.hire);
  if (Object.keys(read.reading).length > 0) {
    const kept = { ...read.reading, ...noted(turn, read) };
    turn.hire.readings.push({ at: turn.now, by: person.name, person: person.id, ...kept });
    const reading = sayReading(kept, unitOf(turn), book.reminders);
    const again = read.again ? ` ${line(turn, "reading-again")}` : "";
    tell(turn, person, { text: line(turn, "reading-kept", { reading }) + again });
    if (read.again) againToStaff(turn, person, read.again, lastSaid(turn));
    turn.because.push("reading kept");
  }
  const marks = read.got.filter((want) => want !== "arrival" && want !== "safety");
  const toldNow = [...new Set([...toldLately(turn, person), ...marks])];
  if (read.arrival) arriving(turn, person, read.arrival, words ?? "");
  for (const sent of unanswered(turn.hire)) {
    sent.wants = sent.wants?.filter((want) => !read.got.includes(want)) ?? [];
    sent.answered = sent.wants.length === 0;
    // What is left of a check once its oil mark is known is worth no call.
    if (!sent.wants.includes("oil")) quiet(turn, sent, `${person.name} has answered`);
  }
  // Who was not asked, and told an odometer that is asked about, is asked by that.
  const asked = talk.reading?.wants ?? (read.doubted ? (["odometer"] as const) : []);
  const left = asked.filter((want) => !read.got.includes(want));
  const level = read.reading.fluid ?? talk.reading?.fluid;
  const asksBeside = pieces(read.rest).some(isQuestion);
  const told =
    level === undefined || (!asksBeside && tellToAdd(turn, person, level, left.length === 0));
  if (asked.length > 0 && left.length === 0) delete talk.reading;
  else if (asked.length > 0) {
    const doubted = left.includes("odometer") ? (read.doubted ?? talk.reading?.doubted) : undefined;
    talk.reading = {
      wants: left,
      ...(told ? {} : { fluid: level }),
      ...(doubted ? { doubted } : {}),
    };
  }
  if (read.doubts.length > 0) {
    tell(turn, person, { text: read.doubts.join(" ") });
    turn.because.push("reading in doubt");
  } else if (left.length > 0 && left.length < asked.length)
    askFor(turn, person, "reading-more", left);
  follow(turn, person, whatFollows(read, earlier), words);
  if (marks.length > 0) talk.told = { wants: toldNow, at: turn.now };
  // The distance driven may bring a check forward.
  replan(turn);
}
