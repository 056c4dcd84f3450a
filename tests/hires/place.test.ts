import { describe, expect, it } from "vitest";
import { after as minutesFrom } from "../../src/calendar.js";
import { namesPlace } from "../../src/hires/heard/place.js";
import type { ArrivalBody } from "../../src/post.js";
import { hireWith, type Play } from "../kit/hire.js";

type Located = Extract<ArrivalBody, { kind: "located" }>;
const at = (lat: number, lon: number, more: Partial<Located> = {}): Located => ({
  kind: "located",
  from: { person: "p1", via: { channel: "web", to: "p1" } },
  lat,
  lon,
  ...more,
});
const stopped = () => hireWith("curlew").says("the red oil can light came on");

describe("a shared place", () => {
  it("is told to hirer and staff with grid reference, degrees, accuracy and geo link", () => {
    const play = stopped().arrives(at(57.48625, -4.21926, { accuracyM: 12 }));
    const [told = ""] = play.hirer();
    for (const part of [
      "National Grid NH 6705 4617",
      "57.48625, -4.21926 (within about 12 m)",
      "geo:57.48625,-4.21926;u=12",
    ]) {
      expect(told).toContain(part);
      expect(play.duty()[0]?.text).toContain(part);
    }
  });
  it("stands in every later alert with its time", () => {
    const play = stopped().arrives(at(57.48625, -4.21926));
    play.nextDue();
    expect(play.duty()[0]?.text).toContain(
      "Last known place: National Grid NH 6705 4617 (57.48625, -4.21926) at 12:00",
    );
  });
  it("is of the time when the phone was there, and an older one does not replace a newer", () => {
    const play = stopped().pass(30);
    play.arrives(at(57.5, -4.2), minutesFrom(play.at, -5));
    expect(play.hire().place).toMatchObject({ lat: 57.5, at: minutesFrom(play.at, -5) });
    play.arrives(at(57.1, -4.9), minutesFrom(play.at, -20));
    expect(play.hire().place).toMatchObject({ lat: 57.5 });
    const head = "place at 12:10, older than the one that is known:";
    expect(play.duty()[0]?.text).toContain(head);
    play.says("A9 northbound by marker post 34", { writtenAt: minutesFrom(play.at, -20) });
    expect(play.duty()[0]?.text).toContain(head);
    play.says("A9 northbound by marker post 35");
    expect(play.duty()[0]?.text).toContain('"place: A9');
    play.says("A9 northbound by marker post 36", { writtenAt: minutesFrom(play.at, -20) });
    expect(play.hire().placeSaid?.words).toContain("post 35");
  });
  it("that moves by itself is kept, tells nobody anything, and is no sign of life", () => {
    const play = stopped().arrives(at(57.5, -4.2, { live: "began" }));
    expect(play.hirer()[0]).toContain("I follow it as long as you share it.");
    const hear = play.callouts()[0]?.hearFromBy;
    play.pass(10).arrives(at(57.6, -4.3, { live: "moved" }));
    expect(play.sends).toEqual([]);
    expect(play.hire().place).toMatchObject({ lat: 57.6, at: play.at });
    expect(play.callouts()[0]?.hearFromBy).toBe(hear);
  });
  it("that still moves once the van is back is kept no more and answered by nothing, but in a danger", () => {
    const back = (play: Play) =>
      play.staff("morag", { do: "return-record", reading: { at: play.at, by: "morag" } });
    const moved = at(57.6, -4.3, { live: "moved" });
    const play = back(hireWith("curlew").arrives(at(57.5, -4.2, { live: "began" }))).arrives(moved);
    expect(play.hire().place).toMatchObject({ lat: 57.5 });
    expect(play.pass(15 * 24 * 60).arrives(moved).sends).toEqual([]);
    expect(play.last.because).toEqual(["ignored: the trip is over"]);
    const gone = hireWith("curlew").arrives({
      kind: "changed",
      by: "bookings",
      change: { status: "cancelled" },
    });
    expect(gone.arrives(moved).sends).toEqual([]);
    const burns = back(hireWith("curlew").says("the van is on fire")).arrives(moved);
    expect(burns.hire().place).toMatchObject({ lat: 57.6 });
  });
  it("of just before a trouble is where the trouble is: where they are is not asked", () => {
    const play = hireWith("curlew").arrives(at(57.5, -4.2)).pass(5);
    play.says("the red oil can light came on");
    expect(play.duty()[0]?.text).toContain("Last known place: National Grid");
    play.taps("Safe place");
    expect(play.hirer().join("\n")).not.toContain("Where are you?");
  });
  it("abroad and at sea has no grid reference", () => {
    const [told = ""] = hireWith("curlew").arrives(at(50.96, 1.85)).hirer();
    expect(told).toContain("50.96000, 1.85000");
    expect(told).not.toMatch(/Grid/);
  });
});

