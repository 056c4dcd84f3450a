/**
 * The shifts of a time, from the weekly pattern and what differs from it. Pure. Local times are in the
 * firm's zone, so a shift keeps its wall time in a night in which the clocks change.
 */
import {
  addDays,
  atWall,
  dayOf,
  daysBetween,
  type Instant,
  readIso,
  weekdayOf,
} from "../calendar.js";
import type { Exception } from "../knowledge/firm/roster.js";
import type { FirmFile } from "../knowledge/schema.js";

/** Somebody is on duty from one instant up to another. */
export type Shift = { contact: string; from: Instant; to: Instant };
export type Span = { from: Instant; to: Instant };

type Of<K extends Exception["kind"]> = Extract<Exception, { kind: K }>;
const only = <K extends Exception["kind"]>(firm: FirmFile, kind: K): Of<K>[] =>
  firm.roster.exceptions.filter((e): e is Of<K> => e.kind === kind);

/** The instant of a moment in the roster: with an offset itself, else a local time of the firm. */
export const momentOf = (moment: string, zone: string): Instant =>
  /(Z|[+-]\d{2}:\d{2})$/.test(moment)
    ? readIso(moment)
    : atWall(moment.slice(0, 10), moment.slice(11), zone);

/** A shift of a local day as instants; one that ends at or before its start runs into the next day. */
export function shiftOn(
  day: string,
  s: { contact: string; from: string; to: string },
  zone: string,
): Shift {
  const endDay = s.to <= s.from ? addDays(day, 1) : day;
  return { contact: s.contact, from: atWall(day, s.from, zone), to: atWall(endDay, s.to, zone) };
}

/** What is left of shifts without a span. */
const without = (shifts: readonly Shift[], span: Span): Shift[] =>
  shifts
    .flatMap((s) => [
      { ...s, to: Math.min(s.to, span.from) as Instant },
      { ...s, from: Math.max(s.from, span.to) as Instant },
    ])
    .filter((s) => s.from < s.to);

type Away = Span & { contact: string; instead?: string | undefined };

/** Who is really there for somebody at an instant: who stands in, and for them again; undefined: nobody. */
function standsIn(aways: readonly Away[], contact: string, at: Instant): string | undefined {
  const seen = new Set<string>();
  for (let who = contact; !seen.has(who); ) {
    seen.add(who);
    const active = aways.filter((a) => a.contact === who && a.from <= at && at < a.to);
    if (active.length === 0) return who;
    // The latest word on who stands in counts.
    const instead = active.findLast((a) => a.instead !== undefined)?.instead;
    if (instead === undefined) return undefined;
    who = instead;
  }
  return undefined;
}

/** A shift as those do it who are there: cut where somebody goes or comes back. */
function present(shift: Shift, aways: readonly Away[]): Shift[] {
  const cuts = aways
    .flatMap((a) => [a.from, a.to])
    .filter((t) => shift.from < t && t < shift.to)
    .sort((a, b) => a - b);
  const parts: Shift[] = [];
  for (const [i, from] of [shift.from, ...cuts].entries()) {
    const to = cuts[i] ?? shift.to;
    const contact = standsIn(aways, shift.contact, from);
    const last = parts.at(-1);
    if (contact === undefined || from === to) continue;
    if (last?.contact === contact && last.to === from) last.to = to;
    else parts.push({ contact, from, to });
  }
  return parts;
}

/** Who really has a shift of this person that starts on this day. */
function swapped(swaps: readonly Of<"swap">[], contact: string, day: string): string {
  for (const swap of swaps) {
    if (swap.contact === contact && swap.on === day) return swap.with;
    if (swap.with === contact && swap.back === day) return swap.contact;
  }
  return contact;
}

/**
 * All shifts that touch [from, to), by their start. First the pattern and swaps; shifts on one day take
 * the place of the pattern; for whoever is away, whoever stands in.
 */
export function shiftsIn(firm: FirmFile, from: Instant, to: Instant): Shift[] {
  const { zone } = firm;
  // A shift lasts a day at most (25 hours when the clocks go back): one that starts earlier is over.
  const first = addDays(dayOf(from, zone), -1);
  const days = Array.from({ length: daysBetween(first, dayOf(to, zone)) + 1 }, (_, i) =>
    addDays(first, i),
  );
  const swaps = only(firm, "swap");
  const on = (day: string, s: { contact: string; from: string; to: string }) =>
    shiftOn(day, { ...s, contact: swapped(swaps, s.contact, day) }, zone);
  const weekly = days.flatMap((day) =>
    firm.roster.weekly
      .filter((s) => s.days.some((d) => d === weekdayOf(day)))
      .map((s) => on(day, s)),
  );
  const dated = only(firm, "shift").filter((s) => days.includes(s.on));
  const shifts = [
    ...dated.filter((s) => !s.beside).reduce((rest, s) => without(rest, on(s.on, s)), weekly),
    ...dated.map((s) => on(s.on, s)),
  ];
  const aways = only(firm, "away").map(({ contact, instead, ...a }) => ({
    ...{ contact, instead },
    from: momentOf(a.from, zone),
    to: momentOf(a.to, zone),
  }));
  return shifts
    .flatMap((s) => present(s, aways))
    .filter((s) => s.from < s.to && s.from < to && s.to > from)
    .filter((s) => firm.contacts[s.contact]?.kind === "staff")
    .sort((a, b) => a.from - b.from || a.to - b.to);
}
