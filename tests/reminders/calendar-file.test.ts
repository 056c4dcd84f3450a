import fc from "fast-check";
import ICAL from "ical.js";
import ical from "node-ical";
import { describe, expect, it } from "vitest";
import { instantOf, after as later, readLocal } from "../../src/calendar.js";
import { readBook } from "../../src/knowledge/read.js";
import { type CalendarFacts, calendarFile, type Entry } from "../../src/reminders/calendar/file.js";
import { plan } from "../../src/reminders/plan.js";

const { book } = readBook();
const stampAt = instantOf(Date.parse("2026-01-02T03:04:05Z"));
const facts = (zone: string, more: Partial<CalendarFacts> = {}): CalendarFacts => ({
  id: "kestrel",
  name: "Your Curlew from Strathbeg Campervans",
  firm: "Strathbeg Campervans",
  zone,
  stampAt,
  ...more,
});

function rowsOf(pickup: string, back: string, zone: string): Entry[] {
  const van = book.vans.get("curlew");
  if (!van) throw new Error("no curlew");
  return plan(
    { pickupAt: readLocal(pickup, zone), returnAt: readLocal(back, zone), zone },
    van,
    book.reminders,
  );
}

type Seen = {
  uid: string;
  start: number;
  end: number;
  title: string;
  text: string;
  status: string;
};
/** What the first parser reads, with the zone data of the file alone. */
function first(text: string): Seen[] {
  ICAL.TimezoneService.reset();
  const calendar = new ICAL.Component(ICAL.parse(text));
  for (const zone of calendar.getAllSubcomponents("vtimezone")) ICAL.TimezoneService.register(zone);
  return calendar.getAllSubcomponents("vevent").map((component) => {
    const event = new ICAL.Event(component);
    return {
      uid: event.uid,
      start: event.startDate.toUnixTime() * 1000,
      end: event.endDate.toUnixTime() * 1000,
      title: event.summary,
      text: event.description,
      status: String(component.getFirstPropertyValue("status")),
    };
  });
}
/** What the second parser reads. */
function second(text: string): Seen[] {
  return Object.values(ical.sync.parseICS(text)).flatMap((part) =>
    part?.type === "VEVENT"
      ? [
          {
            uid: part.uid,
            start: part.start.getTime(),
            end: part.end?.getTime() ?? 0,
            title: String(part.summary),
            text: String(part.description),
            status: String(part.status),
          },
        ]
      : [],
  );
}
const expected = (rows: readonly Entry[], zoneFacts: CalendarFacts): Seen[] =>
  rows.map((row) => ({
    uid: `${row.uid}.${zoneFacts.id}@passing-place`,
    start: row.due,
    end: row.due + 15 * 60_000,
    title: row.title,
    text: row.text.trim(),
    status: row.cancelled ? "CANCELLED" : "CONFIRMED",
  }));
const byStart = (a: Seen, b: Seen): number => a.start - b.start || (a.uid < b.uid ? -1 : 1);

