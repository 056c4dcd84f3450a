/**
 * Reminders, replies and what follows them, through the real step: hires of every length on both sides of clock
 * changes, in several zones, moved, swapped, cancelled, answered in part, late or never, with the service asleep for
 * hours and every arrival coming twice. RUNS sets how many.
 */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  addDays,
  after,
  atWall,
  clockOf,
  dayOf,
  type Instant,
  instantOf,
  minuteMs,
} from "../../src/calendar.js";
import { isTask } from "../../src/callouts/steps.js";
import { plannedOf } from "../../src/hires/care/planned.js";
import { roadIsOver } from "../../src/hires/care/tasks.js";
import type { SentReminder } from "../../src/hires/hire.js";
import type { Want } from "../../src/knowledge/schema.js";
import type { Booking } from "../../src/post.js";
import { wordsFor } from "../../src/reminders/plan.js";
import { bookingOf, peopleOf } from "../kit/booking.js";
import { book, hireWith, type Play } from "../kit/hire.js";

// Each run is a whole hire through the step, a tenth of a second: a tenth of RUNS, 300 at most.
const numRuns = Math.min(300, Number(process.env["RUNS"] ?? 1000) / 10);
const { reminders } = book;
const { window, rules, maxPerDay } = reminders;
const vans = [...book.vans.keys()];

/** Half of the hires begin or end within three days of a change of the clocks. */
const changes = ["2026-03-29T01:00Z", "2026-10-25T01:00Z"].map((t) => Date.parse(t) / minuteMs);
const first = Date.parse("2026-01-05T00:00Z") / minuteMs;
const pickup = fc.oneof(
  fc.integer({ min: first, max: first + 365 * 1440 }),
  fc
    .tuple(fc.constantFrom(...changes), fc.integer({ min: -4320, max: 4320 }))
    .map(([change, by]) => change + by),
);
const bookings: fc.Arbitrary<Booking> = fc
  .record({
    pickup,
    length: fc.oneof(
      fc.integer({ min: 30, max: 3 * 1440 }),
      fc.integer({ min: 30, max: 40 * 1440 }),
    ),
    zone: fc.constantFrom("Europe/London", "Europe/London", "Europe/Dublin", "America/New_York"),
    type: fc.constantFrom(...vans),
  })
  .map(({ pickup: from, length, zone, type }) =>
    bookingOf({
      van: { registration: "SX26 ABC", type },
      pickupAt: instantOf(from * minuteMs),
      returnAt: instantOf((from + length) * minuteMs),
      zone,
      people: peopleOf(["Ann", "Ben"], "07700 900500"),
    }),
  );

const person = fc.constantFrom("p1", "p2");
const move = fc.oneof(
  { weight: 24, arbitrary: fc.record({ kind: fc.constant("due" as const) }) },
  {
    weight: 8,
    arbitrary: fc.record({
      kind: fc.constant("taps" as const),
      tap: fc.constantFrom<string>(
        "r:oil=between",
        "r:tyres=ok",
        "r:coolant=ok",
        "r:fluid=half",
        "r:safety=read",
      ),
      person,
    }),
  },
  {
    weight: 4,
    arbitrary: fc.record({
      kind: fc.constant("says" as const),
      text: fc.constantFrom(
        "done",
        "between the marks",
        "tyres ok",
        "ok",
        "how do I make the bed",
        "10:30",
      ),
      person,
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant("reads" as const),
      km: fc.integer({ min: 1, max: 900 }),
    }),
  },
  { weight: 4, arbitrary: fc.record({ kind: fc.constant("again" as const) }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant("restart" as const) }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant("same" as const) }) },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant("moves" as const),
      min: fc.integer({ min: -4320, max: 7200 }),
    }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant("swap" as const) }) },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant("sleeps" as const),
      min: fc.integer({ min: 1, max: 2000 }),
    }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant("rings" as const) }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant("cancels" as const) }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant("back" as const) }) },
);
type Move = typeof move extends fc.Arbitrary<infer M> ? M : never;

/** A reply to each question that has a button. */
const good: Partial<Record<Want, string>> = {
  oil: "between",
  tyres: "ok",
  coolant: "ok",
  fluid: "half",
  safety: "read",
  arrival: "on-time",
};
const wordsOf = (rule: string, { van }: Booking) =>
  wordsFor(rules[rule] ?? expect.fail(`no rule ${rule}`), book.vans.get(van.type)?.has ?? []);

/** Begins the day before pick-up. */
const begun = (booking: Booking): Play =>
  hireWith(booking.van.type, {
    at: new Date(booking.pickupAt - 1440 * minuteMs).toISOString(),
    people: booking.people.map((p) => p.name),
  }).arrives({ kind: "booked", booking });

