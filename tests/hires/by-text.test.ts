/** Texts to somebody of the hire who never wrote: what is about safety, once, and with who writes. */
import { describe, expect, it } from "vitest";
import { after as later } from "../../src/calendar.js";
import { newHire } from "../../src/hires/people.js";
import { step } from "../../src/hires/step.js";
import type { Address, Booking, LaneId, Send } from "../../src/post.js";
import { book, matcher } from "../kit/hire.js";
import { booking, noon } from "../kit/small-house.js";

const web: Address = { channel: "web", to: "p1" };

/** What goes to Ben when Ann writes; Ben has never written. */
function toBen(
  text: string,
  people: Partial<Booking["people"][number]>,
  texts?: string,
  via = web,
): Send[] {
  const ben = { id: "p2", name: "Ben", booker: false, ...people };
  const ann = { id: "p1", name: "Ann", booker: true, phone: "07700 900500" };
  const hire = newHire(booking("h1", { people: [ann, ben], pickupAt: later(noon, -60) }));
  const known = hire.people.map((p) =>
    p.id === "p1" ? { ...p, reached: [via], greeted: true } : p,
  );
  const made = step(
    { kind: "hire", hire: { ...hire, people: known } },
    {
      key: "k",
      lane: "hire:h1" as LaneId,
      receivedAt: noon,
      body: { kind: "said", from: { person: "p1", via }, text },
    },
    {
      ...{ now: noon, book, matcher, reach: { atDesk: [], telegram: {}, hook: false } },
      ...(texts === undefined ? {} : { texts }),
    },
  );
  return made.sends.filter((s) => s.person === "p2");
}
const phone = { phone: "07700 900501" };
const danger = "there is a fire in the van";

describe("somebody of the hire who never wrote", () => {
  it("is told of a danger by text, the emergency number first, and who writes last", () => {
    const byText = toBen(danger, phone, "44").find((s) => s.to.channel === "gateway");
    expect(byText?.to.to).toBe("+447700900501");
    const lines = byText?.message.text.split("\n") ?? [];
    expect(lines[0]).toContain("999 or 112");
    expect(lines.at(-1)).toContain("automated assistant of Strathbeg Campervans");
  });
  it("is told where they may look as well, in the same words", () => {
    const sends = toBen(danger, phone, "44");
    expect(sends.map((s) => s.to.channel)).toEqual(["web", "gateway"]);
    expect(sends[0]?.message).toEqual(sends[1]?.message);
  });
  it("gets no text where there is no gateway, no number, or a number that somebody else reads", () => {
    const channels = (sends: Send[]) => sends.map((s) => s.to.channel);
    expect(channels(toBen(danger, phone))).toEqual(["web"]);
    expect(channels(toBen(danger, {}, "44"))).toEqual(["web"]);
    expect(channels(toBen(danger, { phone: "see notes" }, "44"))).toEqual(["web"]);
    const annByText: Address = { channel: "gateway", to: "+447700900500" };
    const shared = { phone: "+44 7700 900500" };
    expect(channels(toBen(danger, shared, "44", annByText))).toEqual(["web"]);
    expect(channels(toBen(danger, shared, "44"))).toEqual(["web", "gateway"]);
  });
  it("gets no text for another's ordinary question, and a threat is never passed on", () => {
    expect(toBen("how do i make the bed", phone, "44")).toEqual([]);
    expect(toBen("my partner is hitting me and i am scared", phone, "44")).toEqual([]);
  });
});
