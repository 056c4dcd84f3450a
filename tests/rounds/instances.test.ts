/** Several houses on one PostgreSQL database. */
import { afterAll, afterEach, beforeEach, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import type { Door } from "../../src/channels/door.js";
import { type House, openHouse } from "../../src/house.js";
import { quietLog } from "../../src/log.js";
import { settle, settleStarted } from "../../src/rounds/deliveries.js";
import { watchInstances } from "../../src/rounds/instances.js";
import { eventsOf } from "../../src/store/events.js";
import { startedSends } from "../../src/store/sends.js";
import { openDeskSession } from "../../src/store/tokens.js";
import {
  booking,
  houseParts,
  lane,
  said,
  scriptClock,
  scriptDoor,
  smallStep,
} from "../kit/small-house.js";
import { until } from "../kit/until.js";

const server = await openServer();
afterAll(() => server?.close());

describe.skipIf(!server)("houses on one database", () => {
  const houses: House[] = [];
  let url = "";
  let clock: ReturnType<typeof scriptClock>;
  let chat: ReturnType<typeof scriptDoor>;
  beforeEach(async () => {
    url = (await server?.database()) ?? "";
    clock = scriptClock();
    chat = scriptDoor();
  });
  afterEach(async () => {
    for (const house of houses.splice(0)) await house.close();
  });
  async function open(more: Partial<Parameters<typeof openHouse>[0]> = {}): Promise<House> {
    const doors: Door[] = [chat.door, scriptDoor("hook").door];
    const house = await openHouse({ ...houseParts, clock, dbFile: url, doors, ...more });
    houses.push(house);
    return house;
  }
  const delivery = (house: House, instance: string) => ({
    db: house.db,
    instance,
    clock,
    doors: new Map([["telegram", chat.door]]),
    log: quietLog,
    random: () => 0.5,
    crash: () => {},
  });

  it("share the work of one lane in order, whoever files it", async () => {
    const one = await open();
    const two = await open();
    await one.makeHire(booking());
    for (let n = 1; n <= 6; n++) await (n % 2 ? one : two).file(said(`say ${n}`, n));
    await Promise.all([one.runUntilIdle(), two.runUntilIdle()]);
    await one.runUntilIdle();
    const said6 = ["1", "2", "3", "4", "5", "6"];
    expect(chat.texts()).toEqual(said6);
    const events = await eventsOf(one.db, lane());
    expect(events.map((e) => e.n)).toEqual(events.map((_, i) => i + 1));
    expect(events.filter((e) => e.kind === "in").map((e) => e.text)).toEqual(
      said6.map((n) => `say ${n}`),
    );
  });

  it("tell a page of one what happened in the other", async () => {
    const one = await open();
    const two = await open();
    const heard = new Promise((done) => two.onEvents((of, last) => done([of, last])));
    await one.makeHire(booking());
    await one.runUntilIdle();
    expect(await heard).toEqual([lane(), 1]);
  });

  it("know who is at the desk of any of them", async () => {
    let atDesk: readonly string[] = [];
    const one = await open();
    const two = await open({
      step: (state, arrival, facts) => {
        atDesk = facts.reach.atDesk;
        return smallStep(state, arrival, facts);
      },
    });
    await openDeskSession(one.db, "callum", clock.now());
    await two.makeHire(booking());
    await two.runUntilIdle();
    expect(atDesk).toEqual(["callum"]);
  });

  it("take up as unsure what a dead one had under way, once its beat stands still", async () => {
    const dead = await open({
      crash(at) {
        if (at === "delivery: taken") throw new Error("killed");
      },
    });
    await dead.makeHire(booking());
    await dead.file(said("say hello", 1));
    await expect(dead.runUntilIdle()).rejects.toThrow("killed");
    const parts = delivery(dead, "alive");
    const beat = watchInstances(parts);
    for (let n = 1; n <= 6; n++) {
      await beat();
      expect(await settleStarted(parts), `beat ${n}`).toBe(0);
    }
    await beat();
    expect(await settleStarted(parts)).toBe(1);
    expect(await settleStarted(parts)).toBe(0);
    expect(chat.texts()).toEqual([]);
    clock.move(1);
    await (await open()).runUntilIdle();
    expect(chat.texts()).toEqual(["hello"]);
  });

  it("are never taken for dead while they beat, whatever their clocks say", async () => {
    const one = await open();
    const mine = delivery(one, "mine");
    const beats = [watchInstances(mine), watchInstances({ ...mine, instance: "other" })];
    for (let n = 0; n < 20; n++) {
      clock.move(n % 2 ? 600 : -600);
      for (const beat of beats) await beat();
    }
    const alive = await one.db.selectFrom("instances").select("id").execute();
    expect(alive.map((row) => row.id)).toEqual(expect.arrayContaining(["mine", "other"]));
    // The house itself never beat: it is the control.
    expect(alive).toHaveLength(2);
  });

  it("believe a try that was taken for in doubt when it says sent, and nothing else that it says", async () => {
    const one = await open({ doors: [] });
    await one.makeHire(booking());
    const parts = delivery(one, "slow");
    const stateOf = async (key: string) =>
      one.db
        .selectFrom("sends")
        .select(["state", "tries", "unsure"])
        .where("key", "=", key)
        .executeTakeFirst();
    for (const [n, outcome, left] of [
      [1, { kind: "later", afterMs: 9, why: "busy" }, { state: "waiting", tries: 1, unsure: 1 }],
      [2, { kind: "sent" }, { state: "sent", tries: 1, unsure: 0 }],
    ] as const) {
      await one.file(said("danger", n));
      const stopped = await open({
        doors: [],
        crash(at) {
          if (at === "delivery: taken") throw new Error("killed");
        },
      });
      await expect(stopped.runUntilIdle()).rejects.toThrow("killed");
      await stopped.close();
      const [row] = await startedSends(one.db);
      if (!row) throw new Error("nothing is under way");
      expect(await settleStarted(parts)).toBe(1);
      await settle(parts, row, outcome);
      expect(await stateOf(row.key), outcome.kind).toEqual(left);
      await one.db.deleteFrom("sends").execute();
    }
  });

  it("hand back what is on the wire when one stops, and another takes it up at once", {
    timeout: 20_000,
  }, async () => {
    const one = await open({ doors: [{ channel: "telegram", send: () => new Promise(() => {}) }] });
    const two = await open();
    await one.makeHire(booking());
    await one.file(said("say hello", 1));
    one.start();
    const parts = delivery(two, "two");
    const started = () =>
      two.db
        .selectFrom("sends")
        .select("key")
        .where("started_at", "is not", null)
        .executeTakeFirst();
    await until(started);
    expect(await settleStarted(parts)).toBe(0);
    await one.close();
    expect(await settleStarted(parts)).toBe(1);
    clock.move(1);
    await two.runUntilIdle();
    expect(chat.texts()).toEqual(["hello"]);
  });
});
