/** Texts to whom nothing else reaches: what is about safety, once, and with who writes. */
import { describe, expect, it } from "vitest";
import { after as later } from "../../src/calendar.js";
import { newHire } from "../../src/hires/people.js";
import { step } from "../../src/hires/step.js";
import type { Address, Booking, LaneId, Send } from "../../src/post.js";
import { book, hireWith, matcher, type Play, toldTo } from "../kit/hire.js";
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

const number = "+447700900500";
const chat: Address = { channel: "telegram", to: "100" };
const greeting = "automated assistant of Strathbeg Campervans";
const withTexts = (...people: string[]) => hireWith("curlew", { people, texts: "44" });
let notices = 0;
/** Staff warn of a storm. */
const warned = (play: Play) =>
  play.staff("morag", {
    do: "notice",
    notice: { id: `n${++notices}`, title: "Storm", text: "Park away from trees." },
  });
const ways = (play: Play) => play.sends.filter((s) => s.person).map((s) => s.to.channel);
const textsOf = (play: Play) => play.sends.filter((s) => s.to.channel === "gateway");

describe("who reads on the page alone", () => {
  it("is texted what is about safety once nothing came from it for ten minutes", () => {
    const play = withTexts("Ann").says("how do i make the bed");
    expect(ways(warned(play.pass(9)))).toEqual(["web"]);
    expect(ways(warned(play.pass(2)))).toEqual(["web", "gateway"]);
    play.says("thank you");
    expect(ways(play)).toEqual(["web"]);
    expect(ways(warned(play))).toEqual(["web"]);
  });
  it("reads with the first text who writes, and with no later one", () => {
    const play = withTexts("Ann").says("how do i make the bed").pass(20);
    expect(textsOf(warned(play))[0]?.message.text).toContain(greeting);
    expect(textsOf(warned(play))[0]?.message.text).not.toContain(greeting);
  });
  it("is texted nothing while a threat of theirs is open, nor of it afterwards", () => {
    const play = withTexts("Ann").says("my partner is hitting me and i am scared").pass(20);
    expect(ways(play.staff("morag", { do: "take", callout: 1 }))).toEqual(["web"]);
    expect(ways(warned(play))).toEqual(["web"]);
    expect(ways(play.staff("morag", { do: "done", callout: 1, outcome: "advice" }))).toEqual([
      "web",
    ]);
    expect(ways(warned(play))).toEqual(["web", "gateway"]);
  });
});

describe("two of a hire with one number or chat", () => {
  it("are told the same there once", () => {
    const play = withTexts("Ann", "Ben");
    expect(textsOf(warned(play)).map((s) => s.to.to)).toEqual([number]);
    expect(textsOf(warned(play))).toHaveLength(1);
    for (const person of ["p1", "p2"])
      play.arrives({ kind: "joined", from: { person, via: chat } });
    expect(ways(warned(play))).toEqual(["telegram"]);
  });
});

describe("a safety message that did not get through to a hirer", () => {
  /** The last message to them by this way is lost. */
  const lost = (play: Play, way: Address, more: { waits?: true; onlyStaff?: true } = {}) => {
    const send = play.sends.find((s) => s.person && s.to.channel === way.channel);
    const message = send?.message ?? { text: "Park away from trees." };
    const hirer = { person: "p1", message, madeAt: play.at, ...more };
    return play.arrives({ kind: "undelivered", send: "s", to: way, hirer });
  };
  const joined = (texts?: string) =>
    hireWith("curlew", texts === undefined ? {} : { texts }).arrives({
      kind: "joined",
      from: { person: "p1", via: chat },
    });

  it("goes by text, and whoever is on duty is to ring them; later ones go both ways at once", () => {
    const play = lost(warned(joined("44")), chat);
    expect(textsOf(play)[0]).toMatchObject({ to: { to: number }, safety: true });
    expect(textsOf(play)[0]?.message.text).toContain("Park away from trees.");
    const told = toldTo(play, "morag");
    expect(told).toContain("Ann (SX26 ABC) was not reached by Telegram");
    expect(told).toContain("text message to their number instead. Ring them: 07700 900500.");
    expect(ways(warned(play.restart().pass(1)))).toEqual(["telegram", "gateway"]);
    expect(lost(play, chat).sends).toEqual([]);
    play.arrives({ kind: "said", from: { person: "p1", via: chat }, text: "thanks" });
    expect(ways(warned(play))).toEqual(["telegram"]);
  });
  it("without a gateway is told to staff, once an hour", () => {
    const play = lost(warned(joined()), chat);
    expect(ways(play)).toEqual([]);
    expect(toldTo(play, "morag")).toMatch(/"\nRing them: 07700 900500\.$/);
    expect(lost(warned(play.pass(59)), chat).sends).toEqual([]);
    expect(toldTo(lost(warned(play.pass(2)), chat), "morag")).toContain("Ring them");
  });
  it("to the number itself is told to staff, who get no promise of a text", () => {
    const way: Address = { channel: "gateway", to: number };
    const play = lost(warned(withTexts("Ann")), way);
    expect(ways(play)).toEqual([]);
    expect(toldTo(play, "morag")).toMatch(/not reached by text message: .*"\nRing them/s);
  });
  it("while it is still tried goes by text as well, and staff hear only when it is given up", () => {
    const play = lost(warned(joined("44")), chat, { waits: true });
    expect(ways(play)).toEqual(["gateway"]);
    expect(play.duty()).toEqual([]);
    expect(ways(warned(play))).toEqual(["telegram"]);
    lost(play, chat, { onlyStaff: true });
    expect(ways(play)).toEqual([]);
    expect(toldTo(play, "morag")).toContain("not reached by Telegram");
  });
  it("is nobody's affair where they read it elsewhere, or are reached there no more", () => {
    const play = joined("44").says("how do i make the bed");
    expect(lost(warned(play), chat).sends).toEqual([]);
    expect(lost(play, { channel: "telegram", to: "999" }).sends).toEqual([]);
  });
  it("is told to whoever has the matter, of a threat without the order to ring", () => {
    const play = joined("44");
    const from = { person: "p1", via: chat };
    play.arrives({ kind: "said", from, text: "my partner is hitting me and i am scared" });
    play.staff("isla", { do: "take", callout: 1 });
    const hirer = { person: "p1", message: { text: "Isla has it." }, madeAt: play.at };
    play.arrives({ kind: "undelivered", send: "s", to: chat, callout: 1, hirer });
    expect(ways(play)).toEqual([]);
    expect(toldTo(play, "isla")).toContain("Their number: 07700 900500.");
    expect(play.duty().map((d) => d.contact)).toEqual(["isla"]);
  });
});

describe("a number that the booking has no longer", () => {
  it("reaches nobody of the hire, also where somebody wrote from it; the right one does", () => {
    const play = withTexts("Ann");
    const wrong: Address = { channel: "gateway", to: number };
    warned(play).arrives({
      kind: "said",
      from: { person: "p1", via: wrong },
      text: "who is this?",
    });
    expect(play.hire().people[0]?.reached).toEqual([wrong]);
    const put = (phone: string) =>
      play.arrives({ kind: "changed", by: "morag", change: { people: [{ name: "Ann", phone }] } });
    expect(put("+44 7700 900500").hire().people[0]?.reached).toEqual([wrong]);
    expect(put("07700 900501").hire().people[0]?.reached).toEqual([]);
    const [text] = textsOf(warned(play));
    expect(text?.to.to).toBe("+447700900501");
    expect(text?.message.text).toContain(greeting);
  });
});
