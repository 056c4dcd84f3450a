/** What has piled up while the service stood still is caught up with at a bounded pace; nobody's answer waits for it. */
import { setTimeout as pause } from "node:timers/promises";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { instantOf, after as minutesAfter } from "../../src/calendar.js";
import { type House, openHouse } from "../../src/house.js";
import type { Matter } from "../../src/post.js";
import { Pace } from "../../src/rounds/pace.js";
import { setDue } from "../../src/store/dues.js";
import {
  booking,
  houseParts,
  lane,
  noon,
  said,
  scriptClock,
  scriptDoor,
} from "../kit/small-house.js";

describe("a house with a backlog", () => {
  let house: House;
  let clock: ReturnType<typeof scriptClock>;
  let chat: ReturnType<typeof scriptDoor>;
  beforeEach(async () => {
    clock = scriptClock();
    chat = scriptDoor();
    house = await openHouse({ ...houseParts, clock, dbFile: ":memory:", doors: [chat.door] });
    for (let n = 1; n <= 60; n++) await house.makeHire(booking(`h${n}`));
    await house.runUntilIdle();
  });
  afterEach(() => house.close());

  const put = (n: number, matter: Matter, at = minutesAfter(noon, -60)) =>
    setDue(house.db, lane(`h${n}`), { key: matter.kind, at, generation: 0, matter }, n);
  const duesLeft = async () =>
    (await house.db.selectFrom("dues").select("kind").execute()).map((row) => row.kind);
  /** Until it holds; the clock of the house stands still meanwhile. */
  async function wait(holds: () => boolean | Promise<boolean>): Promise<void> {
    for (let tries = 0; tries < 1000; tries++) {
      if (await holds()) return;
      await pause(10);
    }
    throw new Error("it never came");
  }

  it("files late reminders at a pace, and at once what somebody waits for", async () => {
    for (let n = 1; n <= 60; n++) await put(n, { kind: "reminder", keys: [] });
    for (const n of [58, 59, 60]) await put(n, { kind: "promise", callout: 1 });
    await put(57, { kind: "reminder", keys: [] }, minutesAfter(noon, -1));
    house.start();
    await house.file(said("say hello", 1));
    await wait(() => chat.texts().includes("hello") && chat.tried.length >= 25);
    // A second's worth of late ones; the three promises and the reminder that is in time come beside them.
    expect((await duesLeft()).filter((kind) => kind !== "reminder")).toEqual([]);
    expect(await duesLeft()).toHaveLength(39);
    clock.moveTo(instantOf(clock.now() + 1000));
    await wait(async () => (await duesLeft()).length < 39);
    await wait(() => chat.tried.length >= 45);
    expect(await duesLeft()).toHaveLength(19);
  });

  it("keeps to what a channel takes a second, and never lets safety wait for it", async () => {
    chat.door.perSecond = 5;
    for (let n = 1; n <= 12; n++) await house.file(said(`say ${n}`, 1, `h${n}`));
    await house.file(said("danger", 1, "h60"));
    house.start();
    await wait(() => chat.texts().includes("Get out. 999.") && chat.texts().includes("DANGER"));
    // The two safety messages count, and are not counted off: five of the other twelve, or three and these two.
    await wait(() => chat.tried.length >= 5);
    expect(chat.tried.length).toBeLessThanOrEqual(7);
    clock.moveTo(instantOf(clock.now() + 1000));
    await wait(() => chat.tried.length >= 8);
    expect(chat.tried.length).toBeLessThanOrEqual(12);
    clock.moveTo(instantOf(clock.now() + 1000));
    await wait(() => chat.tried.length >= 13);
    clock.moveTo(instantOf(clock.now() + 1000));
    await wait(() => chat.tried.length === 14);
  });
});

describe("a pace", () => {
  it("gives so many a second, never saved up, and waits for what was used too much", () => {
    const pace = new Pace(10);
    const at = (ms: number) => instantOf(noon + ms);
    expect(pace.free(at(0))).toBe(10);
    pace.use(15);
    expect(pace.free(at(0))).toBe(-5);
    expect(pace.free(at(500))).toBe(0);
    expect(pace.free(at(1000))).toBe(5);
    expect(pace.free(at(60_000))).toBe(10);
    pace.use(10);
    expect(pace.free(at(-60_000))).toBe(0);
    expect(pace.free(at(-59_900))).toBe(1);
  });
});