function make(play: Play, m: Move): void {
  const { booking, readings, callouts } = play.hire();
  const booked = (more: Partial<Booking>) =>
    void play.arrives({ kind: "booked", booking: { ...booking, ...more } });
  switch (m.kind) {
    case "due":
      return void play.nextDue();
    case "taps":
      return void play.taps(m.tap, m.person);
    case "says":
      return void play.says(m.text, { person: m.person });
    case "reads": {
      const last = readings.findLast((r) => r.odometerKm !== undefined)?.odometerKm ?? 50_000;
      return void play.says(`${Math.round(last + m.km)} km`);
    }
    case "again":
      return void play.again();
    case "restart":
      return void play.restart();
    case "same":
      return booked({});
    case "moves": {
      const returnAt = after(booking.returnAt, m.min);
      return returnAt > Math.max(booking.pickupAt, play.at) ? booked({ returnAt }) : undefined;
    }
    case "swap": {
      const type = booking.van.type === "curlew" ? "wren" : "curlew";
      return booked({ van: { registration: `SX26 ${type.slice(0, 3).toUpperCase()}`, type } });
    }
    case "sleeps":
      return void play.pass(m.min);
    case "rings": {
      const task = callouts.find((c) => isTask(c) && c.state !== "done");
      if (task) play.staff("morag", { do: "done", callout: task.n, outcome: "other" });
      return;
    }
    case "cancels":
      return booked({ status: booking.status === "booked" ? "cancelled" : "booked" });
    case "back":
      return void play.staff("morag", {
        do: "return-record",
        reading: { at: play.at, by: "Morag" },
      });
  }
}

/** What was sent or asked once more in this step. */
const went = (play: Play, before: readonly SentReminder[]) =>
  play
    .hire()
    .sentReminders.filter(
      (s) => !before.some((was) => was.key === s.key && was.againAt === s.againAt),
    );

/** Each rule and occurrence once, and by its own wall time. */
function isOnce(play: Play): void {
  const { sentReminders: sent, booking } = play.hire();
  const keys = sent.map((s) => s.key);
  expect(new Set(keys).size, `twice: ${keys.join(", ")}`).toBe(keys.length);
  expect(new Set(sent.map((s) => `${s.rule} ${s.due}`)).size).toBe(sent.length);
  for (const s of sent) {
    const when = rules[s.rule]?.when;
    if (when?.kind === "day" || when?.kind === "evening-before-clock-change")
      expect(clockOf(s.due, booking.zone), s.rule).toBe(when.at);
  }
}

