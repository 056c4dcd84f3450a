/** Text messages in: whose they are, what they become, and what is answered. */
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { isoIn, after as later } from "../../../src/calendar.js";
import { outsideIdOf } from "../../../src/channels/post-out.js";
import { type Booking, type HireId, mostLetters } from "../../../src/post.js";
import { notDelivered } from "../../../src/store/sends.js";
import { newLink } from "../../../src/store/tokens.js";
import { openProvider, type Provider, postSigned } from "../../kit/provider.js";
import { openProviderHouse, type ProviderHouse } from "../../kit/provider-house.js";
import { booking, noon } from "../../kit/small-house.js";

const ann = "+447700900500";
const via = { channel: "gateway", to: ann } as const;
const dayMin = 24 * 60;
/** The first bytes of a JPEG. */
const jpeg = Buffer.from([0xff, 0xd8, 0xff, 0xe0, 1, 2, 3, 4]);

let provider: Provider;
let on: ProviderHouse;
beforeEach(async () => {
  provider = await openProvider();
  on = await openProviderHouse(provider.url);
});
afterEach(async () => {
  await on.close();
  await provider.close();
});
const post = (body: unknown, more: Record<string, string> = {}, path = "/gateway/messages") =>
  postSigned(on.app, path, body, more, on.clock.now());
let n = 0;
const text = (words: string, more: object = {}) =>
  post({ id: `m${++n}`, from: ann, text: words, ...more }).expect(200);
const last = async () => (await on.filed()).at(-1);

