/** Who of staff hears that a call-out has ended: whoever might act on it all the same. */
import { describe, expect, it } from "vitest";
import { hireWith, type Play } from "../../kit/hire.js";

const told = (play: Play) => play.duty().map((d) => `${d.contact}: ${d.text}`);
const ends = (play: Play, by: string, callout = 1) =>
  play.staff(by, { do: "done", callout, outcome: "by-advice" });

describe("the end of a call-out", () => {
  it("that nobody took is told to everybody who was alerted, but to who ends it", () => {
    const ended = 'has ended "Fire": solved by advice.';
    const play = ends(hireWith("curlew").says("the van is on fire"), "isla");
    expect(told(play).sort()).toEqual([`callum: Isla ${ended}`, `morag: Isla ${ended}`]);
  });
  it("is told to its owner, to who offered to take it and to whom it was offered", () => {
    const play = hireWith("curlew").says("red oil can light came on");
    play.staff("morag", { do: "take", callout: 1 }).staff("callum", { do: "take", callout: 1 });
    expect(told(ends(play, "isla")).map((line) => line.split(":")[0])).toEqual(["morag", "callum"]);
    const passed = hireWith("curlew").says("red oil can light came on");
    passed.staff("morag", { do: "take", callout: 1 });
    passed.staff("morag", { do: "pass", callout: 1, to: "callum" });
    expect(told(ends(passed, "morag"))).toEqual([
      expect.stringMatching(/^callum: Morag has ended/),
    ]);
  });
  it("of a question that nobody took disturbs nobody", () => {
    expect(told(ends(hireWith("curlew").says("I want to talk to a person"), "isla"))).toEqual([]);
  });
  it("by joining it to another says to which", () => {
    const play = hireWith("curlew")
      .says("amber abs light")
      .says("the brake pedal is soft and sinks");
    play.staff("isla", { do: "done", callout: 1, outcome: "joined", to: 2 });
    const [one, other] = play.callouts();
    expect(told(play)).toContain(`morag: Isla has joined "${one?.title}" to "${other?.title}".`);
  });
});
