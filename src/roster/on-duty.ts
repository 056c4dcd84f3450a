/** Who answers at this instant. Pure. Local times are in the firm's zone, so a shift keeps its wall time. */
import { addDays, atWall, dayOf, type Instant, weekdayOf } from "../calendar.js";
import type { FirmFile } from "../knowledge/schema.js";

type Shift = { contact: string; from: Instant; to: Instant };

/** A shift of a local day as instants; one that ends at or before its start runs into the next day. */
function shiftOn(
  day: string,
  s: { contact: string; from: string; to: string },
  zone: string,
): Shift {
  const endDay = s.to <= s.from ? addDays(day, 1) : day;
  return { contact: s.contact, from: atWall(day, s.from, zone), to: atWall(endDay, s.to, zone) };
}

/**
 * The contacts on duty at an instant: an exception's before the weekly pattern's; where the roster has a
 * gap, its fallback, with `gap: true`.
 */
export function whoIsOn(firm: FirmFile, at: Instant): { contacts: string[]; gap: boolean } {
  const today = dayOf(at, firm.zone);
  const days = [addDays(today, -1), today];
  const on = (shifts: Shift[]) => [
    ...new Set(shifts.filter((s) => s.from <= at && at < s.to).map((s) => s.contact)),
  ];
  const exceptions = on(
    firm.roster.exceptions
      .filter((e) => days.includes(e.on))
      .map((e) => shiftOn(e.on, e, firm.zone)),
  );
  if (exceptions.length > 0) return { contacts: exceptions, gap: false };
  const weekly = on(
    days.flatMap((day) =>
      firm.roster.weekly
        .filter((s) => s.days.some((d) => d === weekdayOf(day)))
        .map((s) => shiftOn(day, s, firm.zone)),
    ),
  );
  return weekly.length > 0
    ? { contacts: weekly, gap: false }
    : { contacts: [firm.roster.fallback], gap: true };
}