describe("a text message", () => {
  it("is stored once under its id, in the lane of the hire whose person has the number", async () => {
    for (let i = 0; i < 3; i++)
      await post({ id: "a/1", from: "+44 7700 900500", text: "hello" }).expect(200, { ok: true });
    expect(await on.filed()).toEqual([
      {
        key: "gw:a/1",
        lane: "hire:h1",
        receivedAt: noon,
        body: { kind: "said", from: { via, person: "p1" }, text: "hello" },
      },
    ]);
  });

  it("under an id that other words or another number had is stored as well, once, and the log tells", async () => {
    const one = { id: "1", from: ann, text: "thanks" };
    const fire = { id: "1", from: ann, text: "there is a fire" };
    const bo = { id: "1", from: "+447700900600", text: "thanks" };
    for (const body of [one, fire, bo, one, fire, bo]) await post(body).expect(200);
    expect((await on.filed()).map((a) => [a.key, a.lane, a.body])).toEqual([
      ["gw:1", "hire:h1", expect.objectContaining({ text: "thanks" })],
      ["gw:1 again 2", "hire:h1", expect.objectContaining({ text: "there is a fire" })],
      ["gw:1 again 3", "chat:gateway:+447700900600", expect.objectContaining({ text: "thanks" })],
    ]);
    const told = on.lines.filter((line) => line.includes("came again with other words"));
    expect(told.map((line) => (JSON.parse(line) as { arrival: string }).arrival)).toEqual([
      "gw:1 again 2",
      "gw:1 again 3",
    ]);
  });

  it("that stood for a button, for several or for a link is known again by what was typed", async () => {
    const token = await newLink(on.house.db, "h1" as HireId, "p1", noon);
    for (const typed of [" 1 ", `https://trips.example.org/h/${token}`, "hello  "]) {
      const body = { id: `t${++n}`, from: ann, text: typed };
      await post(body).expect(200);
      await post(body).expect(200);
    }
    expect((await on.filed()).map((a) => a.body.kind)).toEqual(["tapped", "joined", "said"]);
    await post({ id: `t${n - 2}`, from: ann, text: "2" }).expect(200);
    expect(await last()).toMatchObject({ body: { kind: "tapped", typed: "2" } });
  });

  it("whose words are no longer kept has given its id free", async () => {
    await post({ id: "2", from: ann, text: "thanks" }).expect(200);
    await on.house.db
      .updateTable("arrivals")
      .set({ body: "{}" })
      .where("key", "=", "gw:2")
      .execute();
    await post({ id: "2", from: ann, text: "thanks" }).expect(200);
    const keys = await on.house.db.selectFrom("arrivals").select("key").orderBy("seq").execute();
    expect(keys.at(-1)?.key).toBe("gw:2 again 2");
  });

  it("of an unknown number has a lane of its own", async () => {
    await text("hello", { from: "+447700900999" });
    expect(await last()).toMatchObject({
      lane: "chat:gateway:+447700900999",
      body: { kind: "said", from: { via: { channel: "gateway", to: "+447700900999" } } },
    });
  });

  it("of an unknown number leaves no number in the log", async () => {
    await text("say hello", { from: "+447700900999" });
    await on.house.runUntilIdle();
    const lines = on.lines.join("");
    expect(lines).toContain("chat:gateway:+…999");
    expect(lines).not.toContain("7700900");
  });

  it("with a chat link joins its hire, from whatever number", async () => {
    const token = await newLink(on.house.db, "h1" as HireId, "p1", noon);
    expect(await on.house.findLink(token, "chat")).toBeDefined();
    await text(`https://trips.example.org/h/${token}`, { from: "+447700900777" });
    expect(await last()).toMatchObject({
      lane: "hire:h1",
      body: { kind: "joined", from: { person: "p1" } },
    });
    await text("and now", { from: "+447700900777" });
    expect(await last()).toMatchObject({
      lane: "hire:h1",
      body: { kind: "said", from: { person: "p1" } },
    });
    await text("https://trips.example.org/h/AAAAAAAAAAAAAAAAAAAAAA", { from: "+447700900778" });
    expect(await last()).toMatchObject({
      lane: "chat:gateway:+447700900778",
      body: { kind: "said" },
    });
  });

  it("with a chat link tells the lane that its number had, where something came in before", async () => {
    const link = `https://trips.example.org/h/${await newLink(on.house.db, "h1" as HireId, "p1", noon)}`;
    const from = "+447700900777";
    await text("there is a fire", { from });
    await post({ id: "j", from, text: link }).expect(200);
    await post({ id: "j", from, text: link }).expect(200);
    expect((await on.filed()).slice(1)).toMatchObject([
      { key: "gw:j", lane: "hire:h1", body: { kind: "joined" } },
      { key: "gw:j left", lane: `chat:gateway:${from}`, body: { kind: "joined", to: "hire:h1" } },
    ]);
    expect((await on.filed())[1]?.body).not.toHaveProperty("to");
  });

  it("with words beside a chat link is filed as both, each once", async () => {
    const link = `https://trips.example.org/h/${await newLink(on.house.db, "h1" as HireId, "p1", noon)}`;
    const from = "+447700900777";
    const smoke = { id: "9", from, text: `smoke coming out of the bonnet!! ${link}` };
    const more = { id: "9", from, text: `${link} we are all out` };
    for (const body of [smoke, smoke, more, more]) await post(body).expect(200);
    expect((await on.filed()).map((a) => [a.key, a.lane, a.body])).toMatchObject([
      ["gw:9", "hire:h1", { kind: "joined", from: { person: "p1" } }],
      ["gw:9 words", "hire:h1", { kind: "said", text: "smoke coming out of the bonnet!!" }],
      ["gw:9 words again 2", "hire:h1", { kind: "said", text: "we are all out" }],
    ]);
  });

  it("keeps when it was written, but for a clock that runs ahead", async () => {
    await text("late", { writtenAt: isoIn(later(noon, -90), "Europe/London") });
    expect(await last()).toMatchObject({ writtenAt: later(noon, -90), receivedAt: noon });
    await text("early", { writtenAt: isoIn(later(noon, 90), "Europe/London") });
    expect(await last()).toMatchObject({ writtenAt: noon });
    await text("unsaid");
    expect(await last()).not.toHaveProperty("writtenAt");
  });

  it("by a clock that is off was written as long before its post as that clock tells; a time that cannot be is none", async () => {
    const written = async (writtenMs: number, sentMs: number) => {
      const writtenAt = new Date(noon + writtenMs).toISOString();
      const seconds = String((noon + sentMs) / 1000);
      const body = { id: `m${++n}`, from: ann, text: "hello", writtenAt };
      await post(body, { "webhook-timestamp": seconds }).expect(200);
      const at = (await last())?.writtenAt;
      return at === undefined ? undefined : at - noon;
    };
    expect(await written(-80_000, -60_000)).toBe(-20_000);
    expect(await written(100_000, 120_000)).toBe(-20_000);
    expect(await written(-3_000, -2_000)).toBe(-3_000);
    expect(await written(-noon, 0)).toBeUndefined();
    expect(await written(-8 * 24 * 3_600_000, 0)).toBeUndefined();
  });

  it("is cut at the letters of a message, never refused for its length", async () => {
    await text("x".repeat(20_000));
    expect(await last()).toMatchObject({ body: { text: "x".repeat(mostLetters) } });
  });
});

