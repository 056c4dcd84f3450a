/** The house is ended at every named point in turn, opened again, and must tell the same story. */
import { afterEach, describe, expect, it } from "vitest";
import { type House, openHouse } from "../../src/house.js";
import type { Arrival } from "../../src/post.js";
import { eventsOf } from "../../src/store/events.js";
import { openCallouts } from "../../src/store/hires.js";
import {
  booking,
  houseParts,
  lane,
  said,
  scriptClock,
  scriptDoor,
  tempFile,
} from "../kit/small-house.js";

class Killed extends Error {}
const story: (Arrival | number)[] = [
  said("say one", 1),
  said("later 5", 2),
  said("danger", 3),
  6,
  said("say two", 4),
  said("danger", 5),
  3,
  said("say three", 6),
];

const cleanups: (() => void)[] = [];
afterEach(() => {
  for (const done of cleanups.splice(0)) done();
});

/** Plays the story; at the `nth` call of `point` the house dies and is opened again. Senders that got no answer send again. */
async function play(point?: string, nth = 1) {
  const { file, remove } = tempFile();
  cleanups.push(remove);
  const clock = scriptClock();
  const doors = [scriptDoor("telegram"), scriptDoor("hook")];
  const seen = new Set<string>();
  let hits = 0;
  let killed = false;
  const open = () =>
    openHouse({
      ...houseParts,
      clock,
      dbFile: file,
      doors: doors.map((d) => d.door),
      crash(at) {
        seen.add(at);
        if (at === point && !killed && ++hits === nth) {
          killed = true;
          throw new Killed(at);
        }
      },
    });
  let house: House = await open();
  const survive = async (work: () => Promise<unknown>) => {
    for (;;) {
      try {
        return await work();
      } catch (error) {
        if (!(error instanceof Killed)) throw error;
        await house.close();
        house = await open();
      }
    }
  };
  const settle = async (toMinutes: number) => {
    const end = clock.now() + toMinutes * 60_000;
    for (;;) {
      await survive(() => house.runUntilIdle());
      const at = await house.nextAt();
      if (at === undefined || at > end) break;
      clock.moveTo(at);
    }
    if (clock.now() < end) clock.move((end - clock.now()) / 60_000);
  };
  await survive(() => house.makeHire(booking(), "booked"));
  await settle(0);
  for (const act of story) {
    if (typeof act !== "number")
      await survive(() => house.file({ ...act, receivedAt: clock.now() }));
    await settle(typeof act === "number" ? act : 0.2);
  }
  await settle(30);
  const log = (await eventsOf(house.db, lane())).map((e) => `${e.n} ${e.kind} ${e.who}: ${e.text}`);
  const sends = (
    await house.db.selectFrom("sends").select(["key", "state"]).orderBy("key").execute()
  ).map((s) => `${s.key} ${s.state}`);
  const callouts = (await openCallouts(house.db)).map((c) => `${c.n} ${c.state}`);
  await house.close();
  const tried = doors.flatMap((d) => d.tried.map((t) => t.key));
  return { killed, seen: [...seen], story: { log, sends, callouts }, tried };
}

describe("a house that is killed at a named point", () => {
  it("tells the same story as one that is not, and doubles no message but one whose fate nobody could know", {
    timeout: 120_000,
  }, async () => {
    const whole = await play();
    expect(whole.story.log.length).toBeGreaterThan(15);
    expect(new Set(whole.tried).size).toBe(whole.tried.length);
    expect(whole.seen.length).toBeGreaterThanOrEqual(9);
    let kills = 0;
    for (const point of whole.seen)
      for (let nth = 1; ; nth += 2) {
        const cut = await play(point, nth);
        if (!cut.killed) break;
        kills++;
        expect(cut.story, `killed at "${point}", time ${nth}`).toEqual(whole.story);
        expect(new Set(cut.tried)).toEqual(new Set(whole.tried));
        const doubled = cut.tried.length - whole.tried.length;
        expect(doubled, `doubled after "${point}", time ${nth}`).toBe(
          point === "delivery: sent" ? 1 : 0,
        );
      }
    expect(kills).toBeGreaterThan(30);
  });

  it("again and again after a message left sends an ordinary one twice at most and a safety one six times", async () => {
    for (const [text, most] of [
      ["say one", 2],
      ["danger", 6],
    ] as const) {
      const { file, remove } = tempFile();
      cleanups.push(remove);
      const clock = scriptClock();
      const chat = scriptDoor();
      const hook = scriptDoor("hook");
      const start = () =>
        openHouse({
          ...houseParts,
          clock,
          dbFile: file,
          doors: [chat.door, hook.door],
          crash(at) {
            if (at === "delivery: sent") throw new Killed(at);
          },
        });
      for (let life = 0; life < 30; life++) {
        const house = await start();
        if (life === 0) await house.makeHire(booking(), "booked");
        if (life === 0) await house.file(said(text, 1));
        await house.runUntilIdle().catch((error: unknown) => expect(error).toBeInstanceOf(Killed));
        clock.move(10);
        await house.close();
      }
      const first = chat.texts().filter((t) => t === (text === "danger" ? "Get out. 999." : "one"));
      expect(first).toHaveLength(most);
    }
  });
});
