/** Which reminders go out together and when: window, merging, at most so many a day. Pure. */
import { type Almanac, type Instant, minuteMs, minutesOf } from "../calendar.js";
import type { RemindersFile } from "../knowledge/schema.js";

/** A row to be sent. `alone`: never joined with others, since it means something only after the return. */
type ToSend = { due: Instant; alone: boolean; helpsUntil: Instant };
type Timed<T> = { row: T; at: Instant };
type Group<T> = { at: Instant; alone: boolean; rows: T[] };

/** The first instant at or after `at` that is inside the window. */
function intoWindow(at: Instant, almanac: Almanac, file: RemindersFile): Instant {
  const from = minutesOf(file.window.from);
  const minute = Math.floor(almanac.minuteOf(at));
  const day = almanac.dayNumber(at);
  if (minute < from) return almanac.at(day, from);
  return minute > minutesOf(file.window.to) ? almanac.at(day + 1, from) : at;
}

/** So late who wakes for a due may be, in minutes, and still send it at once, also just past the window's end. */
const lagMin = 10;

/** When a row may go out: at its due or, where that has passed, now, both moved into the window. */
function sendFrom(due: Instant, now: Instant | undefined, almanac: Almanac, file: RemindersFile) {
  const at = intoWindow(due, almanac, file);
  if (now === undefined || now <= at) return at;
  return now - at <= lagMin * minuteMs ? now : intoWindow(now, almanac, file);
}

/** One day's rows in order of time, each joined to the first within `minutes` before it. */
function join<T extends ToSend>(rows: readonly Timed<T>[], minutes: number): Group<T>[] {
  const groups: Group<T>[] = [];
  let open: Group<T> | undefined;
  for (const { row, at } of [...rows].sort((a, b) => a.at - b.at)) {
    if (open && !row.alone && at - open.at <= minutes * minuteMs) {
      open.rows.push(row);
      continue;
    }
    const group = { at, alone: row.alone, rows: [row] };
    groups.push(group);
    if (!row.alone) open = group;
  }
  return groups;
}

/** Joins the two neighbours that lie closest together; the earlier time counts. False when nothing can be joined. */
function joinClosest<T>(groups: Group<T>[]): boolean {
  const open = groups.filter((g) => !g.alone);
  let best: [Group<T>, Group<T>] | undefined;
  for (const [i, g] of open.entries()) {
    const next = open[i + 1];
    if (next && (!best || next.at - g.at < best[1].at - best[0].at)) best = [g, next];
  }
  if (!best) return false;
  best[0].rows.push(...best[1].rows);
  groups.splice(groups.indexOf(best[1]), 1);
  return true;
}

/**
 * Gives each row its instant of sending: its due, or `now` where that has passed, moved forward into the
 * window; rows within `mergeWithinMin` of the first of them go with it; no local day gets more than
 * `maxPerDay` messages, counting those already sent (`sentAt`): above that the two that lie closest together
 * become one, and what still does not fit waits for the next morning. With `now`, rows that would go out when
 * they no longer help are left out. Planning again after some were sent gives the others the same instants.
 */
export function arrange<T extends ToSend>(
  rows: readonly T[],
  facts: { almanac: Almanac; file: RemindersFile; sentAt: readonly Instant[]; now?: Instant },
): (T & { sendAt: Instant })[] {
  const { almanac, file, now } = facts;
  const sentOn = new Map<number, number>();
  for (const at of new Set(facts.sentAt))
    sentOn.set(almanac.dayNumber(at), (sentOn.get(almanac.dayNumber(at)) ?? 0) + 1);
  const byDay = new Map<number, Timed<T>[]>();
  const put = (row: T, at: Instant): void => {
    if (now !== undefined && at > row.helpsUntil) return;
    const day = almanac.dayNumber(at);
    const known = byDay.get(day);
    if (known) known.push({ row, at });
    else byDay.set(day, [{ row, at }]);
  };
  for (const row of rows) put(row, sendFrom(row.due, now, almanac, file));

  const sent: (T & { sendAt: Instant })[] = [];
  while (byDay.size > 0) {
    const day = Math.min(...byDay.keys());
    const groups = join(byDay.get(day) ?? [], file.mergeWithinMin);
    byDay.delete(day);
    const room = Math.max(0, file.maxPerDay - (sentOn.get(day) ?? 0));
    while (groups.length > room && joinClosest(groups));
    for (const group of groups.slice(0, room))
      for (const row of group.rows) sent.push({ ...row, sendAt: group.at });
    const morning = almanac.at(day + 1, minutesOf(file.window.from));
    for (const group of groups.slice(room)) for (const row of group.rows) put(row, morning);
  }
  return sent;
}
