/** Another van on the road: a light or a fault stays that of the van for which it was opened. */
import { describe, expect, it } from "vitest";
import { after as later } from "../../../src/calendar.js";
import { readingsOfVan } from "../../../src/hires/care/readings.js";
import type { Handover } from "../../../src/vans/handover.js";
import { hireWith, type Play } from "../../kit/hire.js";

const [before, now] = ["SX26 ABC", "SX26 WRN"];
const swap = (play: Play) =>
  play.arrives({
    kind: "changed",
    by: "morag",
    change: { van: { registration: now, type: "wren" } },
  });
const told = (play: Play) => play.duty().map((d) => d.text);
/** Lets dues come until staff read what begins so. */
function read(play: Play, begins: string): string {
  for (let i = 0; i < 20 && play.nextDue(); i++) {
    const found = told(play).find((text) => text.startsWith(begins));
    if (found !== undefined) return found;
  }
  return "nothing";
}

/** A record of the van before, with nothing amiss. */
const handover: Handover = {
  ...{ registration: before, by: "morag", kit: [], photos: [], drivers: [] },
  unit: "miles",
  ...{ points: [], faults: [], confirmed: [] },
};

describe("a call-out of a van that was given up since", () => {
  it("names that van and its size to staff and to roadside assistance", () => {
    const play = swap(hireWith("curlew").says("red oil can light came on"));
    expect(read(play, "STOP")).toContain(`Van ${before} (Curlew)`);
    play.staff("morag", { do: "take", callout: 1 });
    expect(told(play).join()).toContain(`now (${before})`);
    play.staff("morag", { do: "show", callout: 1, what: "card" });
    const [card = ""] = told(play);
    expect(card).toContain(`Registration: ${before}`);
    expect(card).toContain("Van: Curlew");
    play.staff("morag", { do: "roadside", callout: 1, reference: "R1" });
    expect(read(play, "Roadside assistance")).toContain(`no arrival time for ${before}`);
  });
  it("stands where it was given up, whatever place its hirers share later", () => {
    const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    const place = (play: Play, lat: number, lon: number) =>
      play.arrives({ kind: "located", from, lat, lon });
    const card = (play: Play) => {
      play.staff("morag", { do: "show", callout: 1, what: "card" });
      return told(play)
        .join()
        .match(/Place: (.*)/)?.[1];
    };
    const stopped = () => hireWith("curlew").says("red oil can light came on");
    const play = swap(place(stopped(), 57.48625, -4.21926).pass(60)).pass(24 * 60);
    expect(card(place(play, 57.2, -6.3))).toMatch(/NH 6705 4617.* at Wed 3 Jun 12:00$/);
    expect(read(play, "STOP")).toContain("NH 6705 4617");
    // Nothing was known of it: it is asked.
    expect(card(place(swap(stopped()), 57.2, -6.3))).toBe("ask");
  });
  it("told again of the new van is of that one, and so is what is opened since", () => {
    const play = swap(hireWith("curlew").says("red oil can light came on"));
    play.says("red oil can light came on");
    expect(read(play, "STOP")).toContain(`Van ${now} (Wren)`);
    play.says("flat tyre");
    expect(told(play)[0]).toContain(`Van ${now} (Wren)`);
  });
  it("about a danger or a question is of the van in which they are", () => {
    const danger = swap(hireWith("curlew").says("somebody threatens us with a knife"));
    expect(read(danger, "DANGER")).toContain(`Van ${now} (Wren)`);
    const question = swap(hireWith("curlew").says("I want to talk to a person"));
    expect(read(question, "NOTE")).toContain(`Van ${now} (Wren)`);
  });
});

describe("who drive on in another van", () => {
  const hear = (play: Play, n: number) => play.dues().find((d) => d.key === `callout:${n}:hear`);
  const stop = () =>
    hireWith("curlew").says("red oil can light came on").staff("morag", { do: "take", callout: 1 });
  it("are not asked after for the one that they gave up, and nobody rings them", () => {
    const play = swap(stop().pass(10));
    expect(hear(play, 1)).toBeUndefined();
    expect(play.callouts()[0]).toMatchObject({ state: "with", severity: "stop" });
    play.staff("morag", { do: "roadside", callout: 1, reference: "R1" });
    for (let i = 0; i < 12 && play.nextDue(); i++)
      expect([...play.hirer(), ...told(play)].join()).not.toMatch(/all right\?|othing heard/);
    expect(hear(play.says("all well here"), 1)).toBeUndefined();
  });
  it("are asked after while somebody is in need, and for what the new one has, however late the old one is fetched", () => {
    const needy = stop();
    needy.taps("need:cold-dark:1");
    expect(hear(swap(needy), 1)).toBeDefined();
    const play = swap(stop());
    const arrivesAt = later(play.at, 300);
    play.staff("morag", { do: "roadside", callout: 1, reference: "R1", arrivesAt });
    play.says("flat tyre");
    expect(hear(play, 2)?.at).toBe(later(play.at, 20));
    expect(hear(play, 1)).toBeUndefined();
    expect(hear(play.says("red oil can light came on"), 1)).toBeDefined();
  });
});

