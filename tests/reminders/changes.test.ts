/**
 * Whole hires that change on the way, played through the service's step: every message of reminders that goes
 * out, worked out by hand. Nobody answers here; what follows from that has tests of its own.
 */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { z } from "zod";
import { after, clockOf, dayOf, type Instant, instantOf, readLocal } from "../../src/calendar.js";
import { type LaneState, step } from "../../src/hires/step.js";
import type { ArrivalBody, Booking, HireId, LaneId, Matter } from "../../src/post.js";
import { book, matcher } from "../kit/hire.js";

const folder = join(import.meta.dirname, "changes");
/** Local times; those of a change in the zone that holds before it. `made`: when the hire was entered. */
const Worked = z.strictObject({
  hire: z.strictObject({
    vanType: z.string(),
    pickup: z.string(),
    return: z.string(),
    zone: z.string(),
  }),
  made: z.string().optional(),
  changes: z
    .array(
      z.strictObject({
        at: z.string(),
        pickup: z.string().optional(),
        return: z.string().optional(),
        vanType: z.string().optional(),
        zone: z.string().optional(),
        status: z.enum(["booked", "cancelled"]).optional(),
      }),
    )
    .default([]),
  messages: z.array(z.string()),
});

function play(worked: z.output<typeof Worked>): string[] {
  let { zone } = worked.hire;
  let booking: Booking = {
    hire: "h1" as HireId,
    van: { registration: "SX26 ONE", type: worked.hire.vanType },
    pickupAt: readLocal(worked.hire.pickup, zone),
    returnAt: readLocal(worked.hire.return, zone),
    zone,
    region: "gb",
    lang: "en",
    people: [{ id: "p1", name: "Ann", booker: true }],
    surname: "Stone",
    status: "booked",
  };
  let state: LaneState | undefined;
  let due: { at: Instant; generation: number; matter: Matter } | undefined;
  const sent: string[] = [];
  let n = 0;
  function take(now: Instant, body: ArrivalBody): void {
    const made = step(
      state,
      { key: `k${++n}`, lane: "hire:h1" as LaneId, receivedAt: now, body },
      { now, book, matcher, reach: { atDesk: [], telegram: {}, hook: false } },
    );
    state = made.state;
    for (const set of made.dues)
      if (set.key === "reminders") due = set.at === null ? undefined : { ...set, at: set.at };
    for (const because of made.because)
      if (because.startsWith("reminded: "))
        sent.push(
          `${dayOf(now, zone)}T${clockOf(now, zone)} ${because.slice(10).replaceAll(", ", " ")}`,
        );
  }
  function passTo(until: number): void {
    while (due && due.at < until) {
      const { at, generation, matter } = due;
      due = undefined;
      take(at, { kind: "due", due: "reminders", generation, matter });
    }
  }
  take(worked.made ? readLocal(worked.made, zone) : after(booking.pickupAt, -1440), {
    kind: "booked",
    booking,
  });
  for (const change of worked.changes) {
    const at = readLocal(change.at, zone);
    passTo(at);
    zone = change.zone ?? zone;
    booking = {
      ...booking,
      zone,
      status: change.status ?? booking.status,
      ...(change.pickup ? { pickupAt: readLocal(change.pickup, zone) } : {}),
      ...(change.return ? { returnAt: readLocal(change.return, zone) } : {}),
      ...(change.vanType ? { van: { registration: "SX26 TWO", type: change.vanType } } : {}),
    };
    take(at, { kind: "booked", booking });
  }
  passTo(instantOf(booking.returnAt + 5 * 86_400_000));
  return sent;
}

describe("a hire that changes", () => {
  const files = readdirSync(folder).filter((f) => f.endsWith(".yaml"));
  it("is told in at least eight ways, each with how it was calculated", () => {
    expect(files.length).toBeGreaterThanOrEqual(8);
    for (const file of files) expect(readFileSync(join(folder, file), "utf8"), file).toMatch(/^# /);
  });
  it.each(files)("%s: the messages are those worked out by hand", (file) => {
    const worked = Worked.parse(parse(readFileSync(join(folder, file), "utf8")));
    expect(play(worked)).toEqual(worked.messages);
  });
});
