/** Notices over HTTP: written, looked at, sent once, seen; who comes later; and after a restart. */

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { concernsHire } from "../../src/bookings/audience.js";
import { instantOf, after as later } from "../../src/calendar.js";
import { quietLog } from "../../src/log.js";
import { openService, type Service } from "../../src/open-service.js";
import type { Booking, HireId, LaneId } from "../../src/post.js";
import { noticeHires } from "../../src/store/care/notices.js";
import { book, matcher } from "../kit/hire.js";
import { untilTrue } from "../kit/until.js";
import { deskPassword } from "../kit/web-house.js";

const folder = mkdtempSync(join(tmpdir(), "passing-place-notices-"));
let service: Service;
let cookie = "";
let csrf = "";
const open = () =>
  openService(
    {
      port: 0,
      host: "127.0.0.1",
      publicUrl: "http://127.0.0.1",
      databaseFile: join(folder, "test.sqlite"),
      logLevel: "silent",
      deskPasswords: { morag: deskPassword },
    },
    { book, matcher, log: quietLog },
  );
const now = instantOf(Date.now());
const booking = (hire: string, more: Partial<Booking>): Booking => ({
  hire: hire as HireId,
  van: { registration: `SX26 ${hire.toUpperCase()}`, type: "curlew" },
  pickupAt: later(now, -24 * 60),
  returnAt: later(now, 6 * 24 * 60),
  zone: "Europe/London",
  region: "gb-sct",
  lang: "en",
  surname: hire,
  status: "booked",
  people: [{ id: "p1", name: "Ann", booker: true, phone: "07700 900500" }],
  ...more,
});
const get = (path: string) =>
  request(service.url).get(path).set("Cookie", cookie).set("Accept", "text/html");
const post = (path: string, body: Record<string, string | string[]>) =>
  request(service.url)
    .post(path)
    .set("Cookie", cookie)
    .set("Accept", "text/html")
    .type("form")
    .send({ csrf, ...body });
async function enter() {
  const entered = await request(service.url)
    .post("/desk/enter")
    .type("form")
    .send({ contact: "morag", password: deskPassword });
  cookie = String(entered.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
  csrf = /name="csrf" value="([^"]+)"/.exec((await get("/desk")).text)?.[1] ?? "";
}
const told = async (hire: string, title: string) =>
  service.house.db
    .selectFrom("events")
    .select(["n", "person", "text"])
    .where("lane", "=", `hire:${hire}`)
    .where("kind", "=", "out")
    .where("text", "like", `%${title}%`)
    .execute();
const stateOf = async (notice: string) =>
  Object.fromEntries((await noticeHires(service.house.db, notice)).map((r) => [r.hire, r]));

beforeAll(async () => {
  service = await open();
  for (const [hire, more] of [
    [
      "a",
      {
        people: [
          { id: "p1", name: "Ann", booker: true },
          { id: "p2", name: "Ben", booker: false },
        ],
      },
    ],
    ["b", { region: "gb" }],
    ["c", { region: "gb-wls" }],
    ["d", { van: { registration: "SX26 D", type: "wren" } }],
    ["e", { pickupAt: later(now, 120) }],
    ["f", { pickupAt: later(now, 3 * 24 * 60) }],
    ["g", { status: "cancelled" }],
  ] as [string, Partial<Booking>][])
    await service.house.makeHire(booking(hire, more));
  await untilTrue(
    async () => (await service.house.db.selectFrom("hires").select("id").execute()).length === 7,
  );
  await enter();
});
afterAll(async () => {
  await service?.close();
  rmSync(folder, { recursive: true, force: true });
});
/** The firm's clock some hours from now, as a form has it. */
const local = (hours: number) => {
  const parts = new Intl.DateTimeFormat("sv-SE", {
    timeZone: "Europe/London",
    dateStyle: "short",
    timeStyle: "short",
  }).format(later(now, hours * 60));
  return parts.replace(" ", "T");
};

describe("whom a notice concerns", () => {
  it.each([
    [{}, "ie", "wren", true],
    [{ region: "gb" }, "gb-sct", "wren", true],
    [{ region: "gb-sct" }, "gb-sct", "wren", true],
    [{ region: "gb-sct" }, "gb-wls", "wren", false],
    // Only the country is known: they may be in Scotland.
    [{ region: "gb-sct" }, "gb", "wren", true],
    [{ region: "gb" }, "ie", "wren", false],
    [{ vanType: "wren" }, "gb", "curlew", false],
  ])("%j and a hire in %s with a %s: %s", (to, region, van_type, is) => {
    expect(concernsHire(to, { region, van_type })).toBe(is);
  });
});

