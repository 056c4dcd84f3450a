/** What whoever watches the service is told, over HTTP on loopback. */

import { sql } from "kysely";
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { after, instantOf } from "../src/calendar.js";
import type { DeskAct } from "../src/post.js";
import { enterDesk } from "./kit/desk.js";
import { type FakeBotApi, openFakeBotApi, textUpdate } from "./kit/fake-bot-api.js";
import { untilTrue } from "./kit/until.js";
import { openWebHouse, type WebHouse } from "./kit/web-house.js";

const metricsToken = "m".repeat(24);
let skewMs = 0;
const clock = { now: () => instantOf(Date.now() + skewMs) };
let service: WebHouse;
let api: FakeBotApi;

beforeAll(async () => {
  api = await openFakeBotApi();
  const bot = {
    botId: "123456789",
    token: `123456789:${"A".repeat(35)}`,
    secret: "s".repeat(32),
    staff: { morag: "900" },
    apiRoot: api.root,
  };
  const settings = { publicUrl: "https://trips.example.org" };
  service = await openWebHouse("curlew", ["Annabel"], { clock, metricsToken, bot, settings });
});
afterAll(async () => {
  await service?.close();
  await api?.close();
});

const get = (path: string) => request(service.url).get(path);
/** The value of one line of the figures; undefined where it is not there. */
async function figure(name: string): Promise<number | undefined> {
  const line = (await get("/metrics")).text.split("\n").find((l) => l.startsWith(`${name} `));
  return line === undefined ? undefined : Number(line.slice(name.length + 1));
}
let keys = 0;
const say = (text: string) =>
  service.house.file({
    key: `watch-${++keys}`,
    lane: service.lane,
    receivedAt: clock.now(),
    body: { kind: "said", from: { person: "p1", via: { channel: "web", to: "p1" } }, text },
  });
const act = (act: DeskAct) =>
  service.house.file({
    key: `watch-${++keys}`,
    lane: service.lane,
    receivedAt: clock.now(),
    body: { kind: "desk", by: "morag", act },
  });
const counted = (name: string) => untilTrue(async () => ((await figure(name)) ?? 0) > 0);

describe("whoever may read the figures", () => {
  it("is a program of this machine, or bears the token", async () => {
    expect((await get("/metrics")).status).toBe(200);
    const far = () => get("/metrics").set("X-Forwarded-For", "203.0.113.9");
    expect((await far()).status).toBe(401);
    expect((await far().set("Authorization", `Bearer ${metricsToken}`)).status).toBe(200);
    expect((await far().set("Authorization", `Bearer ${metricsToken}x`)).status).toBe(401);
    expect((await get("/metrics").set("Authorization", "Bearer wrong")).status).toBe(401);
    expect((await get("/metrics").set("Via", "1.1 proxy")).text).not.toContain("passing_place");
  });
});

