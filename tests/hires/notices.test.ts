/** Notices of staff, as a hire takes them. */
import { describe, expect, it } from "vitest";
import { type Instant, readIso } from "../../src/calendar.js";
import type { Booking } from "../../src/post.js";
import { bookingOf } from "../kit/booking.js";
import { hireWith, type Play } from "../kit/hire.js";

const iso = (text: string): Instant => readIso(text);
/** A Wren picked up at noon of 3 June; the play begins there. */
const wren = { registration: "SX26 ABC", type: "wren" };
const booking = (more: Partial<Booking> = {}): Booking => bookingOf({ van: wren, ...more });
const start = (more: Partial<Booking> = {}): Play =>
  hireWith("wren").arrives({ kind: "booked", booking: booking(more) });
const give = (play: Play, id: string, until?: Instant): Play =>
  play.staff("morag", {
    do: "notice",
    notice: { id, title: `Notice ${id}`, text: "Mind it.", ...(until ? { until } : {}) },
  });

describe("a notice", () => {
  it("goes out at once, beside the reminders and others on the same day, and takes none of their places", () => {
    const play = start();
    for (const id of ["n1", "n2", "n3", "n4"])
      expect(give(play, id).hirer().join()).toContain(`Notice ${id}`);
    const reminded: string[] = [];
    for (let i = 0; i < 5 && play.at < iso("2026-06-03T20:30+01:00"); i++) {
      play.nextDue();
      reminded.push(...play.last.because.filter((b) => b.startsWith("reminded")));
    }
    // Pick-up at noon: the welcome at once, the first evening at 17:30.
    expect(reminded.slice(0, 2)).toEqual(["reminded: welcome", "reminded: first-evening"]);
  });

  it("waits for the pick-up, also where that moves, and is not told after its end or to a hire that is cancelled", () => {
    const soon = start({ pickupAt: iso("2026-06-04T10:00+01:00") });
    expect(give(soon, "n1").hirer()).toEqual([]);
    soon.arrives({ kind: "booked", booking: booking({ pickupAt: iso("2026-06-04T09:00+01:00") }) });
    expect(soon.dues().find((d) => d.key === "notice:n1")?.at).toBe(iso("2026-06-04T09:00+01:00"));

    const late = start({ pickupAt: iso("2026-06-04T10:00+01:00") });
    give(late, "n1", iso("2026-06-04T08:00+01:00"));
    while (late.at < iso("2026-06-04T10:00+01:00")) {
      expect(late.nextDue()).toBe(true);
      expect(late.hirer().join()).not.toContain("Notice n1");
    }
    expect(give(start({ status: "cancelled" }), "n1").hirer()).toEqual([]);
  });

  it("about a van type is not told where the hire has another by then, and is where it has that one again", () => {
    const pickupAt = iso("2026-06-04T10:00+01:00");
    for (const [types, told] of [
      [["wren"], false],
      [["wren", "curlew"], true],
    ] as const) {
      const play = start({ pickupAt, van: { ...wren, type: "curlew" } });
      const to = { vanType: "curlew" };
      play.staff("morag", { do: "notice", notice: { id: "n1", title: "Vent", text: "Mind.", to } });
      for (const type of types)
        play.arrives({ kind: "changed", by: "morag", change: { van: { ...wren, type } } });
      const heard: string[] = [];
      for (let i = 0; i < 6 && play.nextDue(); i++) heard.push(...play.hirer());
      expect(heard.join().includes("Vent")).toBe(told);
    }
  });
  it("that was ended is not told at the pick-up, also where that moves; where it was told nothing changes", () => {
    const soon = start({ pickupAt: iso("2026-06-04T10:00+01:00") });
    give(soon, "n1").staff("morag", { do: "notice-end", id: "n1" });
    expect(soon.dues().map((d) => d.key)).not.toContain("notice:n1");
    soon.arrives({ kind: "booked", booking: booking({ pickupAt: iso("2026-06-04T09:00+01:00") }) });
    while (soon.at < iso("2026-06-04T11:00+01:00")) {
      soon.nextDue();
      expect(soon.hirer().join()).not.toContain("Notice n1");
    }
    const told = give(start(), "n1").staff("morag", { do: "notice-end", id: "n1" });
    expect(told.hirer()).toEqual([]);
    expect(told.taps("seen:n1").hirer()).toHaveLength(1);
  });

  it("given twice is told once; a second tap of Seen changes nothing", () => {
    const play = give(start(), "n1");
    expect(give(play, "n1").hirer()).toEqual([]);
    expect(play.taps("seen:n1").hirer()).toHaveLength(1);
    expect(play.taps("seen:n1").hirer()).toEqual([]);
    expect(play.last.because).toEqual(["ignored: double tap"]);
  });

  it("is not seen by words that are about something else", () => {
    const play = give(start(), "n1");
    play.says("have you seen the spare key anywhere");
    expect(play.last.because.join()).not.toContain("seen:");
    play.says("seen");
    expect(play.last.because.join()).toContain("seen: notice n1");
  });

  it("never holds back a danger", () => {
    const play = give(start(), "n1").says("seen it, and there are flames from the stove");
    expect(play.hirer()[0]).toMatch(/999/);
  });
});
