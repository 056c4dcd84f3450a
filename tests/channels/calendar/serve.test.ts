/** A hirer's calendar over HTTP: made on their page, read by two parsers, changed with the hire, stopped. */

import ICAL from "ical.js";
import ical from "node-ical";
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { after } from "../../../src/calendar.js";
import type { Booking } from "../../../src/post.js";
import { untilTrue } from "../../kit/until.js";
import { openWebHouse, type WebHouse } from "../../kit/web-house.js";

let service: WebHouse;
let cookie = "";
beforeAll(async () => {
  service = await openWebHouse("curlew");
  const opened = await request(service.url).post(new URL(service.links[0] ?? "").pathname);
  cookie = String(opened.headers["set-cookie"]?.[0]).split(";")[0] ?? "";
  await untilTrue(async () => (await bookingNow()) !== undefined);
});
afterAll(() => service?.close());

async function bookingNow(): Promise<Booking | undefined> {
  const state = await service.house.laneState(service.lane);
  return state?.kind === "hire" ? state.hire.booking : undefined;
}
let changes = 0;
async function change(more: Partial<Booking>): Promise<void> {
  const booking = await bookingNow();
  if (!booking) throw new Error("no hire");
  const next = { ...booking, ...more };
  await service.house.file({
    key: `change:${++changes}`,
    lane: service.lane,
    receivedAt: service.house.clock.now(),
    body: { kind: "booked", booking: next },
  });
  await untilTrue(async () => JSON.stringify(await bookingNow()) === JSON.stringify(next));
}
const post = (path: string) =>
  request(service.url).post(path).set("Cookie", cookie).set("Accept", "text/html");
async function newLink(): Promise<string> {
  const made = await post("/chat/calendar");
  expect(made.status).toBe(201);
  return /\/calendar\/[\w-]{22}\.ics/.exec(made.text)?.[0] ?? "none";
}
const read = (path: string) => request(service.url).get(path);

type Seen = { uid: string; start: number; status: string; sequence: number; stamp: number };
/** The same entries by both parsers; they must agree. */
function both(text: string): Seen[] {
  ICAL.TimezoneService.reset();
  const calendar = new ICAL.Component(ICAL.parse(text));
  for (const zone of calendar.getAllSubcomponents("vtimezone")) ICAL.TimezoneService.register(zone);
  const first = calendar.getAllSubcomponents("vevent").map((c) => ({
    uid: new ICAL.Event(c).uid,
    start: new ICAL.Event(c).startDate.toUnixTime() * 1000,
    status: String(c.getFirstPropertyValue("status")),
    sequence: Number(c.getFirstPropertyValue("sequence")),
    stamp: (c.getFirstPropertyValue("dtstamp") as ICAL.Time).toUnixTime() * 1000,
  }));
  const second = Object.values(ical.sync.parseICS(text)).flatMap((part) =>
    part?.type === "VEVENT"
      ? [
          {
            uid: part.uid,
            start: part.start.getTime(),
            status: String(part.status),
            sequence: Number(part.sequence),
            stamp: part.dtstamp.getTime(),
          },
        ]
      : [],
  );
  const sorted = (rows: Seen[]) => [...rows].sort((a, b) => (a.uid < b.uid ? -1 : 1));
  expect(sorted(second)).toEqual(sorted(first));
  return first;
}
const find = (rows: Seen[], rule: string): Seen => {
  const row = rows.find((r) => r.uid.startsWith(`${rule}.`));
  if (!row) throw new Error(`no ${rule}`);
  return row;
};

