/** Reminders and readings of a hire: planning, sending, asking once more, and what comes back. Pure. */
import { addDays, atWall, dayOf, type Instant, instantOf } from "../calendar.js";
import { promise } from "../callouts/steps.js";
import { regionOf } from "../knowledge/book.js";
import { fill } from "../knowledge/placeholders.js";
import type { Want } from "../knowledge/schema.js";
import { readReading, whatFollows } from "../reminders/answer.js";
import { buttonsFor, sayReading } from "../reminders/buttons.js";
import { type Planned, plan, wordsFor } from "../reminders/plan.js";
import { callOrder } from "../triage/order.js";
import { tellAnswer } from "../wording/entry.js";
import { alertedLine, callOut } from "./alarm.js";
import { tellKnownFaults } from "./handover/known.js";
import type { Person } from "./hire.js";
import {
  clock,
  line,
  openCallouts,
  personOf,
  put,
  setDue,
  type Turn,
  talkOf,
  tell,
  tellAll,
  tellContact,
} from "./turn.js";

function planned(turn: Turn): Planned[] {
  const { booking, readings, sentReminders, returnRecordAt } = turn.hire;
  if (booking.status === "cancelled") return [];
  return plan(
    {
      pickupAt: booking.pickupAt,
      returnAt: booking.returnAt,
      zone: booking.zone,
      readings,
      sent: sentReminders,
      now: turn.now,
      ...(returnRecordAt === undefined ? {} : { returnRecordAt }),
    },
    turn.van,
    turn.facts.book.reminders,
  );
}

/** Plans anew and sets the one due of the hire's next reminder; what was sent is never repeated. */
export function replan(turn: Turn): void {
  turn.hire.planned += 1;
  const [next] = planned(turn).sort((a, b) => a.sendAt - b.sendAt);
  const at: Instant | null = next ? instantOf(Math.max(next.sendAt, turn.now)) : null;
  setDue(turn, "reminders", at, { kind: "reminder", keys: [] }, turn.hire.planned);
}

/** Sends what is due now as one message, safety first, and plans the next. */
export function remind(turn: Turn, generation: number): void {
  if (generation !== turn.hire.planned) {
    turn.because.push("ignored: stale reminder");
    return;
  }
  const now = planned(turn).filter((row) => row.sendAt <= turn.now);
  const person = personOf(turn.hire, undefined);
  if (person && now.length > 0) {
    const ordered = [...now].sort((a, b) => Number(b.safety) - Number(a.safety));
    const wants = [...new Set(ordered.flatMap((row) => row.wants))];
    const text = ordered
      .map((row) => fill(`${row.title}\n${row.text}`, turn.voice.values))
      .join("\n\n");
    const greeting = person.greeted ? "" : `${line(turn, "greeting")}\n\n`;
    person.greeted = true;
    const buttons = buttonsFor(wants, turn.facts.book.reminders);
    tell(
      turn,
      person,
      { text: greeting + text, ...(buttons.length > 0 ? { buttons } : {}) },
      { everywhere: true },
    );
    for (const row of now)
      turn.hire.sentReminders.push({
        key: row.key,
        rule: row.rule,
        due: row.due,
        sentAt: turn.now,
        answered: !row.needsReply,
        asked: 1,
      });
    const open = now.filter((row) => row.needsReply).map((row) => row.key);
    if (open.length > 0) {
      talkOf(turn, person.id).reading = { keys: open, wants };
      for (const key of open.filter(
        (k) => k.startsWith("oil-check") || k.startsWith("first-check"),
      ))
        missingBy(turn, key);
    }
    if (now.some((row) => row.rule === "welcome")) tellKnownFaults(turn, person);
    turn.because.push(`reminded: ${now.map((row) => row.rule).join(", ")}`);
  } else turn.because.push("ignored: no reminder helps now");
  replan(turn);
}

/** Asked once more next morning at 08:00 local. */
function missingBy(turn: Turn, key: string): void {
  const { zone } = turn.hire.booking;
  const at = atWall(addDays(dayOf(turn.now, zone), 1), turn.facts.book.reminders.window.from, zone);
  setDue(turn, `reply:${key}`, at, { kind: "reply-missing", key }, 0);
}

/** A check that nobody answered: asked once more, then a task for a named person. */
export function replyMissing(turn: Turn, key: string): void {
  const sent = turn.hire.sentReminders.find((s) => s.key === key);
  const person = personOf(turn.hire, undefined);
  if (!sent || sent.answered || !person || turn.now >= turn.hire.booking.returnAt) {
    turn.because.push("ignored: answered, or the hire is over");
    return;
  }
  const rule = turn.facts.book.reminders.rules[sent.rule];
  if (sent.asked < 2 && rule) {
    sent.asked += 1;
    const { text, wants } = wordsFor(rule, turn.van.has);
    talkOf(turn, person.id).reading = { keys: [key], wants: [...wants] };
    tell(
      turn,
      person,
      {
        text: `${line(turn, "reply-missing")}\n${fill(text, turn.voice.values)}`,
        buttons: buttonsFor(wants, turn.facts.book.reminders),
      },
      { everywhere: true },
    );
    missingBy(turn, key);
    turn.because.push(`asked once more: ${sent.rule}`);
    return;
  }
  const title = `Ring today: ${rule?.title ?? sent.rule} not answered`;
  ringToday(turn, person, key, title);
}

