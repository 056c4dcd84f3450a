/** What a hirer writes after the welcome, which asks to be confirmed: nothing is taken for that and left unanswered. */
import { describe, expect, it } from "vitest";
import { bookingOf, peopleOf } from "../kit/booking.js";
import { hireWith, type Play } from "../kit/hire.js";

const welcomed = (): Play => {
  const play = hireWith("curlew").arrives({ kind: "booked", booking: bookingOf() });
  play.nextDue();
  expect(play.last.because.join()).toContain("reminded: welcome");
  return play;
};

describe("after the welcome", () => {
  it.each(["done that, sockets are still dead", "whats the speed of sound", "sound, slainte"])(
    "%j is answered",
    (words) => {
      expect(welcomed().says(words).hirer()).not.toEqual([]);
    },
  );

  it('"done" confirms it, once, and thanks come back', () => {
    const play = welcomed().says("done");
    expect(play.hirer().join()).toContain("you have read it");
    expect(play.hire().sentReminders[0]?.answered).toBe(true);
  });

  it('"done that" confirms it beside what else is asked or told', () => {
    const play = welcomed().says("done that, sockets are still dead");
    expect(play.hire().sentReminders[0]?.answered).toBe(true);
    expect(play.hirer()).toEqual(["Which of these do you mean?"]);
  });
});

describe("reminders of a booker who reads nowhere", () => {
  const people = ["Ann", "Ben"];
  const booked = { kind: "booked", booking: bookingOf({ people: peopleOf(people) }) } as const;
  const tellsTo = (play: Play) =>
    play.last.sends.filter((s) => s.person !== undefined).map((s) => s.person);
  it("go to the one of them who does, as well as to the booker's page; either may answer", () => {
    const play = hireWith("curlew", { people }).says("hello there", { person: "p2" });
    play.arrives(booked);
    play.nextDue();
    expect(tellsTo(play)).toEqual(["p2", "p1"]);
    play.says("done", { person: "p2" });
    expect(play.hire().sentReminders[0]?.answered).toBe(true);
  });
  it("go to the booker alone once they read, or while nobody does", () => {
    for (const person of ["p1", undefined]) {
      const play = hireWith("curlew", { people });
      if (person) play.says("hello there", { person }).says("hello there", { person: "p2" });
      play.arrives(booked);
      play.nextDue();
      expect(tellsTo(play)).toEqual(["p1"]);
    }
  });
});
