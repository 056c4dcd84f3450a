/** An owner whom no channel reaches: what they have is not lost with them, and nothing is told that is not so. */
import { describe, expect, it } from "vitest";
import { after as later } from "../../../src/calendar.js";
import { hireWith, type Play, toldTo } from "../../kit/hire.js";

describe("a matter that another offers to take", () => {
  /** Morag promised to ring by six and has closed her desk since; Isla was alerted. */
  const left = () => {
    const play = hireWith("curlew", { at: "2026-06-03T14:00+01:00" }).says("amber abs light");
    play.staff("morag", { do: "promise", callout: 1, at: later(play.at, 240) });
    play.desk(["callum", "isla"]).pass(30).says("amber abs light");
    expect(toldTo(play, "isla")).toContain("SOON: Amber ABS light");
    return play.staff("isla", { do: "take", callout: 1 });
  };
  it("is theirs at the second tap, with its promise; the first tells how to reach the owner", () => {
    const play = left();
    expect(play.callouts()[0]).toMatchObject({ with: "morag" });
    expect(toldTo(play, "isla")).toContain("No channel reaches Morag now: ring 07700 900101.");
    expect(toldTo(play, "isla")).not.toContain("I have asked");
    play.taps("none");
    play.staff("isla", { do: "take", callout: 1 });
    expect(play.callouts()[0]).toMatchObject({ with: "isla", promisedAt: later(play.at, 210) });
    expect(play.hirer().join()).toContain("Isla has read this and rings you by 18:00.");
  });
  it("is its owner's again where the other does not take it", () => {
    const play = left().pass(40);
    for (const { key } of play.dues().filter((d) => d.at <= play.at)) {
      expect(key).toBeDefined();
      play.nextDue();
    }
    expect(play.callouts()[0]).toMatchObject({ with: "morag" });
    expect(play.callouts()[0]?.offeredTo).toBeUndefined();
    expect(toldTo(play.staff("isla", { do: "take", callout: 1 }), "isla")).toContain("No channel");
  });
  it("is asked for where a channel reaches the owner", () => {
    const play = left().desk(["morag", "callum", "isla"]);
    play.staff("callum", { do: "take", callout: 1 });
    expect(toldTo(play, "morag")).toContain("Callum offers to take");
    expect(toldTo(play, "callum")).toContain("I have asked.");
    expect(play.staff("callum", { do: "take", callout: 1 }).callouts()[0]?.with).toBe("morag");
  });
});

describe("a question that its owner finds out about", () => {
  const replied = () =>
    hireWith("curlew", { at: "2026-06-03T10:00+01:00" })
      .says("I want to talk to a person")
      .staff("isla", { do: "take", callout: 1 })
      .pass(5)
      .staff("isla", { do: "reply", callout: 1, text: "I find out and write to you" });
  /** What staff and hirers read until the evening. */
  function meanwhile(play: Play): { staff: string; hirers: string } {
    const [end, staff, hirers] = [later(play.at, 600), [] as string[], [] as string[]];
    while (Math.min(...play.dues().map((d) => d.at)) < end && play.nextDue()) {
      staff.push(...play.duty().map((d) => `${d.contact}: ${d.text}`));
      hirers.push(...play.hirer());
    }
    return { staff: staff.join("\n"), hirers: hirers.join("\n") };
  }
  it("is put to the others when nothing reaches the owner any more, and they may take it", () => {
    const play = replied().desk(["morag", "callum"]);
    const { staff, hirers } = meanwhile(play);
    expect(staff).toMatch(/morag: Isla has .* and has given no sign since 12:05/);
    expect(hirers).not.toContain("Isla");
    play.staff("morag", { do: "take", callout: 1 });
    expect(play.callouts()[0]).toMatchObject({ with: "morag" });
  });
  it("stays its owner's alone while a channel reaches them", () => {
    const { staff } = meanwhile(replied());
    expect(staff).toContain("isla: You have ");
    expect(staff).not.toContain("has given no sign");
  });
});
