/** The roster of the coming time: who is on when, where nobody is, where several are. Pure. */
import { addDays, atWall, clockChanges, dayOf, type Instant } from "../calendar.js";
import type { FirmFile } from "../knowledge/schema.js";
import { momentOf, type Span, shiftsIn } from "./shifts.js";

/** A time in which the same contacts are on; nobody: a gap. */
export type Stretch = Span & { contacts: string[] };

/** [from, to) without a hole, as stretches in order; neighbours differ. */
export function stretches(firm: FirmFile, from: Instant, to: Instant): Stretch[] {
  const shifts = shiftsIn(firm, from, to);
  const cuts = [from, ...shifts.flatMap((s) => [s.from, s.to]), to]
    .filter((t) => from <= t && t <= to)
    .sort((a, b) => a - b);
  const found: Stretch[] = [];
  for (const [i, start] of cuts.entries()) {
    const end = cuts[i + 1];
    if (end === undefined || end === start) continue;
    const contacts = [
      ...new Set(shifts.filter((s) => s.from <= start && start < s.to).map((s) => s.contact)),
    ];
    const last = found.at(-1);
    if (last && last.contacts.join() === contacts.join()) last.to = end;
    else found.push({ from: start, to: end, contacts });
  }
  return found;
}

/** One local day: who is on in it, and by how many minutes the clocks change (0: not at all). */
export type DutyDay = { day: string; parts: Stretch[]; clocksByMin: number };

/** So many local days from the day of an instant. */
export function dutyDays(firm: FirmFile, at: Instant, count: number): DutyDay[] {
  const { zone } = firm;
  return Array.from({ length: count }, (_, i) => {
    const day = addDays(dayOf(at, zone), i);
    const from = atWall(day, "00:00", zone);
    const to = atWall(addDays(day, 1), "00:00", zone);
    const clocksByMin = clockChanges(from, to, zone).reduce((sum, c) => sum + c.byMin, 0);
    return { day, parts: stretches(firm, from, to), clocksByMin };
  });
}

/** Times of nobody, and of several, from now on: four weeks, and as long as exceptions reach, a year at most. */
export function faultsOf(firm: FirmFile, now: Instant): { gaps: Span[]; overlaps: Stretch[] } {
  const { zone } = firm;
  const today = dayOf(now, zone);
  const ends = firm.roster.exceptions.map((e) =>
    e.kind === "away"
      ? dayOf(momentOf(e.to, zone), zone)
      : e.kind === "swap" && e.back && e.back > e.on
        ? e.back
        : e.on,
  );
  const [last = today] = [addDays(today, 28), ...ends].sort().reverse();
  const [end = today] = [last, addDays(today, 366)].sort();
  const until = atWall(addDays(end, 2), "00:00", zone);
  const all = stretches(firm, now, until);
  return {
    gaps: all.filter((s) => s.contacts.length === 0),
    overlaps: all.filter((s) => s.contacts.length > 1),
  };
}
