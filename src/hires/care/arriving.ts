/** When hirers say that they bring the van back: kept for the board, and told where others have to wait. Pure. */
import {
  addDays,
  after,
  atWall,
  clockOf,
  dayOf,
  type Instant,
  instantOf,
  weekdayOf,
} from "../../calendar.js";
import type { ArrivalTime } from "../../reminders/arrival.js";
import { callOrder } from "../../triage/order.js";
import type { Person } from "../hire.js";
import { clock, line, staffClock, type Turn, tell, tellContact } from "../turn.js";

/** The day that is named, from the day on on which it was written. */
function dayNamed(named: string, today: string): string {
  if (named === "today") return today;
  if (named === "tomorrow") return addDays(today, 1);
  const week = [0, 1, 2, 3, 4, 5, 6].map((days) => addDays(today, days));
  return week.find((day) => weekdayOf(day) === named) ?? today;
}

/** An hour before noon that passed an hour ago and more, when the evening's is still to come: "by 8" at 16:30. */
const ofEvening = (at: Instant, then: Instant, hour: number): Instant =>
  hour < 12 && at <= after(then, -60) && after(at, 12 * 60) >= then ? after(at, 12 * 60) : at;

/**
 * The instant that is meant: a clock is of the day that is named; else of the day of the return, or of today where
 * that has passed; and of tomorrow where, after the return, it was an hour ago and more. Before the return, or of
 * today, such an hour is of the evening.
 */
function instantOfArrival(turn: Turn, time: ArrivalTime): Instant {
  const { returnAt, zone } = turn.hire.booking;
  const then = turn.arrival.writtenAt ?? turn.now;
  if ("clock" in time) {
    const hour = Number(time.clock.slice(0, 2));
    if (time.day)
      return ofEvening(atWall(dayNamed(time.day, dayOf(then, zone)), time.clock, zone), then, hour);
    const day = dayOf(instantOf(Math.max(then, returnAt)), zone);
    const at = atWall(day, time.clock, zone);
    const isOver = then > returnAt && at <= after(then, -60);
    return isOver ? atWall(addDays(day, 1), time.clock, zone) : ofEvening(at, then, hour);
  }
  if ("inMin" in time) return after(then, time.inMin);
  if ("lateMin" in time) return after(returnAt, time.lateMin);
  return "onTime" in time ? returnAt : then;
}

/** What is said, with the hour that it is taken for. */
export function takenFor(turn: Turn, time: ArrivalTime): ArrivalTime {
  if (!("clock" in time)) return time;
  return { ...time, clock: clockOf(instantOfArrival(turn, time), turn.hire.booking.zone) };
}

/** A time for staff, with the hirers' clock where that shows another. */
function onBothClocks(turn: Turn, at: Instant): string {
  const [ours, theirs] = [staffClock(turn, at), clock(turn, at)];
  return ours === theirs ? ours : `${ours} (${theirs} in ${turn.hire.booking.zone})`;
}

/**
 * Keeps it, and says so where another hour is meant than was said. Whoever is on duty is told where the van is said
 * to be back, or to come later than agreed, and how that was written. `said`: as it was.
 */
export function arriving(turn: Turn, person: Person, time: ArrivalTime, said: string): void {
  const { booking } = turn.hire;
  const isBack = "back" in time;
  const at = instantOfArrival(turn, time);
  turn.hire.arrival = { at, ...(isBack ? { isBack } : {}) };
  const taken = clock(turn, at);
  if ("clock" in time && !taken.endsWith(time.clock))
    tell(turn, person, { text: line(turn, "arrival-taken", { time: taken }) });
  const [duty] = callOrder(turn.facts.book.firm, "person", turn.now);
  if (duty === undefined || (!isBack && at <= booking.returnAt)) return;
  const words = {
    ...{ name: person.name, surname: booking.surname, registration: booking.van.registration },
    ...{ time: onBothClocks(turn, at), agreed: staffClock(turn, booking.returnAt), words: said },
  };
  tellContact(turn, duty, { text: line(turn, isBack ? "says-back" : "says-late", words) });
  turn.because.push(`told ${duty} when the van comes back`);
}
