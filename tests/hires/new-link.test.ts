/** A link that was made anew: whoever used the one before reads nothing more, in whatever chat. */
import { describe, expect, it } from "vitest";
import { newHire } from "../../src/hires/people.js";
import { step } from "../../src/hires/step.js";
import type { Address, LaneId } from "../../src/post.js";
import { book, hireWith, matcher } from "../kit/hire.js";
import { booking, noon } from "../kit/small-house.js";

const finder: Address = { channel: "telegram", to: "900" };
const own: Address = { channel: "gateway", to: "+447700900501" };
const other: Address = { channel: "gateway", to: "+447700900999" };

/** How Ann is reached after a new link, who was reached by these before. */
function reachedAfter(reached: Address[], phone: string): Address[] {
  const ann = { id: "p1", name: "Ann", booker: true, phone };
  const hire = newHire(booking("h1", { people: [ann] }));
  const made = step(
    { kind: "hire", hire: { ...hire, people: [{ ...ann, reached, greeted: true }] } },
    {
      ...{ key: "k", lane: "hire:h1" as LaneId, receivedAt: noon },
      body: { kind: "desk", by: "morag", act: { do: "new-link", person: "p1" } },
    },
    {
      ...{ now: noon, book, matcher, texts: "44" },
      reach: { atDesk: [], telegram: {}, hook: false },
    },
  );
  return made.state?.kind === "hire" ? (made.state.hire.people[0]?.reached ?? []) : [];
}

describe("a link made anew", () => {
  it("cuts off who joined by the one before, in the middle of a call-out too", () => {
    const play = hireWith("curlew", { people: ["Ann", "Ben"] });
    play.arrives({ kind: "joined", from: { person: "p1", via: finder } });
    play.says("red oil can light came on");
    expect(play.sends.some((s) => s.to.to === finder.to)).toBe(true);
    play.staff("morag", { do: "new-link", person: "p1" });
    expect(play.sends).toEqual([]);
    play.staff("morag", { do: "take", callout: 1 });
    expect(play.sends.filter((s) => s.person === "p1").map((s) => s.to.channel)).toEqual(["web"]);
  });
  it("leaves the others of the hire as they are", () => {
    const play = hireWith("curlew", { people: ["Ann", "Ben"] });
    play.arrives({ kind: "joined", from: { person: "p2", via: finder } });
    play.staff("morag", { do: "new-link", person: "p1" });
    expect(play.hire().people[1]?.reached).toEqual([finder]);
    play.staff("morag", { do: "new-link", person: "p9" });
    expect(play.last.because.join()).toContain("ignored");
  });
  it("leaves texts to the number in the booking, and none to a number that stood there before", () => {
    expect(reachedAfter([finder, own, other], "07700 900501")).toEqual([own]);
    expect(reachedAfter([finder, own, other], "07700 900502")).toEqual([]);
  });
});
