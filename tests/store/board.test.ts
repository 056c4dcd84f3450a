/** The board of the day on both engines: what was marked is there after a restart, with name and time. */
import { afterAll, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { after as later } from "../../src/calendar.js";
import { openHouse } from "../../src/house.js";
import { vanLane } from "../../src/lanes.js";
import { quietLog } from "../../src/log.js";
import type { HireId, LaneId } from "../../src/post.js";
import { hiresOnBoard } from "../../src/store/care/board.js";
import { overdue, vansCare } from "../../src/store/care/vans.js";
import { today } from "../../src/vans/today.js";
import type { ReadyStep, VanAct } from "../../src/vans/van.js";
import { book, matcher } from "../kit/hire.js";
import { booking, lane, noon, scriptClock, tempFile } from "../kit/small-house.js";

const server = await openServer();
afterAll(() => server?.close());
const files = tempFile();
afterAll(() => files.remove());
const url = await server?.database();

describe.each([
  ["SQLite", files.file],
  ["PostgreSQL", url],
])("on %s", (_name, dbFile) => {
  it.skipIf(dbFile === undefined)(
    "keeps marks over a restart; a van that is swapped on the road is to be made ready anew",
    async () => {
      const clock = scriptClock(noon);
      const open = () =>
        openHouse({ book, matcher, clock, dbFile: dbFile ?? "", doors: [], log: quietLog });
      let house = await open();
      let n = 0;
      const van = (registration: string, act: VanAct) =>
        house.file({
          key: `k${++n}`,
          lane: vanLane(registration),
          receivedAt: clock.now(),
          body: { kind: "van", by: "callum", registration, type: "curlew", act },
        });
      const mark = (registration: string, step: ReadyStep, hire: string) =>
        van(registration, { do: "ready", step, after: hire });
      const board = async () => {
        await house.runUntilIdle();
        const { db } = house;
        const now = clock.now();
        const hires = await hiresOnBoard(db, now);
        return today(hires, await vansCare(db), await overdue(db, now), now, "Europe/London").map(
          (c) => ({
            van: c.registration,
            from: c.before?.hire,
            to: c.next?.hire,
            done: c.steps.flatMap((s) => (s.done ? [[s.step, s.done.by, s.done.at]] : [])),
          }),
        );
      };
      const one = booking("h1", { returnAt: later(noon, 60) });
      const next = booking("h2", { pickupAt: later(noon, 240), returnAt: later(noon, 9_000) });
      await house.makeHire(one);
      await house.makeHire(next);
      await mark("SX26 ABC", "cleaned", "h1");
      await house.close();
      house = await open();
      expect(await board()).toEqual([
        // The pick-up of an hour ago has no record: its hirers wait.
        { van: "SX26 ABC", from: undefined, to: "h1", done: [] },
        { van: "SX26 ABC", from: "h1", to: "h2", done: [["cleaned", "callum", noon]] },
      ]);

      clock.move(10);
      const other = { ...one, van: { registration: "SX26 DEF", type: "curlew" } };
      await house.file({
        key: "swap",
        lane: lane("h1") as LaneId,
        receivedAt: clock.now(),
        body: { kind: "booked", booking: { ...other, hire: "h1" as HireId } },
      });
      await mark("SX26 ABC", "back", "h1");
      const swapped = (await board()).filter((c) => c.to !== "h1");
      expect(swapped).toEqual([
        {
          van: "SX26 ABC",
          from: "h1",
          to: "h2",
          done: [
            ["back", "callum", later(noon, 10)],
            ["cleaned", "callum", noon],
          ],
        },
        { van: "SX26 DEF", from: "h1", to: undefined, done: [] },
      ]);
      await house.close();
    },
    60_000,
  );
});
