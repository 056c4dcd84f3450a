/** Changes of a booking: put on what holds, so that two changes undo nothing of each other; clashes; reminders by hand. */
import { describe, expect, it } from "vitest";
import {
  changeBetween,
  changed,
  changeOn,
  clashesOf,
  contentOf,
} from "../../src/bookings/change.js";
import { after as later, readLocal } from "../../src/calendar.js";
import { remindersAfter } from "../../src/desk/hires/preview.js";
import { newHire } from "../../src/hires/people.js";
import { step } from "../../src/hires/step.js";
import type { Booking, BookingChange } from "../../src/post.js";
import { book, matcher } from "../kit/hire.js";
import { booking, lane, noon } from "../kit/small-house.js";

const at = (local: string) => readLocal(local, "Europe/London");
const ann = { id: "p1", name: "Ann", booker: true, phone: "07700 900500" };
const ben = { id: "p2", name: "Ben", booker: false };
const base = booking("h1", { people: [ann, ben] });

describe("a change", () => {
  it("is what differs, and nothing else", () => {
    const next = contentOf({ ...base, returnAt: later(base.returnAt, 60), surname: "Reed" });
    expect(changeBetween(contentOf(base), next)).toEqual({
      returnAt: later(base.returnAt, 60),
      surname: "Reed",
    });
    expect(changeBetween(contentOf(base), contentOf(base))).toEqual({});
  });
  it("is none where only seconds differ, or a phone is not given", () => {
    const next = contentOf({ ...base, returnAt: later(base.returnAt, 0.5) });
    expect(changeBetween(contentOf(base), next)).toEqual({});
    const bare = { ...next, people: [{ name: "Ann" }, { name: "Ben" }] };
    expect(changeBetween(contentOf(base), bare)).toEqual({});
    const phone = { ...bare, people: [{ name: "Ann", phone: "07700 900501" }, { name: "Ben" }] };
    expect(changeBetween(contentOf(base), phone)).toEqual({ people: phone.people });
    const none = {
      ...bare,
      people: [
        { name: "Ann", phone: "" },
        { name: "Ben", phone: "" },
      ],
    };
    expect(changeBetween(contentOf(base), none)).toEqual({ people: none.people });
    const after = changed(base, { people: none.people });
    expect(after?.people).toEqual([{ id: "p1", name: "Ann", booker: true }, ben]);
    expect(after && changeBetween(contentOf(after), none)).toEqual({});
  });
  // [names given, who they are: id and phone]
  it.each([
    [
      ["Ann", "Ben"],
      ["p1 07700 900500", "p2"],
    ],
    [
      ["ben", "Ann"],
      ["p2", "p1 07700 900500"],
    ],
    [
      ["Anne", "Ben"],
      ["p1 07700 900500", "p2"],
    ],
    [["Ann"], ["p1 07700 900500"]],
    [
      ["Ann", "Ben", "Cal"],
      ["p1 07700 900500", "p2", "p3"],
    ],
    [
      ["Ann", "Cal"],
      ["p1 07700 900500", "p3"],
    ],
    [
      ["Ann", "Benjamin"],
      ["p1 07700 900500", "p2"],
    ],
    [
      ["Ann", "Ebn"],
      ["p1 07700 900500", "p2"],
    ],
    [
      ["Ann", "Bean"],
      ["p1 07700 900500", "p2"],
    ],
    [
      ["Eve", "Ben"],
      ["p3", "p2"],
    ],
  ])("of people to %j keeps who they are", (names, who) => {
    const people = changed(base, { people: names.map((name) => ({ name })) })?.people ?? [];
    expect(people.map((p) => [p.id, p.phone].filter(Boolean).join(" "))).toEqual(who);
    expect(people.map((p) => p.booker)).toEqual(names.map((_, i) => i === 0));
  });
  it("gives nobody the id of somebody who was taken off", () => {
    const alone = changed(base, { people: [{ name: "Ann" }] }) ?? base;
    const joined = changed(alone, { people: [{ name: "Ann" }, { name: "Cara" }] }, 2);
    expect(joined?.people.map((p) => p.id)).toEqual(["p1", "p3"]);
  });
  it("that ends before it begins, or leaves nobody, is none", () => {
    expect(changed(base, { returnAt: base.pickupAt })).toBeUndefined();
    expect(changed(base, { people: [] })).toBeUndefined();
  });
  it("and another one of the same hire both hold, in whichever order they come", () => {
    const changes: BookingChange[] = [
      { returnAt: later(base.returnAt, 1440) },
      { surname: "Reed" },
      { people: [{ name: "Ann" }, { name: "Cal" }] },
    ];
    const play = (order: readonly BookingChange[]): Booking => {
      let state = { kind: "hire" as const, hire: newHire(base) };
      for (const [n, change] of order.entries()) {
        const body = { kind: "changed" as const, by: "morag", change };
        const arrival = { key: `k${n}`, lane: lane(), receivedAt: noon, body };
        const reach = { atDesk: [], telegram: {}, hook: false };
        const made = step(state, arrival, { now: noon, book, matcher, reach }).state;
        if (made?.kind !== "hire") throw new Error("no hire");
        state = made;
      }
      return state.hire.booking;
    };
    expect(play([...changes].reverse())).toEqual(play(changes));
    expect(play(changes)).toMatchObject({ surname: "Reed", returnAt: changes[0]?.returnAt });
  });
});

