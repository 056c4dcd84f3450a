/** The machine sleeps for six hours, or its clock jumps: what still helps is sent then, once, and nothing else. */

import { setTimeout as pause } from "node:timers/promises";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type Instant, after as minutesAfter, readIso } from "../../src/calendar.js";
import { type House, openHouse } from "../../src/house.js";
import { quietLog } from "../../src/log.js";
import type { LaneId } from "../../src/post.js";
import { notDelivered } from "../../src/store/sends.js";
import { book, matcher } from "../kit/hire.js";
import {
  booking,
  houseParts,
  lane,
  noon,
  said,
  scriptClock,
  scriptDoor,
} from "../kit/small-house.js";

const local = (time: string): Instant => readIso(`2026-06-${time}+01:00`);

describe("a house that wakes after six hours", () => {
  let house: House;
  const clock = scriptClock(local("03T12:00"));
  let chat: ReturnType<typeof scriptDoor>;
  beforeEach(async () => {
    clock.moveTo(local("03T12:00"));
    chat = scriptDoor();
    house = await openHouse({
      book,
      matcher,
      log: quietLog,
      random: () => 0.5,
      clock,
      dbFile: ":memory:",
      doors: [chat.door],
      telegramStaff: { morag: "900", callum: "901", isla: "902" },
    });
    const times = { pickupAt: local("03T12:00"), returnAt: local("11T16:00") };
    await house.makeHire(booking("h1", times));
    await arrive({ kind: "joined" });
    await until(local("03T12:05"));
  });
  afterEach(() => house.close());

  let n = 0;
  async function arrive(what: { kind: "joined" } | { kind: "said"; text: string }): Promise<void> {
    const from = { person: "p1", via: { channel: "telegram", to: "100" } as const };
    const key = `test:${n++}`;
    await house.file({ key, lane: lane(), receivedAt: clock.now(), body: { ...what, from } });
    await house.runUntilIdle();
  }
  /** Lives through the time up to an instant, as a machine that is awake does. */
  async function until(end: Instant): Promise<void> {
    for (let rounds = 0; rounds < 1000; rounds++) {
      await house.runUntilIdle();
      const at = await house.nextAt();
      if (at === undefined || at > end) break;
      clock.moveTo(at);
    }
    clock.moveTo(end);
  }
  /** Sleeps, wakes, and gives the rules that were sent at that moment. */
  async function sleep(from: string, to: string): Promise<string[]> {
    await until(local(from));
    clock.moveTo(local(to));
    await house.runUntilIdle();
    const state = await house.laneState("hire:h1" as LaneId);
    const sent = state?.kind === "hire" ? state.hire.sentReminders : [];
    return sent.filter((s) => s.sentAt === clock.now()).map((s) => s.rule);
  }

  it("drops the first evening's advice at eleven at night", async () => {
    expect(await sleep("03T17:00", "03T23:00")).toEqual([]);
  });

  it("still asks for the morning's check at one in the afternoon", async () => {
    expect(await sleep("06T07:00", "06T13:00")).toEqual(["first-check"]);
  });

  it("asks a hirer who is overdue where they are, and says nothing of the morning of the return", async () => {
    expect(await sleep("11T12:30", "11T18:30")).toEqual(["late"]);
  });

  it("sends it once when the clock is set back and comes to the same hour again", async () => {
    expect(await sleep("06T07:00", "06T13:00")).toEqual(["first-check"]);
    clock.moveTo(local("06T07:30"));
    await until(local("06T13:30"));
    const state = await house.laneState(lane());
    const sent = state?.kind === "hire" ? state.hire.sentReminders.map((s) => s.rule) : [];
    expect(sent.filter((rule) => rule === "first-check")).toHaveLength(1);
  });

  it("does not send an answer of before, and shows it at the desk", async () => {
    await until(local("05T10:00"));
    chat.outcomes.push({ kind: "later", afterMs: 60_000, why: "unreachable" });
    await arrive({ kind: "said", text: "how do I turn the gas on" });
    const before = chat.tried.length;
    clock.moveTo(local("05T16:01"));
    await house.runUntilIdle();
    expect(chat.tried.length).toBe(before);
    expect((await notDelivered(house.db)).map((s) => s.error)).toEqual([
      "too late: not tried any more",
    ]);
  });

  it("alerts each of the staff once about each thing that is open with a danger", async () => {
    await until(local("05T10:00"));
    await arrive({ kind: "said", text: "there is smoke coming out of the engine" });
    const before = chat.tried.length;
    clock.moveTo(local("05T16:00"));
    await house.runUntilIdle();
    const staff = chat.tried.slice(before).filter((t) => t.to.startsWith("90"));
    // Two things came due in the sleep: nobody has taken it, and nothing was heard from the hirer (the first
    // time, somebody is told to ring them; only then all).
    const of = (start: string) => staff.filter((t) => t.text.startsWith(start)).map((t) => t.to);
    expect(of("DANGER").sort()).toEqual(["900", "901", "902"]);
    expect(of("Nothing heard").length).toBeGreaterThan(0);
    expect(new Set(of("Nothing heard")).size).toBe(of("Nothing heard").length);
    expect(staff).toHaveLength(3 + of("Nothing heard").length);
  });

  it("tries again at once what a wrong clock had put off by hours", async () => {
    clock.moveTo(local("05T16:00"));
    await house.runUntilIdle();
    chat.outcomes.push({ kind: "later", afterMs: 60_000, why: "unreachable" });
    await arrive({ kind: "said", text: "how do I turn the gas on" });
    const key = chat.tried.at(-1)?.key;
    clock.moveTo(local("05T10:00"));
    await house.runUntilIdle();
    expect(chat.tried.filter((t) => t.key === key)).toHaveLength(2);
    expect(await notDelivered(house.db)).toEqual([]);
  });
});

describe("a lane whose turn was put off", () => {
  it("is taken up again a second later, also where the clock was set back by an hour", async () => {
    const clock = scriptClock();
    const chat = scriptDoor();
    let refused = 0;
    const house = await openHouse({
      ...{ ...houseParts, clock, dbFile: ":memory:", doors: [chat.door] },
      crash(at) {
        if (at !== "turn: stepped" || refused++ > 0) return;
        clock.moveTo(minutesAfter(noon, -60));
        throw new Error("disk full");
      },
    });
    refused = 1;
    await house.makeHire(booking());
    await house.runUntilIdle();
    refused = 0;
    await house.file(said("say hello", 1));
    house.start();
    for (let n = 0; n < 400 && chat.tried.length === 0; n++) await pause(10);
    await house.close();
    expect(clock.now()).toBe(minutesAfter(noon, -60));
    expect(chat.texts()).toEqual(["hello"]);
  });
});
