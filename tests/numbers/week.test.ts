/** Numbers against figures worked by hand from a small set of what was stored. */
import { describe, expect, it } from "vitest";
import { atWall, type Instant } from "../../src/calendar.js";
import {
  askedMost,
  type Facts,
  type Message,
  median,
  numbersOf,
  summed,
  weekOf,
} from "../../src/numbers/week.js";
import type { LaneId } from "../../src/post.js";

const zone = "Europe/London";
const at = (day: string, clock: string): Instant => atWall(day, clock, zone);
let n = 0;
const message = (when: Instant, registration: string, because: string, tap?: string): Message => ({
  lane: `hire:${registration}` as LaneId,
  n: ++n,
  at: when,
  person: "p1",
  text: "some words",
  because: because ? [because] : [],
  van: "curlew",
  names: [],
  registration,
  ...(tap ? { tap } : {}),
});

// Week of Monday 1 June 2026 and the one after; 7 June is a Sunday.
const a = "SX26 AAA";
const b = "SX26 BBB";
const facts: Facts = {
  messages: [
    message(at("2026-06-01", "00:00"), a, "answer: jack 0.95"),
    message(at("2026-06-02", "10:00"), a, "choices: gas-on 0.40, kettle 0.30"),
    message(at("2026-06-02", "10:01"), a, "", "e:kettle"),
    message(at("2026-06-03", "10:00"), a, "answer: jack 0.90"),
    message(at("2026-06-03", "10:01"), a, "", "else"),
    message(at("2026-06-04", "10:00"), a, "person: rubbish 0.20"),
    message(at("2026-06-04", "10:05"), a, "courtesy: thanks 0.90"),
    message(at("2026-06-04", "10:06"), a, "reading kept"),
    message(at("2026-06-04", "21:00"), a, "triage: oil-pressure 0.90"),
    message(at("2026-06-07", "23:59"), b, "lacks: heater 0.90"),
    message(at("2026-06-08", "00:00"), b, "choices: jack 0.40"),
  ],
  opened: [
    {
      registration: a,
      severity: "stop",
      openedAt: at("2026-06-04", "21:00"),
      takenAt: at("2026-06-04", "21:04"),
    },
    {
      registration: a,
      severity: "danger",
      openedAt: at("2026-06-05", "09:00"),
      takenAt: at("2026-06-05", "09:01"),
    },
    {
      registration: a,
      severity: "note",
      openedAt: at("2026-06-04", "10:00"),
      takenAt: at("2026-06-04", "12:00"),
    },
    { registration: b, severity: "stop", openedAt: at("2026-06-09", "09:00") },
    {
      registration: b,
      severity: "stop",
      openedAt: at("2026-06-09", "10:00"),
      takenAt: at("2026-06-09", "10:10"),
    },
  ],
  asked: [
    { registration: a, sentAt: at("2026-06-04", "08:00"), answeredAt: at("2026-06-05", "08:00") },
    { registration: a, sentAt: at("2026-06-07", "08:00") },
    { registration: b, sentAt: at("2026-06-08", "08:00"), answeredAt: at("2026-06-08", "08:05") },
  ],
};

describe("numbers by week and van", () => {
  it("are as worked by hand", () => {
    expect(numbersOf(facts, zone)).toEqual([
      // Offered and none taken: not answered. One call-out of two was taken, after ten minutes.
      {
        week: "2026-06-08",
        registration: b,
        messages: 1,
        questions: 1,
        alone: 0,
        callouts: 2,
        grave: [10],
        other: [],
        untaken: 1,
        checks: 1,
        checksDone: 1,
      },
      // Of four questions the first two were answered; thanks, a reading and a light are none.
      {
        week: "2026-06-01",
        registration: a,
        messages: 7,
        questions: 4,
        alone: 2,
        callouts: 3,
        grave: [1, 4],
        other: [120],
        untaken: 0,
        checks: 2,
        checksDone: 1,
      },
      {
        week: "2026-06-01",
        registration: b,
        messages: 1,
        questions: 1,
        alone: 1,
        callouts: 0,
        grave: [],
        other: [],
        untaken: 0,
        checks: 0,
        checksDone: 0,
      },
    ]);
  });
  it("add up over vans and over weeks, and nothing is lost", () => {
    const rows = numbersOf(facts, zone);
    expect(summed(rows, "week").map((r) => [r.week, r.questions, r.alone, r.callouts])).toEqual([
      ["2026-06-08", 1, 0, 2],
      ["2026-06-01", 5, 3, 3],
    ]);
    const vans = summed(rows, "registration");
    expect(vans.map((r) => [r.registration, r.messages, r.grave, r.checksDone])).toEqual([
      [b, 2, [10], 1],
      [a, 7, [1, 4], 1],
    ]);
  });
  it("an entry is asked where it was told first, or chosen", () => {
    expect(askedMost(facts.messages)).toEqual([
      ["jack", 2],
      ["heater", 1],
      ["kettle", 1],
      ["oil-pressure", 1],
    ]);
    expect(askedMost(facts.messages, 1)).toEqual([["jack", 2]]);
  });
  it("a week begins on Monday at midnight in the firm's zone, in summer and winter", () => {
    expect(weekOf(Date.UTC(2026, 5, 7, 22, 59) as Instant, zone)).toBe("2026-06-01");
    expect(weekOf(Date.UTC(2026, 5, 7, 23, 0) as Instant, zone)).toBe("2026-06-08");
    expect(weekOf(Date.UTC(2026, 11, 6, 23, 59) as Instant, zone)).toBe("2026-11-30");
  });
  it("the median is the middle one, or the mean of the two in the middle", () => {
    expect([median([]), median([3]), median([1, 4]), median([1, 4, 100])]).toEqual([
      undefined,
      3,
      2.5,
      4,
    ]);
  });
});
