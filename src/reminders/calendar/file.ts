/**
 * The reminders of a hire as an RFC 5545 calendar. Pure: the instant of making comes in as a fact. The one file
 * of this folder with a library of its own, ical-generator, which folds, escapes and orders the lines.
 */
import ical, {
  ICalAlarmType,
  ICalCalendarMethod,
  ICalEventStatus,
  ICalEventTransparency,
} from "ical-generator";
import {
  after,
  clockChanges,
  type Instant,
  instantOf,
  luxonOf,
  offsetMin,
} from "../../calendar.js";
import type { Planned } from "../plan.js";

/**
 * One entry; `cancelled` marks a reminder that was in the calendar and is no longer planned. `sequence` and
 * `changedAt` are its own where it was published before.
 */
export type Entry = Pick<Planned, "uid" | "due" | "title" | "text"> & {
  cancelled?: boolean;
  sequence?: number;
  changedAt?: Instant;
};
export type CalendarFacts = {
  /** Unique to the hire and lasting as long as it: with the row's own uid it makes the UID, which holds no date. */
  id: string;
  /** Shown by calendar programs: "Your Curlew from Strathbeg Campervans". */
  name: string;
  firm: string;
  /** IANA zone of the hire; its data are part of the file. */
  zone: string;
  /** DTSTAMP: when this file is made. */
  stampAt: Instant;
  /** Grows with every change of the hire, so that an event with the same UID is replaced. */
  sequence?: number;
  /** How often a program is asked to look again, in minutes. */
  refreshMin?: number;
};

/** How long an entry lasts in a calendar, in minutes: long enough to be seen, short enough to hide nothing. */
const lastsMin = 15;
/** So many days before the first entry the zone's data begin: the change of half a year ago is among them. */
const lookBackDays = 370;

const two = (n: number): string => String(n).padStart(2, "0");
/** "+0100" for 60 minutes east of UTC. */
const offsetText = (min: number): string =>
  `${min < 0 ? "-" : "+"}${two(Math.floor(Math.abs(min) / 60))}${two(Math.abs(min) % 60)}`;
const compact = (iso: string): string => iso.slice(0, 19).replace(/[-:]/g, "");

/**
 * The zone's data from a year before `from` to `to` as a VTIMEZONE: one part for each change of the clocks that
 * really happens, after one that holds before the first. Daylight is the larger offset, whatever the law calls
 * it (Ireland's standard time is summer time). Source: RFC 5545, 3.6.5: DTSTART by the clock before the change.
 */
function zoneData(zone: string, from: Instant, to: Instant): string {
  const start = instantOf(from - lookBackDays * 86_400_000);
  const first = offsetMin(start, zone);
  let offset = first;
  const parts = clockChanges(start, to, zone).map(({ at, byMin }) => {
    const part = {
      from: offset,
      to: offset + byMin,
      local: compact(new Date(at + offset * 60_000).toISOString()),
    };
    offset += byMin;
    return part;
  });
  const all = [{ from: first, to: first, local: "19700101T000000" }, ...parts];
  const standard = Math.min(...all.map((p) => p.to));
  const lines = all.flatMap((p) => {
    const kind = p.to > standard ? "DAYLIGHT" : "STANDARD";
    return [
      `BEGIN:${kind}`,
      `DTSTART:${p.local}`,
      `TZOFFSETFROM:${offsetText(p.from)}`,
      `TZOFFSETTO:${offsetText(p.to)}`,
      `END:${kind}`,
    ];
  });
  return ["BEGIN:VTIMEZONE", `TZID:${zone}`, ...lines, "END:VTIMEZONE"].join("\r\n");
}

/** Whether the clock of this instant comes twice that day: parsers do not agree on which of the two a local time means. */
const comesTwice = (at: Instant, zone: string): boolean =>
  clockChanges(after(at, -180), after(at, 180), zone).some(
    (back) => at >= after(back.at, back.byMin) && at < after(back.at, -back.byMin),
  );

/**
 * The calendar file of these entries, CRLF and folded. Times stand in the hire's zone, so that they stay at
 * their wall time; one that comes twice when the clocks go back stands in UTC. Every entry rings at its time and blocks none. @throws TIME_WRONG on an unknown zone
 */
export function calendarFile(entries: readonly Entry[], facts: CalendarFacts): string {
  const { zone } = facts;
  const dues = entries.map((e) => e.due);
  const first = instantOf(Math.min(facts.stampAt, ...dues));
  const last = after(instantOf(Math.max(facts.stampAt, ...dues)), 1440);
  const calendar = ical({
    // The library escapes texts, but not a calendar's name.
    name: facts.name.replace(/[\\;,\s]+/g, " "),
    method: ICalCalendarMethod.PUBLISH,
    ttl: facts.refreshMin === undefined ? null : facts.refreshMin * 60,
    prodId: { company: facts.firm, product: "Reminders of a hire", language: "EN" },
    // Named only where no entry is, since the library would then write DTSTAMP in the zone, and it must be UTC.
    timezone: {
      name: dues.length === 0 ? zone : null,
      generator: (name) => zoneData(name, first, last),
    },
  });
  for (const entry of entries) {
    const plain = zone !== "UTC" && !comesTwice(entry.due, zone);
    const where = plain ? zone : "UTC";
    const event = calendar.createEvent({
      id: `${entry.uid}.${facts.id}@passing-place`,
      stamp: luxonOf(entry.changedAt ?? facts.stampAt, "UTC"),
      start: luxonOf(entry.due, where),
      end: luxonOf(after(entry.due, lastsMin), where),
      timezone: plain ? zone : null,
      sequence: entry.sequence ?? facts.sequence ?? 0,
      summary: entry.title,
      description: entry.text.trim(),
      status: entry.cancelled ? ICalEventStatus.CANCELLED : ICalEventStatus.CONFIRMED,
      transparency: ICalEventTransparency.TRANSPARENT,
    });
    if (!entry.cancelled)
      event.createAlarm({ type: ICalAlarmType.display, trigger: 0, description: entry.title });
  }
  const text = calendar.toString();
  return text.endsWith("\r\n") ? text : `${text}\r\n`;
}