/** A task with a name on it: whoever is on duty rings by the evening, is reminded, and then passes it on. */
function ringToday(turn: Turn, person: Person, key: string, title: string): void {
  const { firm, reminders } = turn.facts.book;
  const matter = {
    kind: "reading",
    matter: `reply:${key}`,
    title,
    severity: "note",
    words: title,
  } as const;
  const { callout, isNew } = callOut(turn, person, matter, true);
  const [duty] = callOrder(firm, "person", turn.now);
  if (!isNew || duty === undefined) return;
  const evening = atWall(dayOf(turn.now, firm.zone), reminders.window.to, firm.zone);
  const named = promise(callout, duty, evening);
  put(turn, named);
  setDue(
    turn,
    `callout:${callout.n}:promise`,
    evening,
    { kind: "promise", callout: callout.n },
    named.generation,
  );
  const text = `${title}: ${person.name}${person.phone ? `, ${person.phone}` : ""}, van ${turn.hire.booking.van.registration}. Please ring by ${clock(turn, evening)}.`;
  tellContact(turn, duty, { text }, { callout: callout.n, severity: "note" });
  turn.because.push(`task for ${duty}`);
}

type Read = Extract<ReturnType<typeof readReading>, { kind: "reading" }>;

const unitOf = (turn: Turn): "miles" | "km" =>
  regionOf(turn.facts.book, turn.hire.booking.region).region.distanceUnit;
const named = (turn: Turn, names: string) => fill(names, turn.voice.values);

/** Reads words or a pressed button as the reply to what is awaited. */
function readReply(
  turn: Turn,
  words: string,
  wants: readonly Want[],
): ReturnType<typeof readReading> {
  const last = turn.hire.readings.findLast((r) => r.odometerKm !== undefined);
  return readReading(words, wants, {
    distanceUnit: unitOf(turn),
    at: turn.now,
    file: turn.facts.book.reminders,
    ...(last ? { last } : {}),
  });
}

/** Whether the words carry the reading that is awaited; if so it is kept or asked about. */
export function readingSaid(turn: Turn, person: Person, words: string): boolean {
  const open = talkOf(turn, person.id).reading;
  if (!open) return false;
  const read = readReply(turn, words, open.wants);
  if (read.kind === "none") return false;
  if (read.kind === "not-a-reading") {
    const buttons = buttonsFor(read.missing, turn.facts.book.reminders);
    tell(turn, person, {
      text: line(turn, "reading-ask", { wants: named(turn, read.wants) }),
      buttons,
    });
    return true;
  }
  keep(turn, person, read, open.keys);
  return true;
}

/** A reading given by button: "r:want=value". One of an older reminder is still a reading. */
export function readingTapped(turn: Turn, person: Person, tap: string): void {
  const open = talkOf(turn, person.id).reading;
  const read = readReply(turn, tap.slice(2), open?.wants ?? []);
  if (read.kind !== "reading") {
    turn.because.push("ignored: unknown reading button");
    return;
  }
  keep(turn, person, read, open?.keys ?? []);
}

/** Keeps what was read, asks about what is doubtful or missing, and acts on a low mark. */
function keep(turn: Turn, person: Person, read: Read, keys: string[]): void {
  const { book } = turn.facts;
  const talk = talkOf(turn, person.id);
  const earlier = [...turn.hire.readings];
  if (Object.keys(read.reading).length > 0) {
    turn.hire.readings.push({ at: turn.now, by: person.name, ...read.reading });
    tell(turn, person, {
      text: line(turn, "reading-kept", {
        reading: sayReading(read.reading, unitOf(turn), book.reminders),
      }),
    });
    turn.because.push("reading kept");
  }
  if (read.doubts.length > 0) {
    tell(turn, person, { text: read.doubts.join(" ") });
    turn.because.push("reading in doubt");
  }
  if (read.missing.length > 0 || read.doubts.length > 0) {
    if (talk.reading)
      talk.reading.wants = read.doubts.length > 0 ? talk.reading.wants : read.missing;
    if (read.missing.length > 0 && read.doubts.length === 0)
      tell(turn, person, {
        text: line(turn, "reading-ask", { wants: named(turn, read.wants) }),
        buttons: buttonsFor(read.missing, book.reminders),
      });
  } else {
    delete talk.reading;
    for (const sent of turn.hire.sentReminders.filter((s) => keys.includes(s.key))) {
      sent.answered = true;
      setDue(turn, `reply:${sent.key}`, null, { kind: "reply-missing", key: sent.key }, 0);
      const task = openCallouts(turn.hire).find((c) => c.matter === `reply:${sent.key}`);
      // Only staff end it, but its owner need not ring any more.
      if (task?.with)
        tellContact(
          turn,
          task.with,
          { text: `${person.name} has answered: ${task.title}` },
          { callout: task.n },
        );
    }
  }
  follow(turn, person, whatFollows(read, earlier));
  // The distance driven may bring a check forward.
  replan(turn);
}

/** What a low or bad mark asks for: how to top up, or stop and ring. */
function follow(turn: Turn, person: Person, next: ReturnType<typeof whatFollows>): void {
  if (next.act === "top-up") {
    const entry = turn.facts.book.entries.get("oil-top-up");
    if (entry?.kind === "answer")
      tell(turn, person, {
        text: `${line(turn, "reading-low")}\n${tellAnswer(turn.voice, entry).text}`,
      });
  }
  if (next.act !== "stop") return;
  const title = line(turn, `reading-title-${next.matter}`);
  const { reached } = callOut(turn, person, {
    kind: "reading",
    matter: `reading-${next.matter}`,
    title,
    severity: "stop",
    words: title,
  });
  tellAll(
    turn,
    { text: `${line(turn, `reading-stop-${next.matter}`)}\n${alertedLine(turn, reached)}` },
    { safety: true, severity: "stop" },
  );
}
