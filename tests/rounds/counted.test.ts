/** What the torture counts: nothing wrong where nothing is, and each fault that it looks for as one. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { check } from "../../scripts/torture/check.js";
import type { Ledger } from "../../scripts/torture/clients.js";
import type { Accepted } from "../../scripts/torture/shaky-bot-api.js";
import { type House, openHouse } from "../../src/house.js";
import {
  booking,
  houseParts,
  lane,
  noon,
  said,
  scriptClock,
  scriptDoor,
} from "../kit/small-house.js";

let house: House;
let ledger: Ledger;
let accepted: Accepted[];

/** Three updates of one chat: two answers, and a danger. */
beforeEach(async () => {
  const { door, tried } = scriptDoor();
  const clock = scriptClock();
  house = await openHouse({
    ...houseParts,
    ...{ dbFile: ":memory:", clock, doors: [door] },
  });
  await house.makeHire(booking());
  await house.runUntilIdle();
  for (const [n, text] of ["say one", "say two", "danger"].entries())
    await house.file({ ...said(text, n + 1), key: `tg:1:${n + 1}` });
  await house.runUntilIdle();
  ledger = {
    taken: [1, 2, 3].map((update) => ({ chat: "100", update, danger: update === 3 })),
    ...{ refused: 0, broken: 0 },
  };
  accepted = tried.map(({ to, text }) => ({
    chat: to,
    text,
    buttons: [],
    at: noon,
    unsure: false,
  }));
});
afterEach(() => house.close());

/** Each line that counts something wrong, by its name. */
async function wrong(now: number = noon): Promise<Record<string, number>> {
  const lines = await check(house.db, { ledger, accepted, underWay: [], botId: "1", now });
  return Object.fromEntries(lines.filter((l) => l.wrong > 0).map((l) => [l.what, l.wrong]));
}
/** An event of the hire once more, under another number. */
async function eventAgain(key: string, n: number): Promise<void> {
  const { db } = house;
  const row = await db
    .selectFrom("events")
    .selectAll()
    .where("kind", "=", "in")
    .where("more", "like", `%${key}%`)
    .executeTakeFirstOrThrow();
  await db
    .insertInto("events")
    .values({ ...row, n })
    .execute();
}
const lastEvent = async () =>
  (await house.db.selectFrom("events").select("n").orderBy("n", "desc").executeTakeFirst())?.n ?? 0;

describe("the torture's table", () => {
  it("has nothing wrong of something where all went well", async () => {
    expect(await wrong()).toEqual({});
    const lines = await check(house.db, { ledger, accepted, underWay: [], botId: "1", now: noon });
    const counted = lines.filter((l) => l.of > 0).map((l) => l.what);
    for (const what of [
      "arrivals acknowledged and lost",
      "dangers without a call-out",
      "dues late at the end",
    ])
      expect(counted).toContain(what);
  });
  it("counts an arrival that was acknowledged and lost", async () => {
    ledger.taken.push({ chat: "100", update: 4, danger: false });
    expect(await wrong()).toEqual({ "arrivals acknowledged and lost": 1 });
  });
  it("counts a danger without a call-out", async () => {
    await house.db.deleteFrom("callouts").execute();
    expect(await wrong()).toEqual({ "dangers without a call-out": 1 });
  });
  it("counts an arrival that waits", async () => {
    await house.db
      .updateTable("arrivals")
      .set({ state: "waiting" })
      .where("key", "=", "tg:1:1")
      .execute();
    expect(await wrong()).toEqual({ "arrivals not done at the end": 1 });
  });
  it("counts an arrival that was acted on twice, in order", async () => {
    await eventAgain("tg:1:3", (await lastEvent()) + 1);
    expect(await wrong()).toEqual({ "arrivals acted on twice": 1 });
  });
  it("counts words that were acted on after later ones", async () => {
    await eventAgain("tg:1:1", (await lastEvent()) + 1);
    expect(await wrong()).toEqual({
      "arrivals acted on twice": 1,
      "words of a chat out of order": 1,
    });
  });
  it("counts a number that the trip log lacks", async () => {
    const n = await lastEvent();
    await house.db
      .updateTable("events")
      .set({ n: n + 1 })
      .where("n", "=", n)
      .execute();
    expect(await wrong()).toEqual({ "trip log: numbers missing or doubled": 1 });
  });
  it("counts a message that came twice, unless the wire had left it unsure", async () => {
    const [first] = accepted;
    if (!first) throw new Error("nothing was sent");
    accepted.push(first);
    expect(await wrong()).toEqual({ "messages doubled though the wire was clear": 1 });
    accepted[accepted.length - 1] = { ...first, unsure: true };
    expect(await wrong()).toEqual({});
  });
  it("counts a send that is marked sent and never came", async () => {
    accepted.pop();
    expect(await wrong()).toEqual({ "sends marked sent that never arrived": 1 });
  });
  it("counts a send that waits", async () => {
    const { key } = await house.db.selectFrom("sends").select("key").executeTakeFirstOrThrow();
    await house.db.updateTable("sends").set({ state: "waiting" }).where("key", "=", key).execute();
    expect((await wrong())["sends still waiting at the end"]).toBe(1);
  });
  it("counts an open call-out with neither person nor due, and a due that is late", async () => {
    // The next contact's, two minutes on.
    expect(await wrong(noon + 3 * 60_000)).toEqual({ "dues late at the end": 1 });
    await house.db.deleteFrom("dues").where("lane", "=", lane()).execute();
    expect(await wrong()).toEqual({ "open call-outs without person or due": 1 });
  });
  it("counts an answer of 5xx", async () => {
    ledger.broken = 1;
    expect(await wrong()).toEqual({ "answers of 5xx but 503": 1 });
  });
});