describe("a hirer's calendar", () => {
  it("is made on the hirer's page, and only there", async () => {
    expect((await request(service.url).post("/chat/calendar")).status).toBe(401);
    const page = await request(service.url).get("/chat").set("Cookie", cookie);
    expect(page.text).toContain("/chat/calendar");
    const made = await post("/chat/calendar");
    expect(made.text).toMatch(/href="webcal:\/\/127\.0\.0\.1\/calendar\/[\w-]{22}\.ics"/);
  });

  it("is a calendar file with zone data that both parsers read alike", async () => {
    const answer = await read(await newLink());
    expect(answer.status).toBe(200);
    expect(answer.headers["content-type"]).toBe("text/calendar; charset=utf-8");
    const text = answer.text;
    expect(text).toMatch(/^BEGIN:VTIMEZONE\r\nTZID:Europe\/London\r$/m);
    // RFC 7986, 5.7: how often a program should look again.
    expect(text).toMatch(/^REFRESH-INTERVAL;VALUE=DURATION:PT1H\r$/m);
    const rules = both(text).map((r) => r.uid.split(".")[0]);
    expect(rules).toContain("welcome");
    expect(rules).toContain("return-24h");
    // Nobody wants an alarm "when will you be here" in a calendar that is read once a day.
    expect(rules).not.toContain("late");
    for (const row of both(text)) expect(row.uid).not.toMatch(/20\d\d-?\d\d/);
  });

  it("stays the same file while nothing changes, so that a program need not take it again", async () => {
    const link = await newLink();
    const [one, two] = [await read(link), await read(link)];
    expect(two.text).toBe(one.text);
    const again = await request(service.url)
      .get(link)
      .set("If-None-Match", one.headers["etag"] ?? "");
    expect(again.status).toBe(304);
  });

  it("moves an entry under its UID when the return moves, counted on and dated anew; the others stay as they were", async () => {
    const link = await newLink();
    const was = both((await read(link)).text);
    const booking = await bookingNow();
    if (!booking) throw new Error("no hire");
    await change({ returnAt: after(booking.returnAt, 2 * 24 * 60) });
    const is = both((await read(link)).text);
    const [old, moved] = [find(was, "return-24h"), find(is, "return-24h")];
    expect(moved.uid).toBe(old.uid);
    // Two local days on: 48 elapsed hours but for a change of the clocks.
    expect(Math.abs(moved.start - old.start - 48 * 3_600_000)).toBeLessThanOrEqual(3_600_000);
    expect([old.sequence, moved.sequence]).toEqual([0, 1]);
    expect(moved.stamp).toBeGreaterThanOrEqual(old.stamp);
    expect(find(is, "welcome")).toEqual(find(was, "welcome"));
  });

  it("keeps what is no longer planned, marked as cancelled, and brings it back", async () => {
    const link = await newLink();
    await change({ van: { registration: "PL26 VER", type: "plover" } });
    const swapped = both((await read(link)).text);
    // An electric van has no exhaust fluid.
    expect(find(swapped, "exhaust-fluid").status).toBe("CANCELLED");
    await change({ status: "cancelled" });
    const gone = both((await read(link)).text);
    expect(gone.length).toBe(swapped.length);
    expect(new Set(gone.map((r) => r.status))).toEqual(new Set(["CANCELLED"]));
    await change({ status: "booked", van: { registration: "SX26 ABC", type: "curlew" } });
    const back = both((await read(link)).text);
    // Another van's words, cancelled, and back: three changes.
    expect(find(back, "welcome")).toMatchObject({ status: "CONFIRMED", sequence: 3 });
  });

  it("opens nothing once it is stopped, by the hirer or with a new link of the hire", async () => {
    const [one, two] = [await newLink(), await newLink()];
    expect((await read(one)).status).toBe(200);
    await post("/chat/calendar/stop");
    expect([(await read(one)).status, (await read(two)).status]).toEqual([404, 404]);
    const tokens = await service.house.db.selectFrom("links").selectAll().execute();
    for (const { token_hash } of tokens) expect(token_hash).toMatch(/^[0-9a-f]{64}$/);
    expect(JSON.stringify(tokens)).not.toContain(/\/([\w-]{22})\./.exec(one)?.[1]);
  });

  it("has at most five links a person; a further one closes the oldest", async () => {
    const links: string[] = [];
    for (let i = 0; i < 6; i++) links.push(await newLink());
    const open: number[] = [];
    for (const link of links) open.push((await read(link)).status);
    expect(open.filter((s) => s === 200)).toHaveLength(5);
    expect(open.at(-1)).toBe(200);
  });

  it("is no way into anything else", async () => {
    const link = await newLink();
    const token = /\/([\w-]{22})\./.exec(link)?.[1] ?? "";
    expect((await request(service.url).get(`/h/${token}`)).status).toBe(404);
    for (const path of [`/calendar/${token}`, "/calendar/x.ics", `/calendar/${"x".repeat(22)}.ics`])
      expect((await request(service.url).get(path)).status, path).toBe(404);
    const chat = new URL(service.links[0] ?? "").pathname.replace("/h/", "/calendar/");
    expect((await request(service.url).get(`${chat}.ics`)).status).toBe(404);
  });
});