describe("people whom a program pushes", () => {
  const [ann, ben, cara] = [{ name: "Ann", phone: "1" }, { name: "Ben" }, { name: "Cara" }];
  const named = (people: readonly { name: string; phone?: string }[]) =>
    people.map((p) => [p.name, p.phone].filter(Boolean).join(" "));
  // [what it is about, the hire's people, those of the last push, those of this one, the hire's people after it]
  it.each([
    [
      "a new phone takes nobody off",
      [ann, ben, cara],
      [ann],
      [{ ...ann, phone: "2" }],
      ["Ann 2", "Ben", "Cara"],
    ],
    [
      "a phone of the desk's stays",
      [{ ...ann, phone: "9" }, ben],
      [ann, ben],
      [ann, ben, cara],
      ["Ann 9", "Ben", "Cara"],
    ],
    ["who stands there no more goes", [ann, ben, cara], [ann, ben], [ann], ["Ann 1", "Cara"]],
    [
      "whom the desk took off stays off",
      [ann],
      [ann, ben],
      [{ ...ann, phone: "2" }, ben],
      ["Ann 2"],
    ],
    ["whom both added is there once", [ann, ben], [ann], [ann, ben], ["Ann 1", "Ben"]],
    ["a name put right there", [ann, ben], [ann], [{ name: "Anna" }], ["Anna 1", "Ben"]],
    [
      "a name put right at the desk",
      [{ ...ann, name: "Anne" }],
      [ann],
      [{ ...ann, phone: "2" }],
      ["Anne 2"],
    ],
    ["another booker comes first", [ann, ben], [ann], [cara], ["Cara", "Ben"]],
    [
      "who booked it is another of them",
      [ann, cara, ben],
      [ann, ben],
      [ben, ann],
      ["Ben", "Ann 1", "Cara"],
    ],
  ])("%s", (_what, now, last, next, after) => {
    const booking = {
      ...base,
      people: now.map((p, i) => ({ id: `p${i + 1}`, booker: i === 0, ...p })),
    };
    expect(named(changeOn(booking, { people: next }, last).people ?? [])).toEqual(after);
  });
  it("who stays is who they were", () => {
    const people = [ann, ben].map((p, i) => ({ id: `p${i + 1}`, booker: i === 0, ...p }));
    const booking = { ...base, people };
    const change = changeOn(booking, { people: [{ ...ann, phone: "2" }] }, [ann]);
    expect(changed(booking, change)?.people.map((p) => p.id)).toEqual(["p1", "p2"]);
  });
});

describe("another hire of the van", () => {
  const mine = { ...base, pickupAt: at("2026-06-03T15:00"), returnAt: at("2026-06-10T10:00") };
  // [pick-up, return, what it is to a hire from 3 June 15:00 to 10 June 10:00]
  it.each([
    ["2026-05-27T15:00", "2026-06-03T12:00", undefined],
    ["2026-05-27T15:00", "2026-06-03T12:01", "too-close 179"],
    ["2026-05-27T15:00", "2026-06-03T15:00", "too-close 0"],
    ["2026-05-27T15:00", "2026-06-03T15:01", "overlaps -1"],
    ["2026-06-04T15:00", "2026-06-05T10:00", "overlaps -2580"],
    ["2026-06-10T11:00", "2026-06-12T10:00", "too-close 60"],
    ["2026-06-10T13:00", "2026-06-12T10:00", undefined],
  ])("from %s to %s: %s", (from, to, how) => {
    const other = { id: "h2", surname: "Reed", pickupAt: at(from), returnAt: at(to) };
    const [clash] = clashesOf(mine, [other]);
    expect(clash && `${clash.how} ${clash.leftMin}`).toBe(how);
    expect(clashesOf(mine, [{ ...other, id: "h1" }])).toEqual([]);
    expect(clashesOf({ ...mine, status: "cancelled" }, [other])).toEqual([]);
  });
});

describe("what a change does to the reminders", () => {
  // By the table of reminders, for a diesel van with plumbed water; looked at on 4 June at noon.
  const hire = {
    ...newHire(
      booking("h1", { pickupAt: at("2026-06-01T14:00"), returnAt: at("2026-06-09T10:00") }),
    ),
  };
  const now = at("2026-06-04T12:00");
  const say = (after: Partial<Booking>) => {
    const { changes, same } = remindersAfter(hire, { ...hire.booking, ...after }, book, now);
    const short = (t: number | undefined) =>
      t === undefined ? "-" : new Date(t + 3_600_000).toISOString().slice(8, 16).replace("T", " ");
    return [...changes.map((c) => `${short(c.was)} > ${short(c.due)}`), `${same} same`];
  };
  it("extended by two days: what counts from the return moves, and water of day 8 comes new", () => {
    expect(say({ returnAt: at("2026-06-11T10:00") })).toEqual([
      "07 10:00 > 09 10:00", // exhaust-fluid
      "07 10:00 > 09 10:00", // return-48h
      "- > 09 18:00", // water-gas-waste, day 8
      "08 10:00 > 10 10:00", // return-24h
      "08 19:00 > 10 19:00", // return-morning: 07:00 is outside the window
      "09 10:30 > 11 10:30", // late
      "4 same", // first-check of this morning, not sent yet; water of day 4; oil and tyres of day 7
    ]);
  });
  it("cancelled: all of them go", () => {
    const lines = say({ status: "cancelled" });
    expect(lines.slice(0, -1).every((l) => l.endsWith("> -"))).toBe(true);
    expect(lines.slice(-1)).toEqual(["0 same"]);
    expect(lines).toHaveLength(10);
  });
  it("another surname: none", () => {
    expect(say({ surname: "Reed" })).toEqual(["9 same"]);
  });
});
