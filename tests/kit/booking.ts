/** The booking that tests start from: a Curlew, a week from the noon of 3 June 2026, Ann alone on it. */
import { after, readIso } from "../../src/calendar.js";
import type { Booking, HireId } from "../../src/post.js";

export const noon = readIso("2026-06-03T12:00+01:00");
/** The people of a hire, the booker first. */
export const peopleOf = (names: readonly string[], phone?: string): Booking["people"] =>
  names.map((name, i) => ({
    ...{ id: `p${i + 1}`, name, booker: i === 0 },
    ...(phone === undefined ? {} : { phone }),
  }));

/** A booking that differs from it in this. */
export const bookingOf = (more: Partial<Booking> = {}): Booking => ({
  hire: "h1" as HireId,
  van: { registration: "SX26 ABC", type: "curlew" },
  pickupAt: noon,
  returnAt: after(noon, 7 * 24 * 60),
  zone: "Europe/London",
  region: "gb",
  lang: "en",
  people: peopleOf(["Ann"]),
  surname: "Stone",
  status: "booked",
  ...more,
});