describe("a notice", () => {
  const storm = {
    title: "Storm tonight",
    text: "Awnings in, park away from trees.",
    region: "gb-sct",
  };
  it("is looked at with those whom it reaches before it is sent", async () => {
    const look = await post("/desk/notices/look", storm);
    expect(look.status).toBe(200);
    const reached = [...look.text.matchAll(/name="hire" value="(\w+)"/g)].map((m) => m[1]);
    expect(reached.sort()).toEqual(["a", "b", "d"]);
    expect(look.text).toContain("nothing yet: ring them");
    expect(look.text).toContain("Awnings in, park away from trees.");
    expect(await told("a", "Storm tonight")).toEqual([]);
  });

  it("with nobody ticked is not sent: it stands there as it was, to tick", async () => {
    const sent = await post("/desk/notices", { ...storm, id: "storm-nobody", shown: ["a", "b"] });
    expect([sent.status, sent.text.includes("Nobody is ticked")]).toEqual([400, true]);
    expect(sent.text).toContain(`name="text" value="${storm.text}"`);
    expect(sent.text).toMatch(/name="hire" value="a" id="h-a">/);
  });

  it("goes to those ticked, to all their people, once however often it is sent", async () => {
    const form = { ...storm, id: "storm-tonight", hire: ["a", "d"], shown: ["a", "b", "d"] };
    for (let i = 0; i < 2; i++) expect((await post("/desk/notices", form)).status).toBe(303);
    await untilTrue(async () => (await told("d", "Storm tonight")).length > 0);
    await untilTrue(async () => (await told("a", "Storm tonight")).length > 0);
    expect((await told("a", "Storm tonight")).map((e) => e.person).sort()).toEqual(["p1", "p2"]);
    expect(await told("b", "Storm tonight")).toEqual([]);
    expect((await told("d", "Storm tonight"))[0]?.text).toContain("Morag of Strathbeg Campervans");
  });

  it("is seen by its button or by the word, and the desk tells who has not", async () => {
    const from = { person: "p2", via: { channel: "web", to: "p2" } } as const;
    const file = (n: string, body: object, hire = "a") =>
      service.house.file({
        key: n,
        lane: `hire:${hire}` as LaneId,
        receivedAt: service.house.clock.now(),
        body: body as never,
      });
    await file("tap-1", { kind: "tapped", from, tap: "seen:storm-tonight" });
    await untilTrue(async () => (await stateOf("storm-tonight"))["a"]?.seen_by === "Ben");
    const page = (await get("/desk/notices/storm-tonight")).text;
    expect(page).toContain("Seen by 1 of 2");
    expect(page).toMatch(/not seen<\/b>, told/);
    expect(page.indexOf("SX26 D")).toBeLessThan(page.indexOf("SX26 A"));
    const p1 = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    await file("say-1", { kind: "said", from: p1, text: "Seen it" }, "d");
    await untilTrue(async () => (await stateOf("storm-tonight"))["d"]?.seen_by === "Ann");
    expect((await get("/desk/notices")).text).toMatch(/2 of 2/);
  });

  it("for those who come later reaches the pick-up to come and a hire that is made afterwards, not one after its end", async () => {
    const form = {
      title: "Road shut",
      text: "Take the coast road.",
      until: local(24),
      joiners: "1",
    };
    const look = await post("/desk/notices/look", form);
    const reached = [...look.text.matchAll(/name="hire" value="(\w+)"/g)].map((m) => m[1] ?? "");
    expect(reached.sort()).toEqual(["a", "b", "c", "d", "e"]);
    await post("/desk/notices", { ...form, id: "road-shut", hire: reached, shown: reached });
    await untilTrue(async () => (await told("c", "Road shut")).length > 0);
    // It waits for the pick-up.
    const due = () =>
      service.house.db
        .selectFrom("dues")
        .select(["key", "at"])
        .where("lane", "=", "hire:e")
        .where("kind", "=", "notice")
        .execute();
    await untilTrue(async () => (await due()).length > 0);
    expect(await due()).toEqual([{ key: "notice:road-shut", at: later(now, 120) }]);
    await service.house.makeHire(booking("h", {}));
    await untilTrue(async () => (await told("h", "Road shut")).length > 0);
    await service.house.makeHire(booking("i", { pickupAt: later(now, 30 * 60) }));
    await untilTrue(async () => (await service.house.laneState("hire:i" as LaneId)) !== undefined);
    const rows = await stateOf("road-shut");
    expect(Object.keys(rows).sort()).toEqual(["a", "b", "c", "d", "e", "h"]);
  });

  it("that is ended goes to nobody who comes later, nor at a pick-up; its page says who ended it", async () => {
    const before = (await get("/desk/notices/road-shut")).text;
    expect(before).toContain("End it now");
    expect(before).toContain("told at pick-up");
    for (let i = 0; i < 2; i++)
      expect((await post("/desk/notices/road-shut/end", {})).status).toBe(303);
    const waits = () =>
      service.house.db
        .selectFrom("dues")
        .select("key")
        .where("lane", "=", "hire:e")
        .where("kind", "=", "notice")
        .execute();
    await untilTrue(async () => (await waits()).length === 0);
    await service.house.makeHire(booking("j", {}));
    await untilTrue(async () => (await service.house.laneState("hire:j" as LaneId)) !== undefined);
    expect(Object.keys(await stateOf("road-shut"))).not.toContain("j");
    const page = (await get("/desk/notices/road-shut")).text;
    expect(page).toContain("Ended by Morag");
    expect(page).toContain("not told: the notice is over by then");
    expect(page).not.toContain("End it now");
    expect((await get("/desk/trail")).text).toContain(">notices end</td>");
  });

  it("about a van type is not told at the pick-up to a hire that was given another, and its page says so", async () => {
    const form = {
      ...{ title: "Roof vent", text: "Do not open it.", until: local(24), joiners: "1" },
      ...{ vanType: "curlew", id: "roof-vent", hire: ["e"], shown: ["a", "b", "c", "e"] },
    };
    await post("/desk/notices", form);
    const change = { van: { registration: "SX26 E", type: "wren" } };
    await service.house.file({
      ...{ key: "another-van", lane: "hire:e" as LaneId, receivedAt: service.house.clock.now() },
      body: { kind: "changed", by: "morag", change },
    });
    const page = async () => (await get("/desk/notices/roof-vent")).text;
    await untilTrue(async () => (await page()).includes("not told: it is about others"));
  });

  it("is neither lost nor doubled by a restart before anybody was told", async () => {
    await service.house.stop();
    await post("/desk/notices", {
      title: "Recall of jacks",
      text: "Do not use the jack.",
      id: "recall-1",
      hire: ["a", "c"],
      shown: ["a", "c"],
    });
    expect(await told("a", "Recall of jacks")).toEqual([]);
    await service.close();
    service = await open();
    await enter();
    await untilTrue(async () => (await told("c", "Recall of jacks")).length > 0);
    await untilTrue(async () => (await told("a", "Recall of jacks")).length > 0);
    expect(await told("c", "Recall of jacks")).toHaveLength(1);
  });

  it.each([
    [{ title: "", text: "x" }, "A line that says what it is"],
    [{ title: "x", text: "" }, "What they should know and do"],
    [{ title: "x", text: "y", region: "mars" }, "of the list"],
    [{ title: "x", text: "y", vanType: "albatross" }, "of the list"],
    [{ title: "x", text: "y", joiners: "1" }, "Until when"],
    [{ title: "x", text: "y", until: "2020-01-01T10:00" }, "a later one is needed"],
    [{ title: "x", text: "y".repeat(1600) }, "1600 letters; at most 1500"],
  ])(
    "that is wrong says what would be right, and keeps what was typed: %j",
    async (typed, says) => {
      const look = await post("/desk/notices/look", typed);
      expect(look.status).toBe(400);
      expect(look.text).toContain(says);
      if (typed.title) expect(look.text).toContain(`value="${typed.title}"`);
    },
  );

  it("to nobody is not sent, and an unknown one is told so", async () => {
    const answer = await post("/desk/notices", { title: "x", text: "y", id: "nobody-at-all" });
    expect(answer.status).toBe(400);
    expect((await get("/desk/notices/none-such")).status).toBe(404);
    expect(
      (await request(service.url).get("/desk/notices").set("Accept", "text/html")).text,
    ).toContain("Password");
  });
});