describe("of several hires of one number", () => {
  const hire = (id: string, from: number, to: number, more: Partial<Booking> = {}) =>
    on.house.makeHire(
      booking(id, {
        pickupAt: later(noon, from * dayMin),
        returnAt: later(noon, to * dayMin),
        people: [{ id: "q1", name: "Bo", booker: true, phone: "+44 7700 900600" }],
        ...more,
      }),
    );
  const laneNow = async () => {
    on.clock.move(1);
    await on.house.runUntilIdle();
    await text("hello", { from: "+447700900600" });
    return (await last())?.lane;
  };

  it("the current one is meant, else the next, else the last; a cancelled one never", async () => {
    await hire("gone", -60, -50);
    expect(await laneNow()).toBe("hire:gone");
    await hire("later", 40, 45);
    await hire("next", 20, 25);
    expect(await laneNow()).toBe("hire:next");
    await hire("now", -1, 5);
    expect(await laneNow()).toBe("hire:now");
    await hire("now", -1, 5, { status: "cancelled" });
    expect(await laneNow()).toBe("hire:next");
  });

  it("one past its return is still the current one, until it is forgotten", async () => {
    await hire("overdue", -10, -1);
    await hire("next", 20, 25);
    expect(await laneNow()).toBe("hire:overdue");
    on.clock.move(14 * dayMin);
    expect(await laneNow()).toBe("hire:next");
  });

  it("a number that the booking no longer has, and that never wrote, leads there no more", async () => {
    await hire("now", -1, 5);
    await on.house.runUntilIdle();
    on.clock.move(1);
    await hire("now", -1, 5, {
      people: [{ id: "q1", name: "Bo", booker: true, phone: "07700 900601 or 07700 900602" }],
    });
    expect(await laneNow()).toBe("chat:gateway:+447700900600");
    await text("me", { from: "+447700900602" });
    expect(await last()).toMatchObject({ lane: "hire:now", body: { from: { person: "q1" } } });
  });
});

