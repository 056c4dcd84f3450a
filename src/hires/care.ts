/** Reminders and readings of a hire: planning, sending, asking once more, and what comes back. Pure. */
import { addDays, atWall, dayOf, type Instant } from "../calendar.js";
import { fill } from "../knowledge/placeholders.js";
import type { Reading } from "../post.js";
import { buttonsFor, readReading, sayReading } from "../reminders/answer.js";
import { type Planned, plan } from "../reminders/plan.js";
import { tellAnswer } from "../wording/entry.js";
import { alertedLine, callOut } from "./alarm.js";
import type { Person, SentReminder } from "./hire.js";
import { line, personOf, setDue, talkOf, tell, type Turn } from "./turn.js";

/** A reminder that is this late no longer helps (a service that slept, a clock that jumped). */
const lateMs = 3 * 3_600_000;

function planned(turn: Turn): Planned[] {
  const { booking, readings, sentReminders, returnRecordAt } = turn.hire;
  if (booking.status === "cancelled") return [];
  return plan(
    {
      pickupAt: booking.pickupAt, returnAt: booking.returnAt, zone: booking.zone, readings,
      sent: sentReminders.map((s) => ({ key: s.key, rule: s.rule, due: s.due })),
      ...(returnRecordAt === undefined ? {} : { returnRecordAt }),
    },
    turn.van,
    turn.facts.book.reminders,
  );
}

/** Plans anew and sets the one due of the hire's next reminder; what was sent is never repeated. */
export function replan(turn: Turn): void {
  turn.hire.planned += 1;
  const next = planned(turn).find((row) => row.sendAt >= turn.now - lateMs);
  const at: Instant | null = next ? (next.sendAt > turn.now ? next.sendAt : turn.now) : null;
  setDue(turn, "reminders", at, { kind: "reminder", keys: [] }, turn.hire.planned);
}

/** Sends what is due now as one message, safety first, and plans the next. */
export function remind(turn: Turn, generation: number): void {
  if (generation !== turn.hire.planned) {
    turn.because.push("ignored: stale reminder");
    return;
  }
  const rows = planned(turn);
  const now = rows.filter((row) => row.sendAt <= turn.now && row.sendAt >= turn.now - lateMs);
  const person = personOf(turn.hire, undefined);
  if (person && now.length > 0) {
    const { rules } = turn.facts.book.reminders;
    const ordered = [...now].sort((a, b) => Number(rules[b.rule]?.safety ?? false) - Number(rules[a.rule]?.safety ?? false));
    const wants = [...new Set(ordered.flatMap((row) => rules[row.rule]?.reading ?? []))];
    const text = ordered.map((row) => fill(`${row.title}\n${rules[row.rule]?.text ?? ""}`, turn.voice.values)).join("\n\n");
    const greeting = person.greeted ? "" : `${line(turn, "greeting")}\n\n`;
    person.greeted = true;
    const buttons = buttonsFor(wants);
    tell(turn, person, { text: greeting + text, ...(buttons.length > 0 ? { buttons } : {}) }, { everywhere: true });
    for (const row of now) turn.hire.sentReminders.push({ key: row.key, rule: row.rule, due: row.due, sentAt: turn.now, answered: !row.needsReply, asked: 1 });
    const open = now.filter((row) => row.needsReply).map((row) => row.key);
    if (open.length > 0) {
      talkOf(turn, person.id).reading = { keys: open, wants };
      for (const key of open.filter((k) => k.startsWith("oil-check") || k.startsWith("first-check"))) missingBy(turn, key);
    }
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
    talkOf(turn, person.id).reading = { keys: [key], wants: rule.reading };
    tell(turn, person, { text: `${line(turn, "reply-missing")}\n${fill(rule.text, turn.voice.values)}`, buttons: buttonsFor(rule.reading) }, { everywhere: true });
    missingBy(turn, key);
    turn.because.push(`asked once more: ${sent.rule}`);
    return;
  }
  const title = `Ring today: ${rule?.title ?? sent.rule} not answered`;
  callOut(turn, person, { kind: "reading", matter: `reply:${key}`, title, severity: "note", words: title });
}

