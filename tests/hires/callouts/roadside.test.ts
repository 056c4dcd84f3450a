/** What staff write down of roadside assistance is told as it is: no time that is past, nothing twice on its way. */
import { describe, expect, it } from "vitest";
import { type Instant, after as later } from "../../../src/calendar.js";
import { readAct } from "../../../src/desk/read-forms.js";
import { hireWith, type Play } from "../../kit/hire.js";

/** Noon; Morag has a van that must not move, and roadside assistance is there by 13:00, without a reference yet. */
function asked(): Play {
  const play = hireWith("wren").says("red oil can light came on");
  const arrivesAt = later(play.at, 60);
  play.staff("morag", { do: "take", callout: 1 });
  return play.staff("morag", { do: "roadside", callout: 1, arrivesAt });
}
const due = (play: Play, key: string): Instant | undefined =>
  play.dues().find((d) => d.key === `callout:1:${key}`)?.at;
/** Lets what is due come until this many minutes after noon. */
function waits(play: Play, minutes: number): Play {
  const until = later(play.at, minutes);
  for (;;) {
    const [first] = play.dues().sort((a, b) => a.at - b.at);
    if (!first || first.at > until) break;
    play.nextDue();
  }
  return play.pass((until - play.at) / 60_000);
}
/** Its form as the card has it, sent with what was typed. */
const keeps = (play: Play, typed: Record<string, string>): Play => {
  const form = { do: "roadside", callout: "1", ...typed };
  const act = readAct(form, play.at, "Europe/London");
  if (typeof act === "string") throw new Error(act);
  return play.staff("morag", act);
};

describe("the form of roadside assistance, kept after its time has passed", () => {
  it("promises no time, and it is chased and heard from as soon as ever", () => {
    const play = waits(asked(), 80);
    keeps(play, { reference: "R-77", clock: "13:00", was: "13:00" });
    expect(play.hirer()).toEqual([
      "The reference of roadside assistance is R-77. They have told no new time yet.",
    ]);
    expect(play.callouts()[0]?.roadside).toMatchObject({ reference: "R-77", chased: 1 });
    expect(due(play, "roadside")).toBe(later(play.at, 15));
    expect(due(play, "promise")).toBe(later(play.at, 30));
    expect(due(play, "hear")).toBeLessThanOrEqual(later(play.at, 60));
  });
  it("with a new time tells that one, and is chased by it", () => {
    const play = waits(asked(), 80);
    keeps(play, { reference: "R-77", clock: "14:00", was: "" });
    expect(play.hirer()[0]).toContain("reference R-77. They say that they reach you by 14:00.");
    expect(due(play, "roadside")).toBe(later(play.at, 55));
  });
});

describe("roadside assistance that is there", () => {
  const there = () => asked().pass(50).staff("morag", { do: "roadside", callout: 1, came: true });
  it.each([[{}], [{ reference: "R-77" }]])("stays there when its form says %j", (typed) => {
    const play = keeps(there(), typed);
    expect(play.hirer()).toEqual([]);
    expect(play.callouts()[0]?.roadside).toMatchObject({ came: true, ...typed });
    expect(due(play, "roadside")).toBeUndefined();
  });
  it("comes once more where a new time is told, or another reference in place of the first", () => {
    const play = keeps(there(), { clock: "14:00" });
    expect(play.callouts()[0]?.roadside?.came).toBe(false);
    expect(due(play, "roadside")).toBe(later(play.at, 85));
    // "It is there" by mistake: the time that was known, typed anew.
    expect(keeps(there(), { clock: "13:00" }).callouts()[0]?.roadside?.came).toBe(false);
    const other = keeps(keeps(there(), { reference: "R-77" }), { reference: "R-78" });
    expect(other.callouts()[0]?.roadside?.came).toBe(false);
    expect(other.hirer()[0]).toContain("reference R-78. They have told no time yet.");
    expect(due(other, "roadside")).toBe(later(other.at, 15));
  });
});
