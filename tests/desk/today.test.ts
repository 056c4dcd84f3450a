/** The board of the day over HTTP: marked by name, taken back, refused where it cannot be; and what is owed. */
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { after as later } from "../../src/calendar.js";
import type { DeskAct, HireId, LaneId } from "../../src/post.js";
import { type DeskVisitor, enterDesk } from "../kit/desk.js";
import { noon, scriptClock } from "../kit/small-house.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";

// 3 June 2026, 13:00 in the firm's zone.
const clock = scriptClock(noon);
let service: WebHouse;
let morag: DeskVisitor;
let n = 0;
const page = async () =>
  (await morag.get("/desk/today")).text.replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");
const mark = (fields: Record<string, string>) =>
  morag.post("/desk/vans/SX26%20ABC", {
    ...{ id: `form-of-today-${++n}`, do: "ready", back: "/desk/today" },
    ...fields,
  });

beforeAll(async () => {
  service = await openWebHouse("curlew", ["Ann"], { clock });
  morag = await enterDesk(service.url);
  const booking = await vi.waitFor(async () => {
    const known = await service.house.laneState(service.lane);
    if (known?.kind !== "hire") throw new Error("no hire yet");
    return known.hire.booking;
  });
  // Due back at 12:00; the next hirers come at 14:30, and all steps take three hours.
  const body = { kind: "booked", booking: { ...booking, returnAt: later(noon, -60) } } as const;
  await service.house.file({ key: "cut", lane: service.lane, receivedAt: noon, body });
  await service.house.makeHire({
    ...booking,
    ...{ hire: "h2" as HireId, surname: "Reed <b>", pickupAt: later(noon, 90) },
  });
  await vi.waitFor(async () => expect(await page()).toContain("Reed"), { timeout: 10_000 });
}, 60_000);
afterAll(() => service?.close());

describe("today", () => {
  it("says who is late, whom it hits, and what blocks the van with who may release it", async () => {
    const text = await page();
    expect(text).toContain("Today, Wed 3 Jun");
    expect(text).toContain("Stone is late: due 12:00, 1 h 00 min ago");
    expect(text).toContain("Reed &lt;b&gt; will wait: 14:30 , in 1 h 30 min");
    expect(text).toContain("no return record of Stone");
    expect(text).toContain("Callum, Morag may, by name and with a reason");
  });
  it("a step is marked by name and time, taken back, and marked again", async () => {
    const cleaned = { step: "cleaned", after: "h1" };
    const answer = await mark(cleaned);
    expect([answer.status, answer.headers["location"]]).toEqual([303, "/desk/today"]);
    expect(await page()).toContain("✓ cleaned 13:00 Morag");
    await mark({ ...cleaned, undo: "1" });
    expect(await page()).not.toContain("✓ cleaned");
    await mark(cleaned);
    expect(await page()).toContain("✓ cleaned 13:00 Morag");
    const log = await service.house.db
      .selectFrom("events")
      .select(["who", "text"])
      .where("lane", "=", "van:SX26 ABC")
      .execute();
    expect(log.map((e) => `${e.who} ${e.text}`)).toEqual([
      "Morag done: cleaned",
      "Morag not done after all: cleaned",
      "Morag done: cleaned",
    ]);
  });
  it("going out is no mark: it needs the pick-up record", async () => {
    const refused = await mark({ step: "out", after: "h1" });
    expect([refused.status, refused.text.includes("That step is not known")]).toEqual([400, true]);
  });
  it("is behind the sign-in, and its part answers 401 to who is signed out", async () => {
    const bare = await fetch(`${service.url}/desk/today`);
    expect(await bare.text()).toContain("Password");
    expect((await fetch(`${service.url}/desk/today/part`)).status).toBe(401);
  });
  it("a pick-up whose record is missing is owed", async () => {
    clock.move(200);
    expect(await page()).toContain("pick-up record: Reed &lt;b&gt;, pick-up 14:30");
  });
  it("a hire that went out and came back today is not said to be out", async () => {
    const reading = { at: noon, by: "morag" };
    const handover = {
      ...{ registration: "SX26 ABC", by: "morag", unit: "miles" as const, kit: [], photos: [] },
      ...{ drivers: [], points: [], faults: [], confirmed: [] },
    };
    const record = (kind: "pickup-record" | "return-record") => {
      const act: DeskAct = { do: kind, reading, handover };
      const lane = "hire:h2" as LaneId;
      const body = { kind: "desk", by: "morag", act } as const;
      return service.house.file({ key: kind, lane, receivedAt: noon, body });
    };
    await record("pickup-record");
    const out = /out with Reed &lt;b&gt; since \d\d:\d\d/;
    await vi.waitFor(async () => expect(await page()).toMatch(out), { timeout: 10_000 });
    await record("return-record");
    const back = /went out with Reed &lt;b&gt; \d\d:\d\d, and is back/;
    await vi.waitFor(async () => expect(await page()).toMatch(back), { timeout: 10_000 });
    expect(await page()).not.toMatch(out);
  }, 30_000);
});