describe("what was asked about a van that was given up since", () => {
  const steps = (play: Play) => {
    const { asking, later = [] } = play.hire().talks["p1"] ?? {};
    return [asking, ...later].flatMap((q) => q?.steps ?? []);
  };
  it("is not asked of the new one: its guided check ends, and the buttons of it say how it stands", () => {
    const play = hireWith("curlew").says("engine light on");
    expect(steps(play)).toContain("check");
    const n = play.callouts()[0]?.n ?? 0;
    const buttons = play.sends.flatMap((s) => s.message.buttons ?? []);
    const check = buttons.filter((b) => b.tap.startsWith("c:"));
    expect(check.length).toBeGreaterThan(0);
    swap(play);
    expect(steps(play)).not.toContain("check");
    for (const { tap } of check) {
      play.pass(1).taps(tap);
      expect(play.last.posts).toEqual([]);
      expect(play.hirer().join()).toContain("Nobody has taken it yet");
    }
    expect(play.callouts()).toMatchObject([{ n, van: { registration: before } }]);
    play.pass(1).says("how do I empty the toilet");
    expect(play.hirer().join()).not.toContain(check[0]?.label);
  });
  it("is, where it is a danger: that is where they are", () => {
    const play = hireWith("curlew").says("something beeps every minute");
    const before = steps(play);
    expect(before).toContain("check");
    expect(steps(swap(play))).toEqual(before);
  });
  it("is no reading of the new one, until that is asked for it", () => {
    const play = swap(hireWith("curlew")).taps("r:oil=min");
    expect([play.hire().readings, play.callouts()]).toEqual([[], []]);
    expect(play.hirer().join()).toContain("That question is closed");
    const asks = () =>
      play.sends.some((s) => s.message.buttons?.some((b) => b.tap === "r:oil=min"));
    for (let i = 0; i < 9 && !asks(); i++) play.nextDue();
    play.taps("r:oil=min");
    expect(play.hire().readings).toMatchObject([{ oil: "min" }]);
  });
});

describe("swapped after its record but before the booked pick-up", () => {
  it("is given up: its readings say nothing of the other van, which goes out by a record of its own", () => {
    const play = hireWith("curlew").pass(-24 * 60 - 40);
    const reading = { at: play.at, by: "morag", odometerKm: 32_000 };
    play.staff("morag", { do: "pickup-record", reading, handover });
    swap(play.pass(20));
    expect(play.last.posts).toMatchObject([
      { lane: `van:${before}`, body: { act: { do: "given-up" } } },
    ]);
    expect(play.hire().pickup).toBeUndefined();
    expect(readingsOfVan(play.hire())).toEqual([]);
    expect(play.hire().vansBefore).toMatchObject([{ registration: before, pickup: { reading } }]);
  });
  it("without a record it is another booking of the van, no more", () => {
    const play = swap(hireWith("curlew").pass(-24 * 60 - 40));
    expect([play.hire().vanSince, play.last.posts]).toEqual([undefined, []]);
  });
  it("once it is back, its registration is put right: nobody is told, and the records go with it", () => {
    const play = hireWith("curlew");
    const reading = { at: play.at, by: "morag", odometerKm: 32_000 };
    play.staff("morag", { do: "pickup-record", reading, handover });
    play.pass(60).staff("morag", { do: "return-record", reading, handover });
    swap(play.pass(60));
    expect([play.last.sends, play.last.posts]).toEqual([[], []]);
    const { vansBefore, pickup, back } = play.hire();
    expect([vansBefore, pickup?.registration, back?.registration]).toEqual([undefined, now, now]);
  });
  it("whose registration was written wrong, is no other van: nobody is told, unless it is another type", () => {
    for (const [type, swaps] of [
      ["curlew", false],
      ["wren", true],
    ] as const) {
      const play = hireWith("curlew").says("red oil can light came on");
      const van = { registration: now, type };
      play.arrives({ kind: "changed", by: "morag", change: { van }, putsRight: true });
      expect(play.hirer().join().includes("You have another van now")).toBe(swaps);
      expect(play.hire().vansBefore !== undefined).toBe(swaps);
      expect(play.callouts()[0]?.van !== undefined).toBe(swaps);
    }
  });
  it("cancelled, it is another booking of the van, no more", () => {
    const play = hireWith("curlew");
    play.arrives({ kind: "changed", by: "morag", change: { status: "cancelled" } });
    swap(play);
    expect([play.last.sends, play.last.posts]).toEqual([[], []]);
  });
});