describe("photos of a text message", () => {
  it("in base64 are kept, after the words, and once", async () => {
    const body = { id: "p", from: ann, text: "look", media: [{ base64: jpeg.toString("base64") }] };
    await post(body).expect(200);
    await post(body).expect(200);
    const filed = await on.filed();
    expect(filed.map((a) => [a.key, a.body.kind])).toEqual([
      ["gw:p", "said"],
      ["gw:p 1", "photo"],
    ]);
    const photo = filed[1]?.body;
    if (photo?.kind !== "photo") throw new Error("no photo");
    expect(photo.file).toMatchObject({ kind: "image/jpeg", bytes: jpeg.length });
    expect(await on.photos.load(photo.file.id)).toEqual(jpeg);
  });

  it("leave one file each, however often the store fails and whatever comes again under their ids", async () => {
    const body = (bytes: Buffer) => ({
      ...{ id: "p", from: ann },
      media: [{ base64: bytes.toString("base64") }],
    });
    on.breakStore();
    for (let i = 0; i < 3; i++) await post(body(jpeg)).expect(503);
    on.breakStore(false);
    await post(body(jpeg)).expect(200);
    await post(body(Buffer.concat([jpeg, jpeg]))).expect(200);
    const [photo] = (await on.filed()).map((a) => a.body);
    if (photo?.kind !== "photo") throw new Error("no photo");
    expect(on.files()).toEqual([photo.file.id]);
    expect(await on.photos.load(photo.file.id)).toEqual(jpeg);
  });

  it("may come without words, and several", async () => {
    const one = { base64: jpeg.toString("base64") };
    await text("", { id: "several", media: [one, one] });
    expect((await on.filed()).map((a) => [a.key, a.body.kind])).toEqual([
      ["gw:several 1", "photo"],
      ["gw:several 2", "photo"],
    ]);
  });

  it("without words, or with, under an id that another's message had are kept as well, each once", async () => {
    const media = [{ base64: jpeg.toString("base64") }];
    const bo = "+447700900600";
    const alone = { id: "7", from: ann, media };
    const worded = { id: "8", from: ann, text: "look", media };
    const texts = [alone, { ...alone, from: bo }, { ...worded, id: "7" }, worded];
    for (const body of [...texts, ...texts]) await post(body).expect(200);
    await post({ ...alone, id: "8" }).expect(200);
    expect((await on.filed()).map((a) => [a.key, "from" in a.body && a.body.from.via.to])).toEqual([
      ["gw:7 1", ann],
      ["gw:7 again 2 1", bo],
      ["gw:7 again 3", ann],
      ["gw:7 again 3 1", ann],
      ["gw:8", ann],
      ["gw:8 1", ann],
      ["gw:8 again 2 1", ann],
    ]);
    expect(on.files()).toHaveLength(5);
  });

  it("that cannot be opened or had are told as such; the words come through all the same", async () => {
    await provider.close();
    await text("fire!", {
      id: "bad",
      media: [{ base64: "AAAA" }, { url: provider.url }, { url: "http://127.0.0.1:9/x.jpg" }],
    });
    expect((await on.filed()).map((a) => a.body)).toEqual([
      expect.objectContaining({ kind: "said", text: "fire!" }),
      ...Array(3).fill({ kind: "unreadable", from: { via, person: "p1" }, what: "file" }),
    ]);
    provider = await openProvider();
  });
});

describe("a photo that the provider keeps but cannot give just now", () => {
  /** A photo at a link, given by these answers in turn, then as it is. */
  async function behind(answers: number[], work: (url: string) => Promise<void>): Promise<void> {
    const server = createServer((_request, response) => {
      const status = answers.shift() ?? 200;
      response.writeHead(status).end(status === 200 ? jpeg : "");
    });
    await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
    await work(`http://127.0.0.1:${(server.address() as AddressInfo).port}/photo`);
    await new Promise((done) => server.close(done));
  }
  const kinds = async () => (await on.filed()).map((a) => a.body.kind);

  it("is asked for again by 503, and stored when it comes; its words and what came with it are stored at once", async () =>
    behind([503, 429], async (url) => {
      const media = [{ url }, { base64: jpeg.toString("base64") }];
      const body = { id: "w", from: ann, text: "look", media };
      const got = await post(body).expect(503);
      expect(got.headers["retry-after"]).toBe("1");
      expect(await kinds()).toEqual(["said", "unreadable", "photo"]);
      await post(body).expect(503);
      expect(await kinds()).toEqual(["said", "unreadable", "photo"]);
      await post(body).expect(200);
      await post(body).expect(200);
      expect(await kinds()).toEqual(["said", "unreadable", "photo", "photo"]);
      expect((await last())?.key).toBe("gw:w 1");
      expect(on.files()).toHaveLength(2);
    }));

  it("and then does not have any more is not told of twice", async () =>
    behind([503, 404], async (url) => {
      const body = { id: "w", from: ann, media: [{ url }] };
      await post(body).expect(503);
      await post(body).expect(200);
      expect(await kinds()).toEqual(["unreadable"]);
    }));
});

