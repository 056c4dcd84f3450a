/** A stop parked safely for the night: whoever has it, the sleeping hirers are left alone until the morning. */
import { describe, expect, it } from "vitest";
import { readIso } from "../../../src/calendar.js";
import { hireWith, type Play } from "../../kit/hire.js";

const at = (clock: string) => readIso(`2026-06-0${clock}+01:00`);
const hearAt = (play: Play, n = 1) => play.dues().find((d) => d.key === `callout:${n}:hear`)?.at;
/** A flat tyre at half past ten at night, off the road, with nobody in need: asked whether it may wait. */
const safe = () =>
  hireWith("curlew", { at: "2026-06-04T22:30+01:00" })
    .says("flat tyre")
    .taps("Off the road or a quiet place")
    .taps("Safe place")
    .taps("None of these");
/** A red oil light as well, of the same stop. */
const two = () =>
  hireWith("curlew", { at: "2026-06-04T22:30+01:00" })
    .says("flat tyre")
    .says("red oil can light came on")
    .taps("place:safe:2")
    .taps("need:none:2");
const waiting = () => safe().taps("Yes, until morning");
/** All that is said to them, and all that staff are told of silence, until then. */
function meanwhile(play: Play, until: number): string[] {
  const said: string[] = [];
  for (;;) {
    const next = Math.min(...play.dues().map((d) => d.at));
    if (next >= until || !play.nextDue()) return said;
    said.push(...play.hirer(), ...play.duty().map((d) => d.text));
  }
}

describe("a stop that waits for the morning", () => {
  it("goes on waiting when staff take it: nobody asks, rings or is alerted in the night", () => {
    const play = waiting().pass(5).staff("callum", { do: "take", callout: 1 });
    expect(play.callouts()[0]).toMatchObject({ with: "callum", waitsUntil: at("5T07:00") });
    expect(hearAt(play)).toBe(at("5T07:20"));
    expect(meanwhile(play, at("5T07:00"))).toEqual([]);
    play.nextDue();
    expect(play.duty()[0]).toMatchObject({ contact: "callum" });
  });
  it("waits as well when staff took it before it was agreed to", () => {
    const play = safe().staff("callum", { do: "take", callout: 1 }).taps("night:yes:1");
    expect(play.callouts()[0]).toMatchObject({ with: "callum", signBy: at("5T07:00") });
    expect(meanwhile(play, at("5T07:00"))).toEqual([]);
    play.nextDue();
    expect(play.duty()[0]).toMatchObject({ contact: "callum" });
  });
  it.each([[[2]], [[2, 1]]])("waits with the other of that stop when staff took %s", (taken) => {
    const play = two();
    for (const callout of taken) play.staff("callum", { do: "take", callout });
    play.taps("night:yes:2");
    expect(play.callouts().map((c) => c.waitsUntil)).toEqual([at("5T07:00"), at("5T07:00")]);
    expect(meanwhile(play, at("5T07:00"))).toEqual([]);
  });
  it("leaves another owner's matter of that stop as it is", () => {
    const play = two();
    play.staff("callum", { do: "take", callout: 2 }).staff("morag", { do: "take", callout: 1 });
    play.taps("night:yes:2");
    expect(play.callouts().map((c) => c.waitsUntil)).toEqual([undefined, at("5T07:00")]);
  });
  it("goes on waiting when a call is promised", () => {
    const play = waiting()
      .pass(5)
      .staff("callum", { do: "promise", callout: 1, at: at("5T08:00") });
    expect(meanwhile(play, at("5T07:00"))).toEqual([]);
    expect(hearAt(play)).toBe(at("5T08:20"));
  });
  it.each([
    ["taps that it cannot wait", (play: Play) => play.taps("night:no:1")],
    ["writes that it cannot wait", (play: Play) => play.says("it cannot wait")],
    ["changes their mind", (play: Play) => play.says("we changed our mind, we need somebody now")],
    ["asks to be rung", (play: Play) => play.says("please ring me")],
    ["taps a need", (play: Play) => play.taps("need:cold-dark:1")],
    ["writes of a need", (play: Play) => play.says("my phone is nearly flat")],
    ["tells it again with a need", (play: Play) => play.says("flat tyre and we are alone")],
  ])("is asked after soon again once somebody %s", (_how, does) => {
    const play = does(waiting().pass(60));
    expect(play.callouts()[0]?.waitsUntil).toBeUndefined();
    expect(hearAt(play)).toBe(at("4T23:50"));
  });
  it("is asked after soon again when somebody is in need after staff took it", () => {
    const play = waiting().staff("callum", { do: "take", callout: 1 }).pass(60);
    play.taps("need:cold-dark:1");
    expect(play.callouts()[0]?.waitsUntil).toBeUndefined();
    expect(hearAt(play)).toBe(at("4T23:50"));
  });
});

describe("a tapped answer", () => {
  it("is read by whoever was alerted, or has it", () => {
    const play = hireWith("curlew").says("red oil can light came on").taps("Safe place");
    expect(play.duty()).toEqual([{ contact: "morag", text: 'SX26 ABC, Ann: "Safe place"' }]);
    play.staff("callum", { do: "take", callout: 1 }).taps("need:none:1");
    expect(play.duty()).toEqual([{ contact: "callum", text: 'SX26 ABC, Ann: "None of these"' }]);
  });
  it("that agrees to the morning reaches whoever took it meanwhile, and they are left to sleep", () => {
    const play = hireWith("curlew", { at: "2026-06-04T22:10+01:00" }).says("amber abs light");
    const until = play.sends.flatMap((s) => s.message.buttons ?? [])[0]?.tap ?? "";
    expect(until).toBe("night:yes:1");
    play.pass(15).staff("callum", { do: "take", callout: 1 }).taps(until);
    expect(play.duty()).toEqual([
      { contact: "callum", text: 'SX26 ABC, Ann: "Yes, until morning"' },
    ]);
    expect(play.hirer()[0]).toBe("Thank you. Our staff see it.");
    expect(play.callouts()[0]).toMatchObject({ with: "callum", waitsUntil: at("5T07:00") });
  });
});

describe("a call promised for the morning", () => {
  const promised = (play: Play) =>
    play
      .staff("callum", { do: "take", callout: 1 })
      .staff("callum", { do: "promise", callout: 1, at: at("5T08:00") });
  const asked = () =>
    hireWith("curlew", { at: "2026-06-04T22:30+01:00" })
      .says("flat tyre")
      .taps("Off the road or a quiet place");
  it("is waited for by those who are parked safely with nobody in need", () => {
    const play = promised(asked().taps("Safe place"));
    expect(hearAt(play)).toBe(at("5T08:20"));
    expect(meanwhile(play, at("5T07:50"))).toEqual([]);
  });
  it("keeps nobody from asking after them for more than an hour where the place is not known to be safe, or one is in need", () => {
    expect(hearAt(promised(asked()))).toBe(at("4T23:50"));
    const needy = asked().taps("Safe place").taps("A child is here");
    expect(hearAt(promised(needy))).toBe(at("4T23:50"));
  });
});
