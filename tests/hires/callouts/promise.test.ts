/** A promised call is chased until it came, whoever else speaks with the hirer and whatever the matter is put together with. */
import { describe, expect, it } from "vitest";
import { type Instant, after as later } from "../../../src/calendar.js";
import type { DeskAct } from "../../../src/post.js";
import { hireWith, type Play, toldTo } from "../../kit/hire.js";

/** Lets dues come until this contact reads these words; when that was. */
function until(play: Play, contact: string, words: string): Instant {
  for (let i = 0; i < 40 && play.nextDue(); i++)
    if (toldTo(play, contact).includes(words)) return play.at;
  throw new Error(`${contact} never read "${words}"`);
}
const light = () => hireWith("curlew").says("amber abs light");
const promised = (play: Play, minutes: number, callout = 1, by = "morag") =>
  play.staff(by, { do: "promise", callout, at: later(play.at, minutes) });

describe("a call that one promised while another is on the phone", () => {
  it("is still awaited when nobody tells how the other's call ended", () => {
    const play = light();
    const at = later(play.at, 180);
    promised(play, 180).pass(120).staff("isla", { do: "phone", callout: 1 });
    expect(until(play, "morag", "you ring Ann")).toBe(later(at, -5));
    expect(until(play, "morag", "You promised to ring")).toBe(at);
    expect(play.hirer().join()).toContain("Morag meant to ring you by 15:00.");
  });
});

describe("a call that one person of a hire was promised", () => {
  const both = () => {
    const play = hireWith("curlew", { people: ["Ann", "Ben"] });
    play.says("I want to talk to a person").says("amber abs light", { person: "p2" });
    return promised(play.staff("morag", { do: "take", callout: 2 }), 30).pass(32);
  };
  const writes = (play: Play, callout: number, person: string) =>
    play.staff("morag", { do: "reply", callout, person, text: "how are you" });
  it("has not come by writing to another, and has by writing to them", () => {
    const play = writes(both(), 2, "p2");
    expect(play.callouts()[0]?.promisedAt).toBeDefined();
    until(play, "morag", "You promised to ring");
    expect(writes(both(), 1, "p1").callouts()[0]?.promisedAt).toBeUndefined();
    expect(writes(both(), 2, "all").callouts()[0]?.promisedAt).toBeUndefined();
  });
});

describe("put together with another matter", () => {
  const joined: DeskAct = { do: "done", callout: 1, outcome: "joined", to: 2 };
  const brakes = (play: Play) => play.says("the brake pedal is soft and sinks");

  it("that nobody has, it keeps its owner and the promised call, and the hirer hears so", () => {
    const play = brakes(promised(light(), 60));
    const at = later(play.at, 60);
    play.staff("callum", joined);
    expect(play.callouts()[1]).toMatchObject({ state: "with", with: "morag", promisedAt: at });
    expect(play.hirer()[0]).toContain(
      "It goes on there. Morag has read this and rings you by 13:00.",
    );
    expect(toldTo(play, "morag")).toContain('"Brakes feel soft or weak", which is with you now.');
    expect(toldTo(play, "morag")).toContain("You ring by 13:00.");
    expect(play.dues().map((d) => d.key)).not.toContain("callout:2:next");
    expect(until(play, "morag", "you ring Ann")).toBe(later(at, -5));
  });
  it("that nobody has, a sign of its owner is awaited where no call was promised", () => {
    const play = brakes(light().staff("morag", { do: "take", callout: 1 }));
    play.staff("morag", joined);
    expect(play.callouts()[1]).toMatchObject({ state: "with", with: "morag" });
    expect(play.hirer()[0]).toContain("It goes on there. Morag has read this and has it now.");
    const joinedAt = play.at;
    expect(until(play, "morag", "there is no sign of you")).toBe(later(joinedAt, 10));
  });
  it("that somebody has, the earlier promised call is awaited of them", () => {
    const play = brakes(promised(light(), 60)).staff("callum", { do: "take", callout: 2 });
    const at = later(play.at, 60);
    play.staff("morag", joined);
    expect(play.callouts()[1]).toMatchObject({ with: "callum", promisedAt: at });
    expect(toldTo(play, "callum")).toContain("You ring by 13:00.");
    expect(play.hirer()[0]).toContain("Callum has read this and rings you by 13:00.");
    const sooner = promised(brakes(promised(light(), 60)), 20, 2, "callum");
    const first = later(sooner.at, 20);
    sooner.staff("morag", joined);
    expect(sooner.callouts()[1]).toMatchObject({ with: "callum", promisedAt: first });
    expect(sooner.hirer()[0]).toMatch(/It goes on there\.$/);
  });
  it("a promise that was missed binds nobody, and nobody has it who gave no sign", () => {
    const play = brakes(promised(light(), 5));
    play.until(() => play.callouts()[0]?.promiseBroken !== undefined);
    play.staff("isla", joined);
    expect(play.callouts()[1]).toMatchObject({ state: "nobody-yet" });
    expect(play.dues().map((d) => d.key)).toContain("callout:2:next");
  });
  it("its owner who goes off duty is relieved of the other too", () => {
    const play = brakes(
      hireWith("curlew", { at: "2026-06-03T19:50+01:00" }).says("amber abs light"),
    );
    promised(play, 60).pass(10);
    const ends = { kind: "hand-over", callout: 1, from: "morag" } as const;
    play.arrives({ kind: "due", due: "callout:1:hand", generation: 0, matter: ends });
    play.staff("callum", joined);
    until(play, "callum", "HANDING OVER from Morag: STOP");
  });
});
