/** A hire that is cancelled while something of it is open: its people are heard until staff have ended it. */
import { describe, expect, it } from "vitest";
import { isOver } from "../../src/hires/hire.js";
import { book, hireWith, type Play } from "../kit/hire.js";

const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
const hasEnded = (play: Play) =>
  play.hirer().some((text) => text.startsWith("This hire has ended"));
const cancel = (play: Play) =>
  play.arrives({ kind: "changed", by: "bookings", change: { status: "cancelled" } });
const told = (play: Play) => play.duty().map((d) => `${d.contact}: ${d.text}`);

/** A stop that Morag has, of a hire that was cancelled since. */
const stopped = () =>
  cancel(
    hireWith("curlew", { people: ["Ann", "Ben"] })
      .says("red oil can light came on")
      .staff("morag", { do: "take", callout: 1 }),
  );

describe("cancelled while a stop is open", () => {
  it("who is asked whether they are all right is heard: nobody thinks of the police", () => {
    const play = stopped();
    play.until(() => play.hirer().some((text) => text.startsWith("Are you all right?")));
    play.says("yes, fine, in the lay-by");
    expect(told(play)).toContain('morag: SX26 ABC, Ann: "yes, fine, in the lay-by"');
    expect(hasEnded(play)).toBe(false);
    expect(play.callouts()[0]).toMatchObject({ silent: 0 });
  });
  it.each([
    ["a button", (play: Play) => play.taps("place:unsafe:1")],
    [
      "a photo",
      (play: Play) => play.arrives({ kind: "photo", from, file: { id: "f", kind: "image/jpeg" } }),
    ],
    ["a place", (play: Play) => play.arrives({ kind: "located", from, lat: 57.1, lon: -4.7 })],
    ["another of the hire", (play: Play) => play.says("we wait by the barn", { person: "p2" })],
  ])("%s reaches whoever has it", (_what, arrives) => {
    const play = arrives(stopped());
    expect(play.duty().map((d) => d.contact)).toContain("morag");
    expect(hasEnded(play)).toBe(false);
  });
  it("once staff have ended it, the hire has ended for its people too", () => {
    const play = stopped().staff("morag", { do: "done", callout: 1, outcome: "by-advice" });
    expect(hasEnded(play.says("how do I make the bed"))).toBe(true);
    expect(play.duty()).toEqual([]);
  });
});

describe("cancelled by a program", () => {
  const push = (play: Play, more = {}) => {
    const change = { status: "cancelled", ...more } as const;
    return play.arrives({ kind: "changed", by: "Shop", change, pushed: { people: [] } });
  };
  it("a hire whose van is out goes on, and whoever is on duty is to ring", () => {
    const play = push(hireWith("curlew"), { surname: "Wood" });
    expect(play.hire().booking).toMatchObject({ status: "booked", surname: "Wood" });
    expect(told(play)).toEqual([expect.stringMatching(/Shop says cancelled.*Ann.*SX26 ABC/)]);
    expect(play.hirer()).toEqual([]);
    expect(push(play).callouts()).toHaveLength(1);
    play.says("red oil can light came on");
    expect(play.callouts()[1]).toMatchObject({ severity: "stop", state: "nobody-yet" });
  });
  it("staff, who know, end it: then the task is over too", () => {
    const play = cancel(push(hireWith("curlew")));
    expect(play.callouts()).toMatchObject([{ state: "done" }]);
    expect(hasEnded(play.says("how do I make the bed"))).toBe(true);
  });
  it("past its return it is still to be rung about, until the van is back or staff end it", () => {
    const late = () => push(hireWith("curlew").pass(6 * 24 * 60 + 60));
    const evening = () => {
      const play = late();
      play.until(() => told(play).join().includes("Not rung yet"));
      return play;
    };
    expect(evening().callouts()).toMatchObject([{ state: "with" }]);
    const back = late();
    back.staff("isla", { do: "return-record", reading: { at: back.at, by: "isla" } });
    expect(back.callouts()).toMatchObject([{ state: "done" }]);
    expect(told(back)).toEqual([expect.stringMatching(/^\w+: No need to ring, the van is back\./)]);
    expect(back.dues().map((d) => d.key)).not.toContain("callout:1:task");
  });
  it("who takes the task next morning is told nothing of a hirer who knows their name", () => {
    const play = push(hireWith("curlew"));
    play.until(() => play.callouts()[0]?.promiseBroken !== undefined);
    const owner = play.callouts()[0]?.with;
    const other = ["morag", "callum"].find((id) => id !== owner) ?? "";
    play.staff(other, { do: "take", callout: 1 });
    expect(told(play).join()).toMatch(/now \(SX26 ABC\)\. When do you ring\?/);
  });
  it("before the pick-up it is cancelled", () => {
    const play = hireWith("curlew").pass(-25 * 60);
    expect(push(play).hire().booking.status).toBe("cancelled");
    expect(play.callouts()).toEqual([]);
  });
});

describe("of a hire that has ended", () => {
  it("a danger that is open is heard on, also of a van that is back", () => {
    const play = cancel(hireWith("curlew")).says("the van is on fire");
    play.staff("isla", { do: "take", callout: 1 }).says("we are all out, in the field");
    expect(told(play)).toContain('isla: SX26 ABC, Ann: "we are all out, in the field"');
    const back = hireWith("curlew").says("red oil can light came on");
    back.staff("morag", { do: "return-record", reading: { at: back.at, by: "morag" } });
    back.pass(15 * 24 * 60);
    expect(hasEnded(back.says("how do I make the bed"))).toBe(true);
    back.says("the van is on fire").says("we are all out");
    expect(hasEnded(back)).toBe(false);
  });
  it.each([
    ["nothing is open", hireWith("curlew")],
    ["a light is open", hireWith("curlew").says("amber abs light")],
    ["a danger is open", hireWith("curlew").says("the van is on fire")],
  ])("is over where nothing of it is open: %s", (_what, play) => {
    const over = () => isOver(play.hire(), play.at, book.keeping);
    const open = play.callouts().length > 0;
    cancel(play);
    expect(over()).toBe(!open);
    play.staff("morag", { do: "return-record", reading: { at: play.at, by: "morag" } });
    play.pass(15 * 24 * 60);
    const inDanger = play.callouts()[0]?.severity === "danger";
    expect(over()).toBe(!inDanger);
  });
  it("where nothing is open, only a danger is heard", () => {
    expect(hasEnded(cancel(hireWith("curlew")).says("red oil can light came on"))).toBe(true);
  });
});
