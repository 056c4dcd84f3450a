/** An alert that a channel did not carry: the next contact is alerted at once, but not before every channel has failed. */
import { describe, expect, it } from "vitest";
import type { Address } from "../../../src/post.js";
import { hireWith, type Play } from "../../kit/hire.js";

const chat: Address = { channel: "telegram", to: "7" };
const hook: Address = { channel: "hook", to: "isla" };
const lost = (play: Play, to: Address) =>
  play.arrives({ kind: "undelivered", send: "s", to, callout: 1 });
const rung = (play: Play) => [...new Set(play.sends.flatMap((s) => s.contact ?? []))];
/** A stop that went to Morag and then to Isla, who has a chat and the hook and is not at the desk. */
const asked = () => {
  const reach = { telegram: { isla: chat.to }, hook: true };
  const play = hireWith("curlew", { atDesk: ["morag", "callum"], reach });
  play.says("red oil can light came on").nextDue();
  expect(rung(play)).toEqual(["isla"]);
  return play;
};

describe("an alert that was not delivered", () => {
  it.each([
    ["the chat first", [chat, hook]],
    ["the hook first", [hook, chat]],
  ])("on every channel of a contact, the next one is alerted at once: %s", (_what, [one, two]) => {
    const play = asked();
    expect(rung(lost(play, one as Address))).toEqual([]);
    expect(rung(lost(play.restart(), two as Address))).toEqual(["callum"]);
    expect(play.callouts()[0]?.alerted).toEqual(["morag", "isla", "callum"]);
  });
  it("twice on one channel leaves the other", () => {
    const play = asked();
    lost(play, chat);
    expect(rung(lost(play, chat))).toEqual([]);
  });
  it("counts for that alert alone: with the next one each channel is a way again", () => {
    const play = asked();
    lost(play, chat).nextDue();
    expect(rung(play)).toEqual(["callum"]);
    expect(rung(lost(play, hook))).toEqual([]);
    expect(play.callouts()[0]?.failed).toEqual([{ contact: "isla", channel: "hook" }]);
  });
  it("while nobody is left who was not alerted, waits for the next round", () => {
    const play = asked();
    play.nextDue();
    lost(play, chat);
    expect(rung(lost(play, hook))).toEqual([]);
  });
});
