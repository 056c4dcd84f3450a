/** What becomes of a message that the wire does not take at once. */
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { minuteMs, after as minutesAfter } from "../../src/calendar.js";
import { type House, openHouse } from "../../src/house.js";
import { openLog } from "../../src/log.js";
import type { Arrival } from "../../src/post.js";
import { pauseMs } from "../../src/rounds/deliveries.js";
import { eventsOf } from "../../src/store/events.js";
import { notDelivered } from "../../src/store/sends.js";
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

describe("deliveries", () => {
  let house: House;
  let clock: ReturnType<typeof scriptClock>;
  let chat: ReturnType<typeof scriptDoor>;
  let hook: ReturnType<typeof scriptDoor>;
  let n = 0;
  const lines: string[] = [];
  const log = openLog("error", { write: (line: string) => void lines.push(line) });

  beforeEach(async () => {
    lines.length = 0;
    clock = scriptClock();
    chat = scriptDoor("telegram");
    hook = scriptDoor("hook");
    house = await openHouse({
      ...houseParts,
      ...{ clock, log },
      dbFile: ":memory:",
      doors: [chat.door, hook.door],
    });
    await house.makeHire(booking());
    await house.runUntilIdle();
  });
  afterEach(() => house.close());

  const say = async (text: string) => {
    await house.file(said(text, ++n));
    await house.runUntilIdle();
  };
  /** Lets time pass until nothing is set any more (or so many steps were taken). */
  const letPass = async (steps = 50) => {
    for (let i = 0; i < steps; i++) {
      const at = await house.nextAt();
      if (at === undefined) return;
      if (at > clock.now()) clock.moveTo(at);
      await house.runUntilIdle();
    }
  };

  it("go on after the parts that went through, whatever becomes of the tries between", async () => {
    chat.outcomes.push(
      { kind: "unsure", why: "no answer", went: "7" },
      { kind: "later", afterMs: 1000, why: "wait" },
      { kind: "later", afterMs: 1000, why: "wait", went: "7 8" },
    );
    await say("say one");
    await letPass(8);
    expect(chat.tried.map((t) => t.went)).toEqual([undefined, "7", "7", "7 8"]);
  });

  it("carry no half of an emoji that was cut in two, which a channel may refuse", async () => {
    await say("say 🔥🔥".slice(0, -1));
    expect(chat.texts()).toEqual(["🔥"]);
  });

  it("go out in the order in which they were said", async () => {
    await house.file(said("say one", "a"));
    await house.file(said("say two", "b"));
    await house.file(said("say three", "c"));
    await house.runUntilIdle();
    expect(chat.texts()).toEqual(["one", "two", "three"]);
  });

  it("let a safety message overtake one that waits for a retry, and keep the order of the rest", async () => {
    chat.outcomes.push({ kind: "later", afterMs: 10 * minuteMs, why: "429" });
    await say("say one");
    await say("say two");
    expect(chat.texts()).toEqual(["one"]);
    await say("danger");
    expect(chat.texts()).toEqual(["one", "Get out. 999.", "DANGER"]);
    await letPass();
    expect(chat.texts().filter((t) => !t.startsWith("due"))).toEqual([
      "one",
      "Get out. 999.",
      "DANGER",
      "one",
      "two",
    ]);
  });

  it("wait as long as the channel asks, not shorter", async () => {
    chat.outcomes.push({ kind: "later", afterMs: 42_000, why: "429" });
    await say("say one");
    const at = await house.nextAt();
    expect(at).toBeGreaterThanOrEqual(noon + 42_000);
    clock.moveTo(minutesAfter(noon, 0.69));
    await house.runUntilIdle();
    expect(chat.tried).toHaveLength(1);
  });

  it("are tried once more where the wire is unsure, and then shown as not delivered", async () => {
    chat.outcomes.push({ kind: "unsure", why: "reset" }, { kind: "unsure", why: "reset" });
    await say("say one");
    await letPass();
    expect(chat.texts()).toEqual(["one", "one"]);
    expect(clock.now() - noon).toBeGreaterThanOrEqual(5_000);
    expect((await notDelivered(house.db)).map((s) => s.send.message.text)).toEqual(["one"]);
    expect(
      (await eventsOf(house.db, lane())).some((e) => e.text === "not delivered by telegram"),
    ).toBe(true);
  });

  it("are tried five times more, over more than a minute, where the wire is unsure and safety is at stake", async () => {
    const down = (text: string) =>
      ({ kind: text === "DANGER" ? "unsure" : "sent", why: "reset" }) as const;
    for (let i = 0; i < 40; i++) chat.outcomes.push((send) => down(send.message.text));
    const at: number[] = [];
    const send = chat.door.send;
    chat.door.send = (one, ...rest) => {
      if (one.message.text === "DANGER") at.push(clock.now() - noon);
      return send(one, ...rest);
    };
    await say("danger");
    await letPass();
    expect(at).toHaveLength(6);
    expect(at[1]).toBeLessThanOrEqual(1_000);
    expect(at[5]).toBeGreaterThan(80_000);
    const pauses = at.slice(1).map((ms, i) => ms - (at[i] ?? 0));
    expect(Math.max(...pauses)).toBeLessThanOrEqual(30_250);
    expect((await notDelivered(house.db)).map((s) => s.send.message.text)).toEqual(["DANGER"]);
  });

  it("tell the lane early when a safety message cannot get out, so that the next contact hears of it", async () => {
    for (let i = 0; i < 8; i++)
      chat.outcomes.push((send) =>
        send.message.text === "DANGER"
          ? { kind: "later", afterMs: 0, why: "unreachable" }
          : { kind: "sent" },
      );
    await say("danger");
    await letPass(4);
    expect(hook.texts()).toEqual(["alert"]);
    expect(clock.now() - noon).toBeLessThan(minuteMs);
    await letPass();
    expect(chat.texts()).toContain("DANGER");
    expect(hook.texts()).toEqual(["alert"]);
    expect(await notDelivered(house.db)).toEqual([]);
  });

  it("free the lane when the channel says no for good", async () => {
    chat.outcomes.push({ kind: "refused", why: "blocked" });
    await say("say one");
    await say("say two");
    expect(chat.texts()).toEqual(["one", "two"]);
    expect((await notDelivered(house.db)).map((s) => s.error)).toEqual(["refused: blocked"]);
  });

  it("tell the lane of a hirer's safety message what did not get through, and again when it is given up", async () => {
    let tries = 0;
    for (let i = 0; i < 12; i++)
      chat.outcomes.push((send) => {
        if (send.message.text !== "Get out. 999.") return { kind: "sent" };
        if (++tries > 3) return { kind: "refused", why: "blocked" };
        return { kind: "later", afterMs: 0, why: "unreachable" };
      });
    await say("danger");
    await letPass(8);
    const rows = await house.db.selectFrom("arrivals").select("body").orderBy("seq").execute();
    const lost = rows.map((row) => (JSON.parse(row.body) as Arrival).body);
    const message = { text: "Get out. 999." };
    expect(lost.filter((body) => body.kind === "undelivered")).toMatchObject([
      { callout: 1, hirer: { person: "p1", message, madeAt: noon, waits: true } },
      { callout: 1, hirer: { person: "p1", message, madeAt: noon, onlyStaff: true } },
    ]);
  });

  it("give up after six hours out of reach", async () => {
    for (let i = 0; i < 300; i++)
      chat.outcomes.push({ kind: "later", afterMs: 0, why: "unreachable" });
    await say("say one");
    await letPass(300);
    expect((await notDelivered(house.db)).map((s) => s.error)).toEqual([
      "too late: not tried any more",
    ]);
    expect(clock.now() - noon).toBeGreaterThan(6 * 60 * minuteMs);
    expect(chat.tried.length).toBeLessThan(150);
  });

  it("are not tried once what they say is over", async () => {
    const until = minutesAfter(noon, 30);
    const dated = await openHouse({
      ...houseParts,
      clock,
      dbFile: ":memory:",
      doors: [chat.door],
      step: (...of) => {
        const out = smallStep(...of);
        return { ...out, sends: out.sends.map((send) => ({ ...send, until })) };
      },
    });
    await dated.makeHire(booking());
    chat.outcomes.push({ kind: "later", afterMs: 29 * minuteMs, why: "unreachable" });
    await dated.file(said("say today", "x"));
    chat.outcomes.push({ kind: "later", afterMs: 29 * minuteMs, why: "unreachable" });
    await dated.runUntilIdle();
    for (const minute of [29.5, 59]) {
      clock.moveTo(minutesAfter(noon, minute));
      await dated.runUntilIdle();
    }
    expect(chat.texts()).toEqual(["today", "today"]);
    expect((await notDelivered(dated.db)).map((s) => s.error)).toContain(
      "too late: not tried any more",
    );
    await dated.close();
  });

  it("end a chain in which every message about an undelivered one cannot be delivered either", async () => {
    const storm = await openHouse({
      ...houseParts,
      clock,
      dbFile: ":memory:",
      doors: [],
      mostRounds: 500,
      step: (state, arrival, facts) =>
        smallStep(
          state,
          arrival.body.kind === "undelivered" ? said("danger", "again") : arrival,
          facts,
        ),
    });
    await storm.makeHire(booking());
    await storm.file(said("say one", "x"));
    await storm.runUntilIdle();
    const sends = await notDelivered(storm.db, undefined, 1000);
    expect(sends.length).toBe(1 + 2 + 4 + 8 + 16);
    await storm.close();
  });

  it("survive a door that throws, and the log has where it did", async () => {
    chat.outcomes.push(() => {
      throw new TypeError("secret");
    });
    await say("say one");
    await letPass();
    expect(chat.texts()).toEqual(["one", "one"]);
    expect(lines.map((line) => JSON.parse(line))).toMatchObject([
      {
        msg: "door failed",
        lane: lane(),
        channel: "telegram",
        code: "TypeError",
        at: expect.anything(),
      },
    ]);
    const sends = await house.db.selectFrom("sends").selectAll().execute();
    expect(JSON.stringify([sends, lines])).not.toContain("secret");
  });

  it("by a channel that is not set up are not delivered, and said so", async () => {
    const bare = await openHouse({ ...houseParts, clock, dbFile: ":memory:", doors: [] });
    await bare.makeHire(booking());
    await bare.file(said("say one", "x"));
    await bare.runUntilIdle();
    expect((await notDelivered(bare.db))[0]?.error).toBe("refused: this channel is not set up");
    await bare.close();
  });
});

describe("the pause between two tries", () => {
  it("is never shorter than asked, never longer than the limit, and spread", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 200 }),
        fc.boolean(),
        fc.double({ min: 0, max: 0.999, noNaN: true }),
        fc.integer({ min: 0, max: 3_600_000 }),
        (tries, safety, random, atLeast) => {
          const pause = pauseMs(tries, safety, random, atLeast);
          expect(pause).toBeGreaterThanOrEqual(Math.max(500, atLeast));
          expect(pause).toBeLessThanOrEqual(Math.max(safety ? 30_000 : 300_000, atLeast + 250));
        },
      ),
    );
    expect(pauseMs(4, false, 0)).not.toBe(pauseMs(4, false, 0.9));
  });
});