describe("the figures", () => {
  it("count what messages were taken for", async () => {
    await say("how do I empty the toilet?");
    await counted('passing_place_understood_total{outcome="answer"}');
    await say("thank you very much");
    await counted('passing_place_understood_total{outcome="courtesy"}');
    await counted('passing_place_sends_total{channel="web",outcome="sent"}');
  });

  it("tell how long a call-out waited until somebody took it", async () => {
    await say("red oil can light came on");
    await counted('passing_place_understood_total{outcome="triage"}');
    await counted('passing_place_sends_total{channel="telegram",outcome="sent"}');
    skewMs += 100_000;
    await act({ do: "take", callout: 1 });
    const name = "passing_place_callout_taken_seconds";
    await counted(`${name}_count{severity="stop"}`);
    expect(await figure(`${name}_bucket{le="60",severity="stop"}`)).toBe(0);
    expect(await figure(`${name}_bucket{le="120",severity="stop"}`)).toBe(1);
    await act({ do: "promise", callout: 1, at: after(clock.now(), 30) });
    await say("it is still red");
    await say("anybody there?");
    expect(await figure(`${name}_count{severity="stop"}`)).toBe(1);
  });

  it("tell what a channel refused or put off", async () => {
    const join = service.links[0]?.split("/").at(-1) ?? "";
    api.faults.push({ kind: "500" }, { kind: "403" });
    await request(service.url)
      .post("/telegram/123456789")
      .set("X-Telegram-Bot-Api-Secret-Token", "s".repeat(32))
      .send(textUpdate(1, `/start ${join}`));
    await counted('passing_place_sends_total{channel="telegram",outcome="put-off"}');
    await counted('passing_place_sends_total{channel="telegram",outcome="not-delivered"}');
  });

  it("tell the age of the oldest arrival, due and send that wait, and how many arrivals failed", async () => {
    const { db } = service.house;
    await service.house.stop();
    expect(await figure("passing_place_failed_arrivals")).toBe(0);
    await say("this one waits");
    await db.deleteFrom("dues").execute();
    const due = { lane: "hire:none", key: "k", generation: 1, kind: "reminder", matter: "{}" };
    await db
      .insertInto("dues")
      .values({ ...due, at: clock.now(), set_by: 0 })
      .execute();
    const row = await db.selectFrom("sends").selectAll().limit(1).executeTakeFirstOrThrow();
    const { seq: _, ...send } = row;
    await db.updateTable("sends").set({ state: "sent" }).execute();
    await db
      .insertInto("sends")
      .values({ ...send, key: "late", state: "waiting", made_at: clock.now() - 1_000_000 })
      .execute();
    await db
      .updateTable("arrivals")
      .set({ state: "failed" })
      .where("key", "=", "watch-1")
      .execute();
    skewMs += 3_600_000;
    const hour = (seconds: number | undefined) => Math.round((seconds ?? 0) / 60);
    expect(hour(await figure("passing_place_oldest_arrival_seconds"))).toBe(60);
    expect(hour(await figure("passing_place_oldest_due_seconds"))).toBe(60);
    expect(hour(await figure("passing_place_oldest_send_seconds"))).toBe(77);
    expect(await figure("passing_place_failed_arrivals")).toBe(1);
    skewMs += 7 * 24 * 3_600_000;
    expect(await figure("passing_place_failed_arrivals")).toBe(0);
    service.house.start();
  });

  it("hold the lag of the event loop, and no name, number, registration or word of anybody", async () => {
    expect(await figure("nodejs_eventloop_lag_p99_seconds")).toBeGreaterThanOrEqual(0);
    const { text } = await get("/metrics");
    expect(text).not.toMatch(/Annabel|Stone|SX26|07700|morag|hire:|toilet|\bh1\b|watch-/i);
  });
});

describe("a webhook that another program holds", () => {
  it("is a figure, and stands above what waits at the desk", async () => {
    const other = await openFakeBotApi();
    other.webhook.info = { url: "https://other.example/" };
    const { root: apiRoot } = other;
    const held = await openWebHouse("curlew", ["Annabel"], {
      bot: { botId: "1", token: `1:${"A".repeat(35)}`, secret: "s".repeat(32), staff: {}, apiRoot },
      settings: { publicUrl: "https://trips.example.org" },
    });
    try {
      const doubts = async () => (await request(held.url).get("/metrics")).text;
      await untilTrue(async () => (await doubts()).includes("passing_place_telegram_doubts 1"));
      const page = (await (await enterDesk(held.url)).get("/desk")).text;
      expect(page).toContain("Messages by Telegram may not come in.");
      expect(page).toContain("some other program uses this bot&#39;s token");
      expect(await figure("passing_place_telegram_doubts")).toBe(0);
      expect((await (await enterDesk(service.url)).get("/desk")).text).not.toContain(
        "may not come",
      );
    } finally {
      await held.close();
      await other.close();
    }
  });
});

describe("readiness", () => {
  it("is told of a service that works, beside that it answers", async () => {
    await untilTrue(async () => (await get("/readyz")).status === 200);
    expect((await get("/healthz")).status).toBe(200);
  });

  it("is refused while the store takes no write, with the reason, and told again once it does", async () => {
    const { db } = service.house;
    await sql`pragma query_only = 1`.execute(db);
    await untilTrue(async () => (await get("/readyz")).status === 503);
    expect((await get("/readyz")).text).toMatch(/^the database .*SQLITE_READONLY/);
    expect((await get("/healthz")).status).toBe(200);
    await sql`pragma query_only = 0`.execute(db);
    await untilTrue(async () => (await get("/readyz")).status === 200);
    expect(await db.selectFrom("instances").selectAll().execute()).toEqual([]);
  });

  it("is refused once the rounds are stopped", async () => {
    await service.house.stop();
    await untilTrue(async () => (await get("/readyz")).status === 503);
    expect((await get("/readyz")).text).toContain("rounds");
  });
});