/** Whether the words carry the reading that is awaited; if so it is kept or asked about. */
export function readingSaid(turn: Turn, person: Person, words: string): boolean {
  const open = talkOf(turn, person.id).reading;
  if (!open) return false;
  const unit = turn.voice.book.regions.get(turn.hire.booking.region.slice(0, 2))?.distanceUnit ?? "miles";
  const last = turn.hire.readings.findLast((r) => r.odometerKm !== undefined);
  const read = readReading(words, open.wants, { distanceUnit: unit, at: turn.now, ...(last ? { last } : {}) });
  if (read.kind === "none") return false;
  if (read.kind === "not-a-reading") {
    tell(turn, person, { text: line(turn, "reading-ask", { wants: read.wants }), buttons: buttonsFor(open.wants) });
    return true;
  }
  if (read.doubts.length > 0) {
    tell(turn, person, { text: line(turn, "reading-doubt", { doubt: read.doubts.join(" ") }) });
    turn.because.push("reading in doubt");
    return true;
  }
  keep(turn, person, read.reading, open.keys);
  return true;
}

/** A reading given by button: "r:<field>=<value>". */
export function readingTapped(turn: Turn, person: Person, tap: string): void {
  const open = talkOf(turn, person.id).reading;
  const words = tap.slice(2);
  const read = readReading(words, open?.wants ?? ["oil", "tyres", "coolant", "fluid", "safety"], { distanceUnit: "miles", at: turn.now });
  if (read.kind !== "reading") {
    turn.because.push("ignored: unknown reading button");
    return;
  }
  keep(turn, person, read.reading, open?.keys ?? []);
}

function keep(turn: Turn, person: Person, part: Partial<Reading>, keys: string[]): void {
  const reading: Reading = { at: turn.now, by: person.name, ...part };
  turn.hire.readings.push(reading);
  const answers: SentReminder[] = turn.hire.sentReminders.filter((s) => keys.includes(s.key));
  for (const sent of answers) {
    sent.answered = true;
    setDue(turn, `reply:${sent.key}`, null, { kind: "reply-missing", key: sent.key }, 0);
  }
  turn.because.push("reading kept");
  tell(turn, person, { text: line(turn, "reading-kept", { reading: sayReading(part, turn.hire.booking.region.startsWith("ie") ? "km" : "miles") }) });
  oil(turn, person, reading);
  // Distance from a reading may bring a check forward.
  replan(turn);
}

/** Low oil: how to top it up; at or below the minimum, or low twice: stop and ring. */
function oil(turn: Turn, person: Person, reading: Reading): void {
  if (reading.oil === undefined) return;
  const earlier = turn.hire.readings.slice(0, -1).findLast((r) => r.oil !== undefined);
  const lowTwice = reading.oil === "low" && earlier?.oil === "low";
  if (reading.oil === "below-min" || reading.oil === "min" || lowTwice) {
    const { reached } = callOut(turn, person, { kind: "reading", matter: "oil-low", title: "Oil at or below the lowest mark", severity: "stop", words: `oil mark: ${reading.oil}` });
    tell(turn, person, { text: `${line(turn, "reading-min")}\n${alertedLine(turn, reached)}` }, { safety: true, severity: "stop" });
    return;
  }
  if (reading.oil === "low") {
    const entry = turn.facts.book.entries.get("oil-top-up");
    if (entry?.kind === "answer") tell(turn, person, { text: `${line(turn, "reading-low")}\n${tellAnswer(turn.voice, entry).text}` });
  }
}

/** The van is back and its record made: what remains planned is planned anew. */
export function returned(turn: Turn, by: string, reading: Reading): void {
  turn.hire.readings.push(reading);
  turn.hire.returnRecordAt ??= turn.now;
  turn.because.push(`return record by ${by}`);
  replan(turn);
}
