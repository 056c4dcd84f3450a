/** Reminders of a hire: planning, sending, and the return. Pure. */
import { addDays, atWall, clockOf, dayOf, type Instant, instantOf, minuteMs } from "../calendar.js";
import { fill } from "../knowledge/placeholders.js";
import type { Want } from "../knowledge/schema.js";
import { buttonsFor } from "../reminders/buttons.js";
import type { Planned } from "../reminders/plan.js";
import { plannedOf } from "./care/planned.js";
import { tellKnownFaults } from "./handover/known.js";
import type { SentReminder } from "./hire.js";
import { line, reminded, setDue, sheetOver, type Turn, talkOf, tell } from "./turn.js";

const planned = (turn: Turn): Planned[] => plannedOf(turn.hire, turn.facts.book, turn.now);

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
  if (now.length > 0) send(turn, now);
  else turn.because.push("ignored: no reminder helps now");
  replan(turn);
}

/** What would go out so soon after this instant that it goes with a message of now. */
export function dueSoon(turn: Turn): Planned[] {
  const until = turn.now + turn.facts.book.reminders.mergeWithinMin * minuteMs;
  return planned(turn).filter((row) => row.sendAt <= until && row.due < turn.hire.booking.returnAt);
}

/** One message of reminders to whoever answers for the hire; `first`: what else it asks, above all. */
export function send(
  turn: Turn,
  rows: readonly Planned[],
  first?: { text: string; wants: readonly Want[] },
): void {
  const ordered = [...rows].sort((a, b) => Number(b.safety) - Number(a.safety));
  const wants = [...new Set([...(first?.wants ?? []), ...ordered.flatMap((row) => row.wants)])];
  const text = [
    ...(first ? [first.text] : []),
    ...ordered.map((row) => fill(`${row.title}\n${row.text}`, turn.voice.values)),
  ].join("\n\n");
  const buttons = buttonsFor(wants, turn.facts.book.reminders);
  // "Tomorrow the van comes back" is not said on the day itself; safety is better late than never.
  const until =
    first || rows.some((row) => row.safety)
      ? undefined
      : instantOf(Math.min(...rows.map((row) => row.helpsUntil)));
  for (const person of reminded(turn.hire)) {
    const greeting = person.greeted ? "" : `${line(turn, "greeting")}\n\n`;
    person.greeted = true;
    const message = { text: greeting + text, ...(buttons.length > 0 ? { buttons } : {}) };
    tell(turn, person, message, { everywhere: true, ...(until === undefined ? {} : { until }) });
    if (wants.length === 0) continue;
    const talk = talkOf(turn, person.id);
    talk.reading = { wants };
    // A number answers this now, and picks nothing that was on the screen.
    sheetOver(talk);
    delete talk.offered;
  }
  for (const row of rows) {
    if (row.needsReply) askedAnew(turn, row.wants);
    const sent: SentReminder = {
      key: row.key,
      rule: row.rule,
      due: row.due,
      sentAt: turn.now,
      answered: !row.needsReply,
      asked: 1,
      ...(row.needsReply ? { wants: [...row.wants] } : {}),
    };
    turn.hire.sentReminders.push(sent);
    if (row.needsReply && row.wants.includes("oil")) missingBy(turn, sent);
  }
  if (rows.some((row) => row.rule === "welcome")) tellKnownFaults(turn);
  if (rows.length > 0) turn.because.push(`reminded: ${rows.map((row) => row.rule).join(", ")}`);
}

/** What a newer reminder asks for is no longer waited for from an older one, unless staff are to ring about it. */
function askedAnew(turn: Turn, wants: readonly Want[]): void {
  for (const sent of turn.hire.sentReminders) {
    if (sent.answered || !sent.wants || sent.task !== undefined) continue;
    sent.wants = sent.wants.filter((want) => !wants.includes(want));
    sent.answered = sent.wants.length === 0;
    if (!sent.wants.includes("oil"))
      setDue(turn, `reply:${sent.key}`, null, { kind: "reply-missing", key: sent.key }, 0);
  }
}

/** When the van comes back is no longer waited for: it was asked of another return. */
export function arrivalAskedNoMore(turn: Turn): void {
  askedAnew(turn, ["arrival"]);
  for (const talk of Object.values(turn.hire.talks)) {
    const wants = talk.reading?.wants.filter((want) => want !== "arrival") ?? [];
    if (talk.reading && wants.length > 0) talk.reading.wants = wants;
    else delete talk.reading;
  }
}

/** Now, inside the window of the hire's zone; else the window's next start. */
export function windowOpens(turn: Turn): Instant {
  const { zone } = turn.hire.booking;
  const { from, to } = turn.facts.book.reminders.window;
  const clock = clockOf(turn.now, zone);
  if (clock >= from && clock <= to) return turn.now;
  return atWall(addDays(dayOf(turn.now, zone), clock < from ? 0 : 1), from, zone);
}

/** When an oil check that was asked for and not answered is looked at: next morning at the start of the window. */
export function lookedAtBy(turn: Turn, { sentAt, againAt }: SentReminder): Instant {
  const { zone } = turn.hire.booking;
  const asked = dayOf(againAt ?? sentAt, zone);
  return atWall(addDays(asked, 1), turn.facts.book.reminders.window.from, zone);
}

/** Sets the due at which the check is looked at; now, where that time has passed. */
export function missingBy(turn: Turn, sent: SentReminder): void {
  const { key } = sent;
  const at = instantOf(Math.max(lookedAtBy(turn, sent), turn.now));
  setDue(turn, `reply:${key}`, at, { kind: "reply-missing", key }, 0);
}
