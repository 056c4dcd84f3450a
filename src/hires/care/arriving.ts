/** When hirers say that they bring the van back: kept for the board, and told where others have to wait. Pure. */
import { after, atWall, dayOf, type Instant, instantOf } from "../../calendar.js";
import type { ArrivalTime } from "../../reminders/arrival.js";
import { callOrder } from "../../triage/order.js";
import type { Person } from "../hire.js";
import { clock, line, type Turn, tellContact } from "../turn.js";

/** The instant that is meant: a clock is of the day of the return, or of today where that has passed. */
function instantOfArrival(turn: Turn, time: ArrivalTime): Instant {
  const { returnAt, zone } = turn.hire.booking;
  const then = turn.arrival.writtenAt ?? turn.now;
  if ("clock" in time)
    return atWall(dayOf(instantOf(Math.max(then, returnAt)), zone), time.clock, zone);
  if ("inMin" in time) return after(then, time.inMin);
  if ("lateMin" in time) return after(returnAt, time.lateMin);
  return "onTime" in time ? returnAt : then;
}

/** Keeps it. Whoever is on duty is told where the van is said to be back, or to come later than agreed. */
export function arriving(turn: Turn, person: Person, time: ArrivalTime): void {
  const { booking } = turn.hire;
  const isBack = "back" in time;
  const at = instantOfArrival(turn, time);
  turn.hire.arrival = { at, ...(isBack ? { isBack } : {}) };
  const [duty] = callOrder(turn.facts.book.firm, "person", turn.now);
  if (duty === undefined || (!isBack && at <= booking.returnAt)) return;
  const words = {
    ...{ name: person.name, surname: booking.surname, registration: booking.van.registration },
    ...{ time: clock(turn, at), agreed: clock(turn, booking.returnAt) },
  };
  tellContact(turn, duty, { text: line(turn, isBack ? "says-back" : "says-late", words) });
  turn.because.push(`told ${duty} when the van comes back`);
}
