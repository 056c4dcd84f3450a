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

  it("lets a danger out while a channel hangs on ordinary messages", async () => {
    const { send } = chat.door;
    let answer = (): void => {};
    const answered = new Promise<void>((done) => {
      answer = done;
    });
    chat.door.send = async (one, ...rest) => {
      const outcome = await send(one, ...rest);
      if (!one.safety) await answered;
      return outcome;
    };
    for (let n = 1; n <= 40; n++) await house.file(said(`say ${n}`, 1, `h${n}`));
    house.start();
    await wait(() => chat.tried.length === 16);
    await house.file(said("danger", 1, "h60"));
    await wait(() => chat.texts().includes("Get out. 999.") && chat.texts().includes("DANGER"));
    expect(chat.tried).toHaveLength(18);
    answer();
    await wait(() => chat.tried.length === 42);
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
  it("is shared out among the processes, whoever comes and goes, and leaves each of many one now and then", () => {
    const at = (ms: number) => instantOf(noon + ms);
    const sentIn = (seconds: number, perSecond: number, sharers: number): number => {
      const paces = Array.from({ length: sharers }, () => new Pace(perSecond));
      let sent = 0;
      for (let ms = 0; ms <= seconds * 1000; ms += 50)
        for (const pace of paces) {
          const n = Math.max(0, pace.free(at(ms), sharers));
          pace.use(n);
          sent += n;
        }
      return sent;
    };
    // What is saved up at the start is one second's worth together.
    expect(sentIn(60, 24, 1)).toBe(24 * 61);
    for (const sharers of [2, 3, 4]) expect(sentIn(60, 24, sharers)).toBe(24 * 61);
    const many = sentIn(60, 5, 50);
    expect(many).toBeGreaterThan(5 * 50);
    expect(many).toBeLessThanOrEqual(5 * 60 + 50);
    const joined = new Pace(24);
    expect([joined.free(at(0), 1), joined.free(at(0), 3)]).toEqual([24, 8]);
  });
});
