/** What hirers write after the trip: thanked, they are asked what they left behind and what troubled them. */
import { describe, expect, it } from "vitest";
import { hireWith } from "../kit/hire.js";

/** A van that came back at noon, its hirers thanked next morning. */
function thanked(lang = "en") {
  const play = hireWith("curlew", { lang });
  play.staff("morag", { do: "return-record", reading: { at: play.at, by: "morag" } });
  return play.until(() => play.hirer().some((text) => text.startsWith("Thank you")));
}

describe("after the trip", () => {
  it("what they answer goes to a person, for as long as their links live", () => {
    const play = thanked()
      .pass(3 * 60)
      .says("my insulin in the fridge");
    expect(play.duty()).toEqual([
      { contact: "morag", text: expect.stringContaining("my insulin in the fridge") },
    ]);
    expect(play.hirer().join()).toContain("I have alerted");
    expect(
      play
        .pass(15 * 24 * 60)
        .says("and my glasses")
        .hirer()[0],
    ).toMatch(/^This hire has ended/);
  });
  it("what they answer is told nothing of lights, in any language", () => {
    const back = hireWith("curlew", { lang: "de" });
    back.staff("morag", { do: "return-record", reading: { at: back.at, by: "morag" } });
    for (const play of [
      back.says("wir haben eine Panne"),
      thanked("de").says("my insulin in the fridge"),
    ]) {
      expect(play.hirer().join()).toContain("I have alerted");
      expect(play.hirer().join()).not.toContain("Farbe");
    }
  });
  it("a fault is told to staff and stays on the van", () => {
    const play = thanked()
      .pass(3 * 60)
      .says("the brakes felt soft");
    expect(play.duty()).not.toEqual([]);
    expect(play.last.posts).toMatchObject([
      { lane: "van:SX26 ABC", body: { act: { do: "reported" } } },
    ]);
  });
  it("a danger is heard, thanks are answered", () => {
    expect(thanked().says("thank you, it was lovely").callouts()).toEqual([]);
    expect(thanked().says("the van is on fire").callouts()).toMatchObject([{ severity: "danger" }]);
  });
  it("what may be a danger is asked about, with the number", () => {
    const play = thanked().says("it smells odd in here, not sure if it's burning");
    expect(play.hirer().join()).toContain("999");
    expect(play.hire().talks["p1"]?.doubt).toBeDefined();
  });
  it("a danger in the words under a photo is heard too, once the hire has ended", () => {
    const photo = (caption: string) =>
      thanked()
        .pass(20 * 24 * 60)
        .arrives({
          kind: "photo",
          from: { person: "p1", via: { channel: "web", to: "p1" } },
          file: { id: "a".repeat(64), kind: "image/jpeg" },
          caption,
        });
    expect(photo("the van is on fire").callouts()).toMatchObject([{ severity: "danger" }]);
    expect(photo("the van at the loch").hirer()).toEqual([
      expect.stringMatching(/^This hire has ended/),
    ]);
  });
});
