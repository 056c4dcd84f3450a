/** What the web chat answers to good and bad input, over HTTP on loopback. */
import express from "express";
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { instantOf } from "../../../src/calendar.js";
import { Streams } from "../../../src/channels/stream.js";
import { pictureKind } from "../../../src/channels/webchat/photos.js";
import { webchatRoutes } from "../../../src/channels/webchat/receive.js";
import { Fault } from "../../../src/faults.js";
import { openLog, quietLog } from "../../../src/log.js";
import { type HireId, mostLetters } from "../../../src/post.js";
import { addEvents, eventsOfPerson } from "../../../src/store/events.js";
import { warnAtStart } from "../../../src/warn-at-start.js";
import { bookingOf } from "../../kit/booking.js";
import { enterDesk, heicPhoto } from "../../kit/desk.js";
import { book } from "../../kit/hire.js";
import { until } from "../../kit/until.js";
import { openWebHouse, type WebHouse } from "../../kit/web-house.js";

let service: WebHouse;
let cookie = "";
beforeAll(async () => {
  service = await openWebHouse("wren", ["Ann", "Ben"]);
  const opened = await request(service.url).post(new URL(service.links[0] ?? "").pathname);
  cookie = String(opened.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
});
afterAll(() => service?.close());
const post = (path: string) =>
  request(service.url).post(path).set("Cookie", cookie).set("Accept", "application/json");
const messages = async () =>
  (await request(service.url).get("/chat/messages?since=0").set("Cookie", cookie)).body as {
    n: number;
    key: string;
    mine: boolean;
    html: string;
  }[];

/** Waits until the talk holds a message, looking every 20 ms, at most 5 s. */
const untilFound = (found: (all: { html: string; mine: boolean; key: string }[]) => boolean) =>
  until(async () => {
    const all = await messages();
    return found(all) ? all : undefined;
  }, 20);

describe("a link", () => {
  it("is not used up by previews: looking at it does nothing, and it opens again and again", async () => {
    const path = new URL(service.links[1] ?? "").pathname;
    for (const look of [
      request(service.url).get(path),
      request(service.url).head(path),
      request(service.url).get(path),
    ]) {
      const seen = await look;
      expect(seen.status).toBe(200);
      expect(seen.headers["set-cookie"]).toBeUndefined();
      expect(seen.headers["referrer-policy"]).toBe("same-origin");
    }
    for (let i = 0; i < 2; i++) {
      const opened = await request(service.url).post(path);
      expect(opened.status).toBe(303);
      expect(opened.headers["set-cookie"]?.[0]).toMatch(/HttpOnly.*SameSite=Lax/);
    }
  });
  it("keeps the device connected until it ends itself, also where it is opened long before the trip", async () => {
    const days = 24 * 60 * 60_000;
    const now = Date.now();
    const daysKept = async (hire: string, returnIn: number) => {
      const returnAt = instantOf(now + returnIn * days);
      const times = { pickupAt: instantOf(returnAt - 7 * days), returnAt };
      const { links } = await service.house.makeHire(bookingOf({ hire: hire as HireId, ...times }));
      const opened = await request(service.url).post(`/h/${links[0]?.token}`);
      return Number(/Max-Age=(\d+)/.exec(String(opened.headers["set-cookie"]))?.[1]) / 86_400;
    };
    expect(await daysKept("h7", 200)).toBeCloseTo(200 + book.keeping.link.days, 1);
    expect(await daysKept("h8", 20)).toBe(120);
  });
  it("that nobody knows is told so plainly, with the firm's number", async () => {
    const seen = await request(service.url).get("/h/not-a-link-of-ours");
    expect(seen.status).toBe(404);
    expect(seen.text).toContain(book.firm.phone);
  });
  it("is stored hashed: the token stands nowhere in the database", async () => {
    const token = (service.links[0] ?? "").split("/").at(-1) ?? "";
    const rows = await service.house.db.selectFrom("links").selectAll().execute();
    expect(rows.length).toBeGreaterThan(0);
    expect(JSON.stringify(rows)).not.toContain(token);
  });
});

describe("a printed card", () => {
  const card = async () => {
    const made = await post("/chat/card").set("Accept", "text/html");
    expect(made.status).toBe(201);
    return /\/h\/[\w-]{22}/.exec(made.text)?.[0] ?? "";
  };
  const cookieIn = (answer: request.Response) =>
    String(answer.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";

  it("lets whoever scans it read, but make no card and no calendar, and ends for all of them with the next", async () => {
    const stranger = cookieIn(await request(service.url).post(await card()));
    const get = (path: string) => request(service.url).get(path).set("Cookie", stranger);
    const make = (path: string) => request(service.url).post(path).set("Cookie", stranger);
    expect((await get("/chat")).status).toBe(200);
    for (const tried of [
      get("/chat/card"),
      make("/chat/card"),
      get("/chat/calendar"),
      make("/chat/calendar"),
      make("/chat/calendar/stop"),
    ])
      expect((await tried).status).toBe(403);
    expect((await get("/chat")).status).toBe(200);
    await card();
    expect((await get("/chat")).status).toBe(401);
    expect((await make("/chat/say").send({ text: "hello" })).status).toBe(401);
    expect((await request(service.url).get("/chat").set("Cookie", cookie)).status).toBe(200);
  });

  it("that people of the hire scan leaves each device theirs", async () => {
    const scanned = await request(service.url)
      .post(await card())
      .set("Cookie", cookie);
    expect([scanned.status, scanned.headers["set-cookie"]]).toEqual([303, undefined]);
    const [, ben = ""] = service.links;
    const other = cookieIn(await request(service.url).post(new URL(ben).pathname));
    const opened = await request(service.url)
      .post(await card())
      .set("Cookie", other);
    expect([opened.status, opened.headers["set-cookie"]]).toEqual([303, undefined]);
    await card();
    expect((await request(service.url).get("/chat").set("Cookie", other)).status).toBe(200);
  });
});

describe("the page of a van that the book no longer has", { timeout: 60_000 }, () => {
  const others = { ...book, vans: new Map([...book.vans].filter(([id]) => id !== "wren")) };
  const names = [...book.vans.values()].map((van) => van.name);
  it("shows who to ring, and no name, guide, steps or measure of another van", async () => {
    const lines: string[] = [];
    const log = openLog("warn", { write: (line: string) => void lines.push(line) });
    const gone = await openWebHouse("wren", ["Ann"], { book: others, log });
    try {
      const path = new URL(gone.links[0] ?? "").pathname;
      const opened = await request(gone.url).post(path);
      const own = String(opened.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
      const get = (at: string) => request(gone.url).get(at).set("Cookie", own);
      const pages: [number, request.Response][] = [
        [200, await get(path)],
        [200, await get("/chat")],
        [404, await get("/chat/guide")],
        [404, await get("/chat/guide?whole=1")],
        [404, await get("/chat/steps")],
        [404, await get("/chat/card")],
        [404, await request(gone.url).post("/chat/card").set("Cookie", own)],
      ];
      for (const [status, page] of pages) {
        expect(page.status).toBe(status);
        expect(page.text).toContain(book.firm.phone);
        expect(page.text).toContain('href="tel:999"');
        expect(names.filter((name) => page.text.includes(name))).toEqual([]);
        expect(page.text).not.toMatch(/\d m \(|\d kg/);
      }
      expect((await get("/chat/pack")).status).toBe(404);
      const desk = await enterDesk(gone.url);
      expect((await desk.post("/desk/hires/h1/card", { person: "p1" })).status).toBe(404);
      const links = await gone.house.db.selectFrom("links").select("kind").execute();
      expect(links.map((link) => link.kind).sort()).toEqual(["chat", "cookie"]);
      await warnAtStart(gone.house, true);
      const told = lines.find((line) => line.includes("van types that are not in"));
      expect(JSON.parse(told ?? "{}")).toMatchObject({ count: 1 });
    } finally {
      await gone.close();
    }
  });
});

describe("the page", () => {
  it("shows who to ring and the van without any script, and runs no inline script", async () => {
    const page = await request(service.url).get("/chat").set("Cookie", cookie);
    expect(page.status).toBe(200);
    expect(page.text).toContain('href="tel:999"');
    expect(page.text).toContain(`href="tel:${book.firm.phone.replaceAll(" ", "")}"`);
    expect(page.text).toContain("SX26 ABC");
    expect(page.text).not.toMatch(/<script(?![^>]*src=)/);
    expect(page.headers["content-security-policy"]).toContain("script-src 'self'");
    expect(page.headers["content-security-policy"]).not.toContain("unsafe");
  });
  it("is for nobody without the cookie", async () => {
    expect((await request(service.url).get("/chat")).status).toBe(401);
    expect((await request(service.url).get("/chat/messages").set("Cookie", "van=abc")).status).toBe(
      401,
    );
  });
  it("works by its form alone", async () => {
    const sent = await request(service.url)
      .post("/chat/say")
      .set("Cookie", cookie)
      .type("form")
      .send({ text: "thank you" });
    expect(sent.status).toBe(303);
    await untilFound((all) => all.some((m) => m.mine && m.html.includes("thank you")));
  });
});

describe("a message", () => {
  it("sent twice with the same id acts once", async () => {
    for (let i = 0; i < 3; i++)
      expect(
        (await post("/chat/say").send({ id: "twice", text: "what height is it" })).status,
      ).toBe(200);
    const all = await untilFound((m) => m.some((x) => x.html.includes("2.02 m")));
    expect(all.filter((m) => m.key.endsWith(":twice"))).toHaveLength(1);
    expect(all.filter((m) => !m.mine && m.html.includes("2.02 m"))).toHaveLength(1);
  });
  it("is escaped where it is shown", async () => {
    await post("/chat/say").send({ id: "script", text: "<script>alert(1)</script> & co" });
    const all = await untilFound((m) => m.some((x) => x.key.endsWith(":script")));
    expect(all.find((m) => m.key.endsWith(":script"))?.html).toContain(
      "&lt;script&gt;alert(1)&lt;/script&gt; &amp; co",
    );
  });
  it("is seen by its own person alone", async () => {
    await post("/chat/say").send({ id: "mine", text: "where is the toilet paper, asks Ann" });
    await untilFound((m) => m.some((x) => x.key.endsWith(":mine")));
    const others = await eventsOfPerson(service.house.db, service.lane, "p2");
    expect(others.some((e) => e.text.includes("asks Ann"))).toBe(false);
  });
  it("is among all that its person said and was told, however much that is", async () => {
    const { db, clock } = service.house;
    const told = { kind: "out", person: "p2", channel: "web", who: "hirer:Ben", more: {} } as const;
    const lines = Array.from({ length: 1001 }, (_, i) => ({ ...told, text: `line ${i}` }));
    await addEvents(db, service.lane, clock.now(), lines);
    const all = await eventsOfPerson(db, service.lane, "p2");
    expect(all.slice(-1001).map((e) => e.text)).toEqual(lines.map((e) => e.text));
  });
});

/** The first messages of a stream, until one holds `last`; at most 5 s. */
async function streamed(address: string, last: string, headers = {}): Promise<string> {
  const giveUp = AbortSignal.timeout(5000);
  const answer = await fetch(`${service.url}${address}`, {
    headers: { Cookie: cookie, ...headers },
    signal: giveUp,
  });
  let text = "";
  for await (const piece of answer.body?.pipeThrough(new TextDecoderStream()) ?? []) {
    text += piece;
    if (text.includes(last)) break;
  }
  return text;
}

describe("a page of another hire or person, left open beside this one", () => {
  it("is refused whatever it asks or sends, and told to open its link again; nothing is filed", async () => {
    const others = ["hire=h2&person=p1", "hire=h1&person=p2"];
    for (const of of others) {
      const say = await post(`/chat/say?${of}`).send({ id: "of-another", text: "red oil light" });
      expect(say.status).toBe(409);
      expect(say.body.error).toContain("Open the link");
      const photo = Buffer.from([0xff, 0xd8, 0xff, 0xe0]);
      for (const sent of [
        post(`/chat/tap?${of}`).send({ id: "of-another", tap: "x" }),
        post(`/chat/place?${of}`).send({ id: "of-another", lat: 57, lon: -4 }),
        post(`/chat/photo?id=of-another&${of}`).type("image/jpeg").send(photo),
        request(service.url).get(`/chat/messages?since=0&${of}`).set("Cookie", cookie),
        request(service.url).get(`/chat/stream?since=0&${of}`).set("Cookie", cookie),
      ])
        expect((await sent).status).toBe(409);
    }
    expect((await messages()).some((m) => m.key.endsWith(":of-another"))).toBe(false);
  });
  it("is heard as ever where it is of the hire and person that the device is connected to", async () => {
    const of = "hire=h1&person=p1";
    expect((await post(`/chat/say?${of}`).send({ id: "of-own", text: "hello" })).status).toBe(200);
    await untilFound((all) => all.some((m) => m.key.endsWith(":of-own")));
  });
});

describe("the phone's clock", () => {
  const minute = 60_000;
  /** How long before it came a message was written, in minutes; undefined where it says nothing. */
  async function ageOf(id: string): Promise<number | undefined> {
    await untilFound((all) => all.some((m) => m.key.endsWith(`:${id}`)));
    const events = await eventsOfPerson(service.house.db, service.lane, "p1");
    const event = events.find((e) => e.more.arrival?.endsWith(`:${id}`));
    const written = event?.more.writtenAt;
    return event && written !== undefined ? Math.round((event.at - written) / minute) : undefined;
  }
  /** Says it as a phone does whose clock is `fast` minutes fast, `waited` minutes after it was written. */
  const said = (id: string, fast: number, waited: number) => {
    const sentAt = Date.now() + fast * minute;
    return post("/chat/say").send({
      id,
      text: "hello",
      sentAt,
      writtenAt: sentAt - waited * minute,
    });
  };
  it("says how long ago it was written, fast or slow", async () => {
    for (const fast of [-20, 0, 40]) {
      await said(`waited${fast}`, fast, 35);
      expect((await ageOf(`waited${fast}`)) ?? 0, `${fast}`).toBe(35);
      await said(`fresh${fast}`, fast, 0);
      expect((await ageOf(`fresh${fast}`)) ?? 0, `${fast}`).toBe(0);
    }
  });
  it("is taken as it is where it agrees with ours within two minutes", async () => {
    await said("agrees", 1, 35);
    expect(await ageOf("agrees")).toBe(34);
  });
  it("says so of photos too", async () => {
    const sent = Date.now() + 40 * minute;
    const photo = Buffer.from([0xff, 0xd8, 0xff, 0xe0, 1, 2, 3]);
    await post(`/chat/photo?id=late-photo&at=${sent - 35 * minute}&sent=${sent}`)
      .type("image/jpeg")
      .send(photo);
    expect(await ageOf("late-photo")).toBe(35);
  });
  it("set back meanwhile, or beyond all sense, says nothing", async () => {
    await said("set-back", 0, -30);
    expect((await ageOf("set-back")) ?? 0).toBe(0);
    const writtenAt = -Number.MAX_SAFE_INTEGER;
    const sentAt = Number.MAX_SAFE_INTEGER;
    const odd = await post("/chat/say").send({ id: "no-sense", text: "hello", sentAt, writtenAt });
    expect(odd.status).toBe(200);
    expect((await ageOf("no-sense")) ?? 0).toBe(0);
  });
});

describe("a page that shows more than is stored", () => {
  it("gets the whole talk again, by looking and by its stream", async () => {
    const all = await untilFound((m) => m.some((x) => x.mine));
    const last = all.at(-1)?.n ?? 0;
    const look = async (since: number) =>
      (await request(service.url).get(`/chat/messages?since=${since}`).set("Cookie", cookie))
        .body as { n: number }[];
    expect(await look(last)).toEqual([]);
    expect((await look(last + 7)).map((m) => m.n)).toEqual(all.map((m) => m.n));

    const known = await streamed(`/chat/stream?since=${all.at(-2)?.n}`, `"n":${last},`);
    expect(known).toContain('data: {"n":0}\n');
    expect(known).not.toContain(`"n":${all[0]?.n},`);
    const more = await streamed(`/chat/stream?since=${last + 7}`, `"n":${last},`);
    expect(more).toContain('data: {"n":0,"anew":true}\n');
    expect(more).toContain(`"n":${all[0]?.n},`);
  });
  it("goes on from what it got since, not from what its address says", async () => {
    await post("/chat/say").send({ id: "after-anew", text: "hello" });
    const all = await untilFound((m) => m.some((x) => !x.mine));
    const last = all.at(-1)?.n ?? 0;
    const resumed = { "Last-Event-ID": `${all.at(-2)?.n}` };
    const more = await streamed(`/chat/stream?since=${last + 7}`, `"n":${last},`, resumed);
    expect(more).toContain('data: {"n":0}\n');
    expect(more).not.toContain(`"n":${all[0]?.n},`);
  });
});

describe("bad input gets a clear 4xx, never a 5xx", () => {
  const cases: [string, () => request.Test, number][] = [
    ["malformed JSON", () => post("/chat/say").type("json").send('{"text":'), 400],
    ["JSON that is no message", () => post("/chat/say").send({ words: 1 }), 400],
    ["an empty text", () => post("/chat/say").send({ text: "   " }), 400],
    [
      "a text of too many letters",
      () => post("/chat/say").send({ text: "x".repeat(mostLetters + 1) }),
      400,
    ],
    ["a body of 2 MB", () => post("/chat/say").send({ text: "x".repeat(2_000_000) }), 413],
    [
      "an id of strange letters",
      () => post("/chat/say").send({ id: "../../etc", text: "hello" }),
      400,
    ],
    ["a place off the earth", () => post("/chat/place").send({ id: "p", lat: 91, lon: 0 }), 400],
    ["a tap of nothing", () => post("/chat/tap").send({}), 400],
    [
      "a photo that is none",
      () => post("/chat/photo?id=a").type("image/jpeg").send(Buffer.from("#!/bin/sh\n")),
      415,
    ],
    [
      "a photo over 8 MB",
      () =>
        post("/chat/photo?id=b")
          .type("image/jpeg")
          .send(Buffer.alloc(8 * 1024 * 1024 + 1, 1)),
      413,
    ],
    [
      "a number that is none",
      () => request(service.url).get("/chat/messages?since=x").set("Cookie", cookie),
      400,
    ],
    [
      "a photo of somebody else",
      () => request(service.url).get("/chat/photo/AAAAAAAAAAAAAAAAAAAAAA").set("Cookie", cookie),
      404,
    ],
    [
      "a path out of the folder",
      () => request(service.url).get("/chat/photo/..%2f..%2ftest.sqlite").set("Cookie", cookie),
      404,
    ],
    ["an unknown page", () => request(service.url).get("/nothing-here"), 404],
  ];
  it.each(cases)("%s", async (_name, send, status) => {
    const answer = await send();
    expect(answer.status).toBe(status);
    expect(answer.text.length).toBeGreaterThan(5);
  });
  it("being unable to store is 503, and the page keeps the message", async () => {
    const app = express().use(
      webchatRoutes({
        book,
        log: quietLog,
        secure: false,
        now: () => instantOf(1_780_000_000_000),
        streams: new Streams(),
        firmNow: () => Promise.resolve({ firm: book.firm }),
        onEvents: () => () => {},
        file: () => Promise.reject(new Fault("STORE_WRONG", "disk full")),
        findLink: () => Promise.resolve(undefined),
        findCookie: () =>
          Promise.resolve({ hire: "h1" as HireId, person: "p1", kind: "cookie" as const }),
        makeCookie: () => Promise.resolve("c"),
        laneState: () => service.house.laneState(service.lane),
        eventsOfPerson: () => Promise.resolve([]),
        fileOf: () => Promise.resolve(undefined),
        publicUrl: "http://127.0.0.1",
        wordsOf: () => undefined,
        makeCardLink: () => Promise.resolve("t"),
        makeCalendarLink: () => Promise.resolve("t"),
        stopCalendarLinks: () => Promise.resolve(0),
        isOver: () => false,
        mayBeDanger: () => false,
        photos: {
          save: () => Promise.resolve("x"),
          load: () => Promise.resolve(undefined),
          drop: () => Promise.resolve(),
        },
      }),
    );
    const answer = await request(app)
      .post("/chat/say")
      .set("Cookie", "van=x")
      .send({ text: "hello" });
    expect(answer.status).toBe(503);
    expect(answer.body).toHaveProperty("error");
  });
});

describe("who was added to a hire after somebody was taken off it", () => {
  it("opens a talk of their own, with nothing of what that person wrote or was told", async () => {
    const house = await openWebHouse("wren", ["Ann", "Ben"]);
    const open = async (link: string) => {
      const opened = await request(house.url).post(new URL(link).pathname);
      return String(opened.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
    };
    const talk = async (of: string) =>
      (await request(house.url).get("/chat/messages?since=0").set("Cookie", of)).text;
    const people = (...names: string[]) =>
      house.house.file({
        key: names.join(),
        lane: house.lane,
        receivedAt: house.house.clock.now(),
        body: { kind: "changed", by: "morag", change: { people: names.map((name) => ({ name })) } },
      });
    const bens = await open(house.links[1] ?? "");
    await request(house.url).post("/chat/say").set("Cookie", bens).send({ text: "only for staff" });
    await until(async () => ((await talk(bens)).includes("only for staff") ? true : undefined), 20);
    await people("Ann");
    await people("Ann", "Cara");
    const desk = await enterDesk(house.url);
    const page = await until(async () => {
      const { text } = await desk.get("/desk/hires/h1");
      return text.includes("of Cara") ? text : undefined;
    }, 20);
    const cara = /name="person" value="(p\d)"><button>Make a new link/g;
    const id = [...page.matchAll(cara)].at(-1)?.[1] ?? "";
    const made = await desk.post("/desk/hires/h1/link", { person: id });
    const caras = await open(/<code>([^<]+)<\/code>/.exec(made.text)?.[1] ?? "");
    const own = await talk(caras);
    expect([id, own.startsWith("["), own.includes("only for staff")]).toEqual(["p3", true, false]);
    await house.close();
  });
});

describe("a photo", () => {
  it("is told by its first bytes: JPEG, PNG, WebP, HEIC, AVIF", () => {
    // File signatures: JPEG SOI marker FF D8 FF (ISO 10918-1), PNG (RFC 2083), RIFF/WEBP, ISO BMFF brands.
    expect(pictureKind(Buffer.from([0xff, 0xd8, 0xff, 0xe0]))).toBe("image/jpeg");
    expect(pictureKind(Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]))).toBe(
      "image/png",
    );
    expect(pictureKind(Buffer.from("RIFF\0\0\0\0WEBPVP8 "))).toBe("image/webp");
    expect(pictureKind(Buffer.from("\0\0\0\x18ftypheic"))).toBe("image/heic");
    for (const brand of ["heix", "hevc", "mif1", "msf1"])
      expect(pictureKind(Buffer.from(`\0\0\0\x18ftyp${brand}`))).toBe("image/heic");
    expect(pictureKind(Buffer.from("\0\0\0\x18ftypavif"))).toBe("image/avif");
    expect(pictureKind(Buffer.from("\0\0\0\x18ftypisom"))).toBeUndefined();
    expect(pictureKind(Buffer.from("<svg xmlns="))).toBeUndefined();
    expect(pictureKind(Buffer.alloc(0))).toBeUndefined();
  });
  it("is kept and shown again to who sent it", async () => {
    const bytes = Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0]), Buffer.alloc(100, 7)]);
    expect((await post("/chat/photo?id=ph1").type("image/jpeg").send(bytes)).status).toBe(200);
    const all = await untilFound((m) => m.some((x) => x.key.endsWith(":ph1")));
    const id =
      /\/chat\/photo\/([\w-]+)/.exec(all.find((m) => m.key.endsWith(":ph1"))?.html ?? "")?.[1] ??
      "";
    const shown = await request(service.url).get(`/chat/photo/${id}`).set("Cookie", cookie);
    expect(shown.headers["content-type"]).toContain("image/jpeg");
    expect(Buffer.from(shown.body as Buffer).equals(bytes)).toBe(true);
    expect((await request(service.url).get(`/chat/photo/${id}`)).status).toBe(401);
  });
  it("of a kind that nothing here decodes is kept byte for byte for hirer and staff, and said to be so", async () => {
    const heic = heicPhoto();
    expect(
      (await post("/chat/photo?id=heic1").type("application/octet-stream").send(heic)).status,
    ).toBe(200);
    const all = await untilFound(
      (m) => m.some((x) => x.key.endsWith(":heic1")) && m.some((x) => x.html.includes("HEIC file")),
    );
    const own = all.find((m) => m.key.endsWith(":heic1"))?.html ?? "";
    expect(own).not.toContain("<img");
    expect(own).toContain("My photo (HEIC), as it was sent");
    const told = all
      .filter((m) => !m.mine)
      .map((m) => m.html)
      .join("");
    expect(told).toContain("our staff have to download it");
    const id = /\/chat\/photo\/([\w-]+)/.exec(own)?.[1] ?? "";
    const back = await request(service.url).get(`/chat/photo/${id}`).set("Cookie", cookie);
    expect(back.headers["content-type"]).toBe("image/heic");
    expect(back.headers["content-disposition"]).toBe(`attachment; filename="photo-${id}.heic"`);
    expect(Buffer.from(back.body as Buffer)).toEqual(heic);
    const morag = await enterDesk(service.url);
    expect((await morag.get("/desk/hires/h1")).text).toContain("photo (HEIC, to download)");
    const file = await morag.get(`/desk/photo/${id}?hire=h1`);
    expect(file.headers["content-disposition"]).toBe(`attachment; filename="photo-${id}.heic"`);
    expect(file.body).toEqual(heic);
  });
});
