/** One arrival, one turn, whatever happens in between. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { after as minutesAfter } from "../../src/calendar.js";
import { step } from "../../src/hires/step.js";
import { type House, openHouse } from "../../src/house.js";
import type { LaneId } from "../../src/post.js";
import { PausedLanes } from "../../src/rounds/paused-lanes.js";
import { failedArrivals } from "../../src/store/arrivals.js";
import { eventsOf } from "../../src/store/events.js";
import { openDeskSession } from "../../src/store/tokens.js";
import { book, matcher } from "../kit/hire.js";
import {
  booking,
  houseParts,
  lane,
  noon,
  said,
  scriptClock,
  scriptDoor,
  smallStep,
} from "../kit/small-house.js";

describe("turns", () => {
  let house: House;
  let clock: ReturnType<typeof scriptClock>;
  let chat: ReturnType<typeof scriptDoor>;
  const nudges: [LaneId, number][] = [];
  let reach: unknown;
  let atDesk: string[] = [];

  beforeEach(async () => {
    clock = scriptClock();
    chat = scriptDoor();
    atDesk = [];
    house = await openHouse({
      ...houseParts,
      clock,
      dbFile: ":memory:",
      doors: [chat.door],
      telegramStaff: { morag: "900" },
      atDesk: () => atDesk,
      step: (state, arrival, facts) => {
        reach = facts.reach;
        return smallStep(state, arrival, facts);
      },
    });
    await house.makeHire(booking());
    await house.runUntilIdle();
    nudges.length = 0;
    house.onEvents((...nudge) => nudges.push(nudge));
  });
  afterEach(() => house.close());

  it("act once on an arrival that comes twice", async () => {
    expect(await house.file(said("say hello", 1))).toBe("new");
    expect(await house.file(said("say hello", 1))).toBe("known");
    await house.runUntilIdle();
    expect(await house.file(said("say hello", 1))).toBe("known");
    await house.runUntilIdle();
    expect(chat.texts()).toEqual(["hello"]);
  });

  it("put an arrival aside when the step throws, and go on with the lane", async () => {
    await house.file(said("throw", 1));
    await house.file(said("say hello", 2));
    await house.runUntilIdle();
    expect(chat.texts()).toEqual(["hello"]);
    expect((await failedArrivals(house.db)).map((a) => a.key)).toEqual(["test:h1:1"]);
  });

  it("that give a hire another van know what was reported of that one", async () => {
    let known: string | undefined;
    const changing = await openHouse({
      ...{ ...houseParts, book, matcher, clock, dbFile: ":memory:", doors: [chat.door] },
      step: (state, arrival, facts) => {
        if (arrival.body.kind === "changed") known = facts.van?.faults[0]?.title;
        return step(state, arrival, facts);
      },
    });
    await changing.makeHire(booking());
    const van = { registration: "SX26 NEW", type: "wren" };
    const act = { do: "note-fault", title: "Weak handbrake", severity: "soon" } as const;
    const from = { receivedAt: clock.now() };
    await changing.file({
      ...{ ...from, key: "fault", lane: "van:SX26 NEW" as LaneId },
      body: { kind: "van", by: "morag", ...van, act },
    });
    await changing.runUntilIdle();
    await changing.file({
      ...from,
      key: "swap",
      lane: lane(),
      body: { kind: "changed", by: "morag", change: { van } },
    });
    await changing.runUntilIdle();
    expect(known).toBe("Weak handbrake");
    await changing.close();
  });

  it("whose step throws tell the hirer whom to ring and the staff to ring them, once", async () => {
    const broken = await openHouse({
      ...houseParts,
      book,
      matcher,
      clock,
      dbFile: ":memory:",
      doors: [chat.door],
      telegramStaff: { morag: "900", callum: "901" },
    });
    await broken.makeHire(booking());
    await broken.file(said("throw", 1));
    await broken.file(said("throw", 1));
    await broken.runUntilIdle();
    const to = (address: string) => chat.tried.filter((t) => t.to === address).map((t) => t.text);
    expect(to("100")).toHaveLength(1);
    expect(to("100")[0]).toMatch(/^In danger ring 999 or 112 now\./);
    for (const staff of ["900", "901"])
      expect(to(staff)).toEqual([
        'The service failed on what Ann (SX26 ABC) sent. Ring them now. They wrote: "throw"',
      ]);
    expect(await failedArrivals(broken.db)).toHaveLength(1);
    expect((await eventsOf(broken.db, lane())).map((e) => e.text)).toContain("throw");
    await broken.close();
  });

  it("nudge listeners with the number of the last event, once it is durable", async () => {
    await house.file(said("say hello", 1));
    await house.runUntilIdle();
    const events = await eventsOf(house.db, lane());
    expect(nudges).toEqual([[lane(), events.length]]);
  });

  it("take a due when its instant has come, not before", async () => {
    await house.file(said("later 10", 1));
    await house.runUntilIdle();
    expect(await house.nextAt()).toBe(minutesAfter(noon, 10));
    clock.move(9);
    await house.runUntilIdle();
    expect(chat.texts()).toEqual([]);
    clock.move(1);
    await house.runUntilIdle();
    await house.runUntilIdle();
    expect(chat.texts()).toEqual(["due later"]);
    expect(await house.nextAt()).toBeUndefined();
  });

  it("file a due once when the clock is set back after it", async () => {
    await house.file(said("later 10", 1));
    await house.runUntilIdle();
    clock.move(10);
    await house.runUntilIdle();
    clock.move(-120);
    await house.runUntilIdle();
    clock.move(180);
    await house.runUntilIdle();
    expect(chat.texts()).toEqual(["due later"]);
  });

  it("know who is at the desk: an open page, or a session seen in the last two minutes", async () => {
    await openDeskSession(house.db, "callum", clock.now());
    atDesk = ["isla"];
    await house.file(said("say hello", 1));
    await house.runUntilIdle();
    expect(reach).toEqual({ atDesk: ["isla", "callum"], telegram: { morag: "900" }, hook: false });
    clock.move(3);
    await house.file(said("say hello", 2));
    await house.runUntilIdle();
    expect(reach).toMatchObject({ atDesk: ["isla"] });
  });

  it("stop a step that would set its own due for ever", { timeout: 60_000 }, async () => {
    const loop = await openHouse({
      ...houseParts,
      clock,
      dbFile: ":memory:",
      doors: [],
      mostRounds: 200,
      step: (state, arrival, facts) =>
        arrival.body.kind === "due"
          ? smallStep(state, said("later 0", "again"), facts)
          : smallStep(state, arrival, facts),
    });
    await loop.makeHire(booking());
    await loop.file(said("later 0", 1));
    await expect(loop.runUntilIdle()).rejects.toMatchObject({
      message: expect.stringContaining("still busy"),
    });
    await loop.close();
  });
});

describe("a lane whose turn the store refuses", () => {
  let ms = 0;
  const paused = new PausedLanes(() => ms);
  /** Fails so many times, each as soon as its pause is over; how long each pause was, in ms. */
  const fails = (times: number): number[] =>
    Array.from({ length: times }, () => {
      const from = ms;
      paused.add(lane());
      while (paused.lanes().length > 0) ms += 500;
      return ms - from;
    });

  it("waits longer each time, a minute at most, and no other lane does", () => {
    expect(fails(8)).toEqual([1_000, 2_000, 4_000, 8_000, 16_000, 32_000, 60_000, 60_000]);
    paused.add(lane("h2"));
    expect(paused.lanes()).toEqual([lane("h2")]);
    paused.clear(lane("h2"));
    expect(paused.lanes()).toEqual([]);
  });

  it("waits a second again once its failures lie back, also where another process took its turn", () => {
    ms += 120_000;
    expect(paused.lanes()).toEqual([]);
    expect(fails(2)).toEqual([1_000, 2_000]);
  });
});