describe("a text message in", () => {
  it("is answered 200 only once it is stored, 503 where it cannot be, 401 unsigned", async () => {
    await post(
      { id: "s", from: ann, text: "MARKED words" },
      { "webhook-signature": "v1,x" },
    ).expect(401);
    on.breakStore();
    const got = await post({ id: "s", from: ann, text: "MARKED words" }).expect(503);
    expect(got.headers["retry-after"]).toBe("1");
    expect(await on.filed()).toEqual([]);
    expect(got.text + on.lines.join()).not.toContain("MARKED");
    expect(on.lines.join()).not.toContain("7700");
  });

  it("that cannot be read is refused with what would be right", async () => {
    const ok = { id: "x", from: ann, text: "hello" };
    const wrongs: [unknown, RegExp][] = [
      ["", /no JSON/],
      ["[1]", /"id","from","text"/],
      [{ ...ok, id: "" }, /^id: 1 to 200/],
      [{ ...ok, id: "with space" }, /^id/],
      [{ ...ok, from: "FIRM" }, /^from: .* such as \+447700900500/],
      [{ ...ok, from: "447700900500" }, /^from/],
      [{ ...ok, text: 5 }, /^text/],
      [{ ...ok, writtenAt: "yesterday" }, /^writtenAt/],
      [{ ...ok, media: [{ url: "ftp://x/y" }] }, /^media/],
      [{ ...ok, media: [{ base64: "?" }] }, /^media/],
      [{ ...ok, media: Array(5).fill({ base64: "AAAA" }) }, /^media/],
    ];
    for (const [body, words] of wrongs) {
      const got = await post(body);
      expect([got.status, got.body.error], JSON.stringify(body)).toEqual([
        400,
        expect.stringMatching(words),
      ]);
    }
    await post({ ...ok, text: "x".repeat(13_000_000) }).expect(413);
    expect(await on.filed()).toEqual([]);
  });

  it("takes a photo of 8 MB", async () => {
    const photo = Buffer.concat([jpeg, Buffer.alloc(8 * 1024 * 1024 - jpeg.length)]);
    await text("", { media: [{ base64: photo.toString("base64") }] });
    expect(await last()).toMatchObject({ body: { kind: "photo", file: { bytes: photo.length } } });
  });
});

describe("a failure that the provider reports later", () => {
  it("makes the message not delivered, once, and names nothing that is not there", async () => {
    await text("say hello");
    // The small step answers to Telegram; here an answer by text stands for it.
    await on.house.db.updateTable("sends").set({ channel: "gateway", to_addr: ann }).execute();
    await on.house.runUntilIdle();
    await on.house.db
      .updateTable("sends")
      .set({ channel: "gateway", to_addr: ann, state: "sent", sent_at: noon, error: null })
      .execute();
    const row = await on.house.db.selectFrom("sends").select("key").executeTakeFirstOrThrow();
    const failed = { id: outsideIdOf(row.key), to: ann, why: "unknown-number" };
    const path = "/gateway/failures";
    await post({ ...failed, to: "+447700900501" }, {}, path).expect(404);
    await post({ ...failed, id: "pp_x" }, {}, path).expect(404);
    await post({ ...failed, why: "because" }, {}, path).expect(400);
    await post(failed, {}, path).expect(200);
    await post(failed, {}, path).expect(200);
    const lost = await notDelivered(on.house.db);
    expect(lost.map((l) => l.error)).toEqual(["refused: no such number"]);
  });
});