describe("where they are", () => {
  it("on a road and so far from a thing stays in their words, and the phone's place is kept", () => {
    const play = stopped().arrives(at(56.71, -4.97)).pass(1);
    play.says("it is on the B863 150 metres from the hotel");
    expect(play.hire().place).toMatchObject({ lat: 56.71 });
    expect(play.hire().placeSaid?.words).toContain("150 metres from the hotel");
  });
  it.each(["filled.count.soap", "57,48625 -4,21926"])(
    "is kept also as the Continent and the emergency services write it: %s",
    (words) => {
      const play = stopped().taps("Safe place").says(words).hire();
      expect(play.place?.lat ?? play.placeSaid?.words).toBe(play.place ? 57.48625 : words);
    },
  );
  it("is asked once, after the safety step, with a button that shares the place", () => {
    const play = stopped();
    expect(play.hirer().at(-1)).toBe("Is it a safe place to wait?");
    play.taps("Safe place");
    const asked = play.sends.find((s) => s.message.text.includes("Where are you?"));
    expect(asked?.message.askPlace).toBe("Share my place");
    play.taps("None of these");
    expect(play.hirer().join("\n")).not.toContain("Where are you?");
  });
  it.each([
    "mile marker 34 A9",
    "A9 northbound just past Dalwhinnie",
    "near the distillery in dalwhinnie",
  ])("in words is kept, passed on and shown to whoever is alerted later: %s", (words) => {
    const play = stopped().taps("Safe place");
    play.says(words);
    expect(play.duty()[0]?.text).toContain(words);
    expect(play.hirer()[0]).toMatch(/^Thank you\. Our staff see/);
    play.nextDue();
    expect(play.duty()[0]?.text).toContain(`Last known place: "${words}" at 12:00`);
  });
  it.each(["57.48, -4.22", "NH 666 450", "https://maps.example/@57.48,-4.22,15z"])(
    "in figures is read as a place while something is open: %s",
    (words) => {
      const play = stopped().says(`we are at ${words}`);
      expect(play.hire().place?.lat).toBeCloseTo(57.48, 1);
      expect(play.hirer()[0]).toContain("National Grid NH 66");
      expect(play.duty()[0]?.text).toContain("National Grid NH 66");
    },
  );
  it("is asked once more of a vague answer, unless another of the hire has shared it", () => {
    const asked = () =>
      hireWith("curlew", { people: ["Ann", "Ben"] })
        .says("the red oil can light came on")
        .taps("Safe place");
    const again = "Which road is that";
    expect(asked().says("we are in a lay-by").hirer().join()).toContain(again);
    const from = { person: "p2", via: { channel: "web", to: "p2" } } as const;
    const play = asked()
      .arrives(at(57.5, -4.2, { from }))
      .says("we are in a lay-by");
    expect(play.hirer().join()).not.toContain(again);
    expect(play.duty()[0]?.text).toContain("lay-by");
  });
  it("as a link without figures is kept as it is, once it was asked for", () => {
    const link = "https://maps.example/abc123";
    const play = stopped().taps("Safe place");
    play.says(link);
    expect(play.hire().placeSaid?.words).toBe(link);
    expect(play.duty()[0]?.text).toContain(`place: ${link}`);
    play.nextDue();
    expect(play.duty()[0]?.text).toContain(`Last known place: "${link}" at 12:00`);
    const chat = stopped().taps("Safe place");
    chat.says(`https://trips.example.org/h/${"A".repeat(22)}`);
    expect(chat.hire().placeSaid).toBeUndefined();
  });
  it("is not heard where nothing is open", () => {
    const play = hireWith("curlew").says("57.48, -4.22");
    expect(play.hire().place).toBeUndefined();
    expect(play.hirer()[0] ?? "").not.toContain("Your place");
  });
  it("that stands in the words of a danger is in the first alert", () => {
    const play = hireWith("curlew").says("van is on fire, grid ref NH 666 450");
    expect(play.duty()[0]?.text).toContain("Last known place: National Grid NH 666 450");
  });
  it("does not say whether it is safe: that is still asked", () => {
    const play = stopped().says("A9 northbound just past Dalwhinnie");
    expect(play.hirer().at(-1)).toBe("Is it a safe place to wait?");
    expect(play.callouts()[0]?.urgent).toBeUndefined();
  });
  it("that is not safe makes it urgent and sends them to roadside assistance too", () => {
    const play = stopped().says("blind bend on the A836 near Tongue");
    expect(play.hirer().join("\n")).toContain("Your place is not safe");
    expect(play.callouts()[0]?.urgent).toBe(true);
    expect(play.hire().placeSaid?.words).toContain("Tongue");
  });
  it.each([
    ["we are on the tracks just before the A832 crossing", "level-crossing"],
    ["on the level crossing near Forgandenny on the A9", "level-crossing"],
    ["we are across the rails at the crossing near Duirinish station, IV40 8BE", "level-crossing"],
    ["in a tunnel just past junction 3 of the A1", "live-lane"],
  ])(
    "on rails or in a tunnel is the danger that it is, though it was asked for: %s",
    (words, danger) => {
      const play = stopped().taps("Safe place").says(words);
      expect(play.callouts().map((c) => c.matter)).toEqual(["oil-pressure", danger]);
      expect(play.hirer().join("\n")).toContain("999");
      expect(play.hire().placeSaid?.words).toBe(words);
    },
  );
  it("in the middle of the road is in doubt, and not safe where that was asked", () => {
    const words = "A9 northbound by marker post 34, in the middle of the carriageway";
    expect(stopped().taps("Safe place").says(words).hirer().join("\n")).toContain("999");
    expect(stopped().says(words).callouts()[0]).toMatchObject({ urgent: true, placeSafe: false });
  });
  it.each([
    "by the hotel in the middle of Ullapool",
    "in the middle of the village, near the hotel",
    "middle of nowhere, B863 past Tongue",
    "on track for Durness, on the A836",
    "near Tongue, in the middle of our trip",
  ])("amid no traffic is a place: %s", (words) => expect(namesPlace(words)).toBe(true));
  it.each([
    "middle of the A9 near Tomatin",
    "in the middle of a narrow road near Tongue",
    "middle of the dual carriageway, A9 near Tomatin",
    "on the tracks near Duirinish",
    "in the middle of the ford near Tongue",
    "the river has come up, we are in the middle of it near Tongue",
  ])("amid traffic, on rails or in water is more than a place: %s", (words) =>
    expect(namesPlace(words)).toBe(false),
  );
  it("is asked for no more once the matter is done", () => {
    const play = stopped().taps("Safe place");
    play.staff("morag", { do: "take", callout: 1 });
    play.staff("morag", { do: "done", callout: 1, outcome: "other" }).pass(60);
    play.says("on the level crossing near Forgandenny on the A9");
    expect(play.callouts().at(-1)).toMatchObject({ severity: "danger" });
  });
  it("just past the rails is a place", () => {
    const play = stopped().taps("Safe place").says("just past the level crossing on the A9");
    expect(play.callouts()).toHaveLength(1);
    expect(play.hirer()[0]).toBe("Thank you. Our staff see where you are.");
  });
  it("is no answer to a question about the road", () => {
    const play = stopped().says("what is the speed limit for this van on a motorway");
    expect(play.callouts()[0]?.urgent).toBeUndefined();
    expect(play.hire().placeSaid).toBeUndefined();
  });
});