/** One message to the booker, inside the window, from pick-up on, of a hire that is on, not too many a day. */
function isRight(play: Play, before: readonly SentReminder[]): void {
  const now = went(play, before);
  if (now.length === 0) return;
  const { booking, sentReminders, returnRecordAt } = play.hire();
  const { zone } = booking;
  const clock = clockOf(play.at, zone);
  expect(clock >= window.from && clock <= window.to, `${now[0]?.rule} at ${clock}`).toBe(true);
  expect(play.at).toBeGreaterThanOrEqual(booking.pickupAt);
  expect(booking.status).toBe("booked");
  if (returnRecordAt !== undefined && play.at > returnRecordAt)
    expect(now.map((s) => s.rule)).toEqual(["after"]);
  const told = play.sends.filter((s) => s.person !== undefined);
  for (const { rule, againAt } of now) {
    const { title, text } = wordsOf(rule, booking);
    const opening = (againAt === undefined ? title : text).split(/[\n{]/)[0] ?? "";
    const message = told.filter((s) => s.message.text.includes(opening));
    // While the booker reads nowhere, whoever does is told as well, once.
    const { people } = play.hire();
    const reads = (id: string) => (people.find((p) => p.id === id)?.reached.length ?? 0) > 0;
    const reader = reads("p1") ? undefined : people.find((p) => reads(p.id))?.id;
    expect(
      message.map((s) => s.person),
      `${rule} in ${told.length} messages`,
    ).toEqual(reader ? [reader, "p1"] : ["p1"]);
  }
  for (const s of told) expect(s.message.text).not.toMatch(/undefined|\{[a-z]+[.}]/);
  const day = dayOf(play.at, zone);
  const messages = sentReminders
    .flatMap((s) => [s.sentAt, ...(s.againAt === undefined ? [] : [s.againAt])])
    .filter((at) => dayOf(at, zone) === day);
  expect(new Set(messages).size, day).toBeLessThanOrEqual(maxPerDay);
}

/** The next reminder of the plan has its due: nothing is lost. */
function isPlanned(play: Play): void {
  const next = Math.min(...plannedOf(play.hire(), book, play.at).map((row) => row.sendAt));
  if (!Number.isFinite(next)) return;
  const due = play.dues().find((d) => d.key === "reminders");
  expect(due, `nothing is due, and the next is at ${new Date(next).toISOString()}`).toBeDefined();
  expect(due?.at ?? 0).toBeLessThanOrEqual(Math.max(next, play.at));
}

const nextMorning = (at: Instant, zone: string) =>
  atWall(addDays(dayOf(at, zone), 1), window.from, zone);

/** An oil check without an answer: looked at next morning, asked once more, then a task with a name. */
function isFollowed(play: Play): void {
  const hire = play.hire();
  const tasks = hire.callouts.filter((c) => isTask(c) && c.state !== "done");
  expect(tasks.length).toBeLessThanOrEqual(1);
  for (const task of tasks) expect(task.with, "a task without a name").toBeDefined();
  for (const s of hire.sentReminders) {
    if (s.wants?.length === 0) expect(s.answered, s.key).toBe(true);
    expect(s.asked).toBeLessThanOrEqual(2);
    const due = play.dues().find((d) => d.key === `reply:${s.key}`);
    if (s.answered || !s.wants?.includes("oil")) {
      expect(due, `${s.key} is answered and still waited for`).toBeUndefined();
      expect(
        tasks.map((t) => t.n),
        `a call about ${s.key}, which is answered`,
      ).not.toContain(s.task);
      continue;
    }
    if (roadIsOver(hire, play.at)) continue;
    const morning = nextMorning(s.againAt ?? s.sentAt, hire.booking.zone);
    // Where the service slept, or the hire was off, at that time: as soon as it can be.
    if (due) expect(due.at === morning || (due.at > morning && play.at >= morning)).toBe(true);
    else
      expect(
        tasks.map((t) => t.n),
        `nobody waits for ${s.key}`,
      ).toContain(s.task);
  }
}

/** One move, and all that holds after it. */
function played(play: Play, m: Move): void {
  const { sentReminders: before } = structuredClone(play.hire());
  const due = play.dues().find((d) => d.key === "reminders")?.at;
  make(play, m);
  isOnce(play);
  isRight(play, before);
  isPlanned(play);
  isFollowed(play);
  if (["again", "same", "restart"].includes(m.kind)) {
    expect(went(play, before), `${m.kind} sent something`).toEqual([]);
    if (m.kind === "same" && due !== undefined && due > play.at)
      expect(play.dues().find((d) => d.key === "reminders")?.at, "the plan moved").toBe(due);
  }
}

describe("the reminders of a hire, whatever happens to it", () => {
  it("go out once, in the window, from pick-up on, at most three a day, by their wall time; each oil check is followed up", () => {
    fc.assert(
      fc.property(bookings, fc.array(move, { minLength: 20, maxLength: 80 }), (booking, moves) => {
        const play = begun(booking);
        for (const m of moves) played(play, m);
      }),
      { numRuns },
    );
  }, 600_000);

  it("of hirers who answer at once are those of the plan, each at its time, and nobody is to ring", () => {
    fc.assert(
      fc.property(bookings, (booking) => {
        const play = begun(booking);
        const plan = plannedOf(play.hire(), book, play.at).map((row) => [row.key, row.sendAt]);
        while (play.dues().length > 0) {
          played(play, { kind: "due" });
          const { sentReminders } = play.hire();
          for (const want of sentReminders.flatMap((s) => (s.answered ? [] : (s.wants ?? []))))
            if (want === "odometer") play.says("50,000 km");
            else played(play, { kind: "taps", tap: `r:${want}=${good[want]}`, person: "p2" });
          expect(play.hire().sentReminders.filter((s) => !s.answered)).toEqual([]);
        }
        const sent = play.hire().sentReminders.map((s) => [s.key, s.sentAt]);
        expect(sent.sort()).toEqual(plan.sort());
        expect(play.callouts()).toEqual([]);
      }),
      { numRuns },
    );
  }, 600_000);

  it("of hirers who never answer are asked twice for an oil mark, and then somebody is to ring", () => {
    fc.assert(
      fc.property(bookings, (booking) => {
        const play = begun(booking);
        while (play.at < booking.returnAt && play.dues().length > 0) played(play, { kind: "due" });
        const { sentReminders, callouts } = play.hire();
        const oil = sentReminders.filter((s) => wordsOf(s.rule, booking).wants.includes("oil"));
        for (const s of oil) {
          const morning = nextMorning(s.sentAt, booking.zone);
          const next = oil.find((o) => o.sentAt > s.sentAt && o.sentAt <= morning);
          if (morning < booking.returnAt && !next) expect(s.asked, s.key).toBe(2);
        }
        const left = oil.some(
          (s) => s.againAt !== undefined && nextMorning(s.againAt, booking.zone) < booking.returnAt,
        );
        expect(callouts.filter(isTask).length).toBe(left ? 1 : 0);
      }),
      { numRuns },
    );
  }, 600_000);
});
