/** When hirers say that they bring the van back: the board has it, and who is on duty hears what others wait for. */
import { describe, expect, it } from "vitest";
import { isoIn } from "../../src/calendar.js";
import { hireWith, type Play } from "../kit/hire.js";

/** A hire to Tuesday 9 June 12:00, asked by the given reminder for its arrival. */
function asked(rule: string): Play {
  const play = hireWith("curlew");
  play.arrives({ kind: "booked", booking: play.hire().booking });
  const sent = () => play.hire().sentReminders.some((s) => s.rule === rule);
  while (!sent() && play.nextDue());
  return play;
}
const duty = (play: Play) => play.duty().map((d) => `${d.contact}: ${d.text}`);
const kept = (play: Play) => {
  const { arrival } = play.hire();
  return arrival && isoIn(arrival.at, "Europe/London").slice(0, 16);
};

describe("asked a day before", () => {
  it.each([
    ["as agreed", "2026-06-09T12:00"],
    ["11:30", "2026-06-09T11:30"],
  ])("%s: is kept, and nobody need be told", (words, at) => {
    const play = asked("return-24h").says(words);
    expect([kept(play), duty(play)]).toEqual([at, []]);
  });
  it.each([
    ["15:00", "2026-06-09T15:00"],
    ["an hour later", "2026-06-09T13:00"],
  ])("%s: later than agreed, who is on duty hears it", (words, at) => {
    const play = asked("return-24h").says(words);
    expect(kept(play)).toBe(at);
    expect(duty(play)).toEqual([expect.stringMatching(/^morag: SX26 ABC .*Ann brings it back at/)]);
  });
});

describe("asked when late", () => {
  it("says that the van is back: who is on duty hears it", () => {
    const play = asked("late").says("returned, keys in the box");
    expect(play.hire().arrival).toEqual({ at: play.at, isBack: true });
    expect(duty(play)).toEqual([expect.stringContaining("says that the van is back")]);
  });
  it("in minutes, from when it was written", () => {
    const play = asked("late");
    play.says("in 20 minutes");
    expect(play.hire().arrival).toEqual({ at: play.at + 20 * 60_000 });
  });
});
