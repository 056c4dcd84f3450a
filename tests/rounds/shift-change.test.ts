/** Two houses on one PostgreSQL database: a matter is taken in the very instant in which its taker goes off duty. */
import pg from "pg";
import { afterAll, afterEach, beforeEach, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { readIso } from "../../src/calendar.js";
import type { Callout } from "../../src/callouts/callout.js";
import { type House, openHouse } from "../../src/house.js";
import { quietLog } from "../../src/log.js";
import type { Arrival } from "../../src/post.js";
import { book, matcher } from "../kit/hire.js";
import { booking, lane, scriptClock, scriptDoor } from "../kit/small-house.js";
import { until } from "../kit/until.js";

const server = await openServer();
afterAll(() => server?.close());

/** 3 June 2026 is a Wednesday: Morag until 20:00, then Callum. */
const evening = (clock: string) => readIso(`2026-06-03T${clock}+01:00`);
const hires = (many: number) => Array.from({ length: many }, (_, i) => `h${i + 1}`);

describe.skipIf(!server)("a matter taken in the instant of a change of shift", () => {
  const houses: House[] = [];
  let url = "";
  let clock: ReturnType<typeof scriptClock>;
  beforeEach(async () => {
    url = (await server?.database()) ?? "";
    clock = scriptClock(evening("19:59"));
  });
  afterEach(async () => {
    for (const house of houses.splice(0)) await house.close();
  });

  async function open(): Promise<House> {
    const house = await openHouse({
      ...{ book, matcher, clock, log: quietLog, random: () => 0.5 },
      dbFile: url,
      doors: [scriptDoor().door],
      atDesk: () => ["morag", "callum", "isla"],
      shifts: true,
    });
    houses.push(house);
    return house;
  }
  const arrival = (hire: string, key: string, body: Arrival["body"]): Arrival => ({
    key: `${hire}:${key}`,
    lane: lane(hire),
    receivedAt: clock.now(),
    body,
  });
  /** Two houses, and hires that each wait for a person; at 20:00 Morag's takes are filed. */
  async function takenAtEight(many: number): Promise<[House, House]> {
    const one = await open();
    const two = await open();
    for (const hire of hires(many)) {
      await one.makeHire(booking(hire));
      const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
      await one.file(arrival(hire, "asks", { kind: "tapped", from, tap: "person" }));
    }
    await one.runUntilIdle();
    clock.moveTo(evening("20:00"));
    for (const hire of hires(many))
      await one.file(
        arrival(hire, "take", { kind: "desk", by: "morag", act: { do: "take", callout: 1 } }),
      );
    return [one, two];
  }
  async function matter(house: House, hire: string): Promise<Callout | undefined> {
    const state = await house.laneState(lane(hire));
    return state?.kind === "hire" ? state.hire.callouts[0] : undefined;
  }
  /** Holds back whatever writes a call-out, until it is let go; reading goes on. */
  async function holdBack(): Promise<{ someoneWaits(): Promise<void>; letGo(): Promise<void> }> {
    const client = new pg.Client({ connectionString: url });
    await client.connect();
    await client.query("begin; lock table callouts in share mode");
    return {
      async someoneWaits() {
        const waiting =
          "select 1 from pg_locks where not granted and relation = 'callouts'::regclass";
        await until(async () => (await client.query(waiting)).rowCount || undefined);
      },
      async letGo() {
        await client.query("commit");
        await client.end();
      },
    };
  }

  it("is handed over although the roster was looked at before the taking was durable", async () => {
    const [one, two] = await takenAtEight(1);
    const held = await holdBack();
    const taking = one.runUntilIdle();
    await held.someoneWaits();
    await two.runUntilIdle();
    const firm = await two.laneState("firm" as Arrival["lane"]);
    expect(firm).toMatchObject({ firm: { on: ["callum"] } });
    expect(await matter(two, "h1")).toMatchObject({ state: "nobody-yet" });
    await held.letGo();
    await taking;
    // The control: that look saw nothing of it, so nothing has been offered.
    const taken = await matter(one, "h1");
    expect(taken).toMatchObject({ state: "with", with: "morag" });
    expect(taken?.handing).toBeUndefined();
    clock.moveTo(evening("20:01"));
    await two.runUntilIdle();
    expect(await matter(two, "h1")).toMatchObject({
      ...{ state: "with", with: "morag", offeredTo: "callum" },
      handing: { times: 1 },
    });
  });

  it("is handed over once, whichever of the two comes first", async () => {
    const many = 8;
    const [one, two] = await takenAtEight(many);
    await Promise.all([one.runUntilIdle(), two.runUntilIdle()]);
    clock.moveTo(evening("20:01"));
    await Promise.all([two.runUntilIdle(), one.runUntilIdle()]);
    for (const hire of hires(many))
      expect(await matter(one, hire), hire).toMatchObject({
        ...{ state: "with", with: "morag", offeredTo: "callum" },
        handing: { times: 1 },
      });
  });
});