describe("the calendar file", () => {
  const spans: [string, string, string][] = [
    ["2026-10-20T15:00", "2026-11-05T10:00", "Europe/London"],
    ["2027-03-26T10:00", "2027-03-30T10:00", "Europe/Dublin"],
    ["2026-10-30T18:00", "2026-11-05T08:00", "America/New_York"],
    ["2026-06-01T10:00", "2026-06-09T10:00", "Asia/Kolkata"],
    ["2026-10-01T10:00", "2026-10-09T10:00", "Australia/Lord_Howe"],
    ["2026-06-01T10:00", "2026-06-09T10:00", "UTC"],
  ];
  for (const [pickup, back, zone] of spans)
    it(`says the same to two parsers in ${zone}`, () => {
      const rows = rowsOf(pickup, back, zone);
      const text = calendarFile(rows, facts(zone));
      const wanted = expected(rows, facts(zone)).sort(byStart);
      expect(first(text).sort(byStart)).toEqual(wanted);
      expect(second(text).sort(byStart)).toEqual(wanted);
    });

  it("holds what RFC 5545 asks for", () => {
    const text = calendarFile(
      rowsOf("2026-10-20T15:00", "2026-11-05T10:00", "Europe/London"),
      facts("Europe/London"),
    );
    // 3.1: lines end with CRLF and are at most 75 octets long without it.
    expect(text.endsWith("\r\n")).toBe(true);
    expect(text.replaceAll("\r\n", "")).not.toMatch(/[\r\n]/);
    for (const line of text.split("\r\n"))
      expect(Buffer.byteLength(line), line).toBeLessThanOrEqual(75);
    // 3.6: PRODID and VERSION once; 3.6.1: UID and DTSTAMP once an event; 3.8.7.2: DTSTAMP in UTC.
    for (const once of [/^PRODID:/gm, /^VERSION:2\.0/gm, /^BEGIN:VTIMEZONE/gm])
      expect(text.match(once)).toHaveLength(1);
    const events = text.match(/^BEGIN:VEVENT/gm)?.length;
    expect(text.match(/^UID:/gm)).toHaveLength(events ?? 0);
    expect(text.match(/^DTSTAMP:20260102T030405Z\r$/gm)).toHaveLength(events ?? 0);
    expect(text.match(/^DTSTART;TZID=Europe\/London:/gm)).toHaveLength(events ?? 0);
  });

  it("gives an event the same UID when the return moves, and no UID holds a date", () => {
    const uids = (back: string): string[] =>
      first(
        calendarFile(rowsOf("2026-10-20T15:00", back, "Europe/London"), facts("Europe/London")),
      ).map((e) => e.uid);
    const [short, long] = [uids("2026-11-05T10:00"), uids("2026-11-07T12:00")];
    expect(short.filter((uid) => !long.includes(uid))).toEqual([]);
    expect(new Set(short).size).toBe(short.length);
    for (const uid of long) expect(uid).not.toMatch(/20\d\d|\d{4}/);
  });

  it("marks a cancelled reminder, without an alarm, and counts changes up", () => {
    const [row] = rowsOf("2026-06-01T10:00", "2026-06-09T10:00", "Europe/London");
    if (!row) throw new Error("no row");
    const text = calendarFile(
      [{ ...row, cancelled: true }],
      facts("Europe/London", { sequence: 4 }),
    );
    expect(text).toMatch(/STATUS:CANCELLED/);
    expect(text).toMatch(/^SEQUENCE:4\r$/m);
    expect(text).not.toMatch(/BEGIN:VALARM/);
    expect(calendarFile([row], facts("Europe/London"))).toMatch(/BEGIN:VALARM/);
  });

  it("keeps the instant of a clock time that comes twice", () => {
    const twice = ["2026-10-25T00:30Z", "2026-10-25T01:30Z"].map((t, i) => ({
      uid: `late-${i}`,
      due: instantOf(Date.parse(t)),
      title: "t",
      text: "x",
    }));
    const text = calendarFile(twice, facts("Europe/London"));
    expect(first(text).map((e) => e.start)).toEqual(twice.map((e) => e.due));
    expect(second(text).map((e) => e.start)).toEqual(twice.map((e) => e.due));
  });

  it("of a hire without reminders is a calendar all the same", () => {
    const text = calendarFile([], facts("Europe/London"));
    expect(first(text)).toEqual([]);
    expect(text).toMatch(/BEGIN:VTIMEZONE/);
  });

  it("carries any text through folding and escaping, and any name", () => {
    fc.assert(
      fc.property(
        fc.string({ unit: "grapheme", maxLength: 200 }),
        fc.string({ unit: "grapheme", minLength: 1, maxLength: 60 }),
        (raw, name) => {
          // Control characters are not allowed in iCalendar text (RFC 5545, 3.1); line ends and blanks at the ends are trimmed.
          const clean = (t: string): string => t.replace(/\p{Cc}/gu, " ").trim();
          const said = `${clean(raw)}; one, two\\three\nfour "five" ü€😀`.trim();
          const entry = {
            uid: "u",
            due: instantOf(Date.parse("2026-06-01T10:00Z")),
            title: `${clean(raw)} title`.trim(),
            text: said,
          };
          const text = calendarFile([entry], facts("Europe/London", { name: clean(name) || "x" }));
          for (const line of text.split("\r\n"))
            expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
          const [seen] = first(text);
          expect(seen?.text).toBe(said);
          expect(seen?.title).toBe(entry.title);
        },
      ),
      { numRuns: 200 },
    );
  });

  it("of a later instant differs in its stamp alone", () => {
    const rows = rowsOf("2026-06-01T10:00", "2026-06-09T10:00", "Europe/London");
    const [a, b] = [
      calendarFile(rows, facts("Europe/London")),
      calendarFile(rows, facts("Europe/London", { stampAt: later(stampAt, 60) })),
    ];
    expect(a.replaceAll(/^DTSTAMP:.*$/gm, "")).toBe(b.replaceAll(/^DTSTAMP:.*$/gm, ""));
  });
});
