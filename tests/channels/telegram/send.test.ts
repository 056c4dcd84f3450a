/** Sending by Telegram, against a Bot API on loopback that checks every call and fails on demand. */
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer as createHttpServer } from "node:http";
import { type AddressInfo, createServer, Server, type Socket } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { cut } from "../../../src/channels/cut.js";
import { openPictures } from "../../../src/channels/telegram/pictures.js";
import { telegramDoor } from "../../../src/channels/telegram/send.js";
import { carried } from "../../../src/channels/telegram/taps.js";
import { openLog, quietLog } from "../../../src/log.js";
import type { Send } from "../../../src/post.js";
import {
  callBreaches,
  description,
  type FakeBotApi,
  type FakeFault,
  openFakeBotApi,
} from "../../kit/fake-bot-api.js";

const token = "123456789:MARKED-token-that-must-never-be-seen";
const send = (text: string, more: Partial<Send["message"]> = {}, safety = false): Send => ({
  to: { channel: "telegram", to: "100" },
  who: "hirer:Ann",
  person: "p1",
  safety,
  message: { text, ...more },
});

describe("a Telegram door", () => {
  let api: FakeBotApi;
  let folder: string;
  beforeEach(async () => {
    api = await openFakeBotApi();
    folder = mkdtempSync(join(tmpdir(), "passing-place-pictures-"));
    writeFileSync(
      join(folder, "oil.svg"),
      '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><circle cx="5" cy="5" r="4" fill="#c00"/></svg>',
    );
    writeFileSync(join(folder, "broken.svg"), "<svg");
  });
  afterEach(async () => {
    // Without the description the calls were answered but not checked; `send` says so in one test below.
    expect(api.wrong).toEqual([]);
    await api.close();
    rmSync(folder, { recursive: true, force: true });
  });
  const door = (timeoutSeconds = 5, log = quietLog) =>
    telegramDoor({
      token,
      apiRoot: api.root,
      pictures: openPictures(folder, log),
      loadPhoto: () => Promise.reject(new Error("EACCES")),
      log,
      timeoutSeconds,
    });

  it("sends text as it is, with buttons under it", async () => {
    const buttons = [
      { tap: "ok:1", label: "That worked" },
      { tap: `take:${"x".repeat(80)}:1`, label: "I take it" },
    ];
    expect(await door().send(send("<b>50 % & *more*</b>", { buttons }), "k")).toEqual({
      kind: "sent",
      outsideId: "1",
    });
    expect(api.calls).toHaveLength(1);
    expect(api.calls[0]?.params).toMatchObject({
      chat_id: "100",
      text: "<b>50 % & *more*</b>",
      reply_markup: {
        inline_keyboard: [
          [{ text: "That worked", callback_data: "ok:1" }],
          [{ text: "I take it", callback_data: carried(`take:${"x".repeat(80)}:1`) }],
        ],
      },
    });
    expect(api.calls[0]?.params).not.toHaveProperty("parse_mode");
  });

  it("asks for the phone's place with a button of its own where the message has no others", async () => {
    const askPlace = "Share my place";
    await door().send(send("Where are you?", { askPlace }), "a");
    await door().send(send("Safe?", { askPlace, buttons: [{ tap: "y", label: "Yes" }] }), "b");
    expect(api.calls[0]?.params["reply_markup"]).toEqual({
      keyboard: [[{ text: askPlace, request_location: true }]],
      one_time_keyboard: true,
      resize_keyboard: true,
    });
    expect(api.calls[1]?.params["reply_markup"]).toEqual({
      inline_keyboard: [[{ text: "Yes", callback_data: "y" }]],
    });
  });

  it("sends pictures as photos: after the words where safety is at stake, before them otherwise", async () => {
    const pictures = ["oil", "not-there", "broken"];
    await door().send(send("Red: stop.", { pictures }, true), "a");
    await door().send(send("Which of these?", { pictures }), "b");
    expect(api.texts().map((t) => t.text)).toEqual([
      "Red: stop.",
      "[photo]",
      "[photo]",
      "Which of these?",
    ]);
  });

  it("leaves out a drawing that cannot be drawn, and says so once", async () => {
    const lines: string[] = [];
    const log = openLog("info", { write: (line: string) => void lines.push(line) });
    const one = door(5, log);
    for (const key of ["a", "b"])
      await one.send(send("Red: stop.", { pictures: ["broken", "oil"] }, true), key);
    const told = lines.map((line) => JSON.parse(line)).filter((l) => l.msg === "drawing left out");
    expect(told).toMatchObject([{ kind: "broken", channel: "telegram" }]);
  });

  it("sends the words of a hirer even where the disk does not give out their photo", async () => {
    const file = { id: "A".repeat(22), kind: "image/jpeg", bytes: 7 };
    expect(await door().send(send("Ann sent a photo.", { file }, true), "k")).toMatchObject({
      kind: "sent",
    });
    expect(api.texts().map((t) => t.text)).toEqual(["Ann sent a photo."]);
  });

  it("sends the words even where Telegram does not take a picture", async () => {
    api.faults.push({ kind: "400" });
    expect(await door().send(send("Which of these?", { pictures: ["oil"] }), "k")).toMatchObject({
      kind: "sent",
    });
    expect(api.texts().map((t) => t.text)).toEqual(["Which of these?"]);
  });

  it("does not repeat the first half of a long message when the second half was put off, not even by another process", async () => {
    const long = send(`${"a".repeat(4000)} ${"b".repeat(4000)}`);
    api.faults.push(undefined, { kind: "429", retryAfter: 3 });
    expect(await door().send(long, "k")).toEqual({
      kind: "later",
      afterMs: 3000,
      why: "Telegram asks to wait (429)",
      went: "1",
    });
    expect(await door().send(long, "k", undefined, "1")).toEqual({
      kind: "sent",
      outsideId: "1 2",
    });
    expect(api.texts().map((t) => t.text.slice(0, 1))).toEqual(["a", "b"]);
  });

  it("does not repeat the words of a danger when its picture was put off, nor the picture that was refused", async () => {
    const one = send("Red: stop.", { pictures: ["oil", "oil"] }, true);
    api.faults.push(undefined, { kind: "400" }, { kind: "500" });
    const first = await door().send(one, "k");
    expect(first).toMatchObject({ kind: "later", went: "1 -" });
    expect(await door().send(one, "k", undefined, "1 -")).toMatchObject({ kind: "sent" });
    expect(api.texts().map((t) => t.text)).toEqual(["Red: stop.", "[photo]"]);
  });

  const cases: [FakeFault, unknown][] = [
    [
      { kind: "429", retryAfter: 7 },
      { kind: "later", afterMs: 7000 },
    ],
    [{ kind: "403" }, { kind: "refused", why: "blocked by its reader" }],
    [{ kind: "400" }, { kind: "refused", why: "no such chat" }],
    // While the token is being changed, and where Telegram itself says that it did not work.
    [{ kind: "401" }, { kind: "later" }],
    [{ kind: "500" }, { kind: "later" }],
    [{ kind: "502" }, { kind: "unsure" }],
    [{ kind: "half" }, { kind: "unsure" }],
    [{ kind: "reset" }, { kind: "unsure" }],
    [{ kind: "never" }, { kind: "unsure" }],
  ];
  it.each(cases)("knows what %j means, and says it without the token", async (fault, outcome) => {
    api.faults.push(fault);
    const got = await door(0.3).send(send("hello"), "k");
    expect(got).toMatchObject(outcome as object);
    expect(JSON.stringify(got)).not.toContain("MARKED");
    expect(JSON.stringify(got)).not.toContain("hello");
  });

  it("tries later when nothing listens: nothing was sent", async () => {
    const root = api.root;
    await api.close();
    const gone = telegramDoor({
      token,
      apiRoot: root,
      pictures: () => undefined,
      log: quietLog,
      timeoutSeconds: 5,
    });
    expect(await gone.send(send("hello"), "k")).toEqual({
      kind: "later",
      afterMs: 0,
      why: "Telegram cannot be reached",
    });
  });
});

describe("a Telegram door whose connection", () => {
  const to = (root: string) =>
    telegramDoor({
      ...{ token, apiRoot: root, pictures: () => undefined, log: quietLog },
      timeoutSeconds: 0.3,
    });
  /** Takes connections and never says a word on them. */
  async function silent(work: (port: number) => Promise<void>): Promise<void> {
    const taken: Socket[] = [];
    const server = createServer((socket) => void taken.push(socket.on("error", () => {})));
    await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
    await work((server.address() as AddressInfo).port);
    for (const socket of taken) socket.destroy();
    await new Promise((done) => server.close(done));
  }

  it("never stood tries later, however often: nothing was sent", async () =>
    silent(async (port) => {
      const door = to(`https://127.0.0.1:${port}`);
      for (let i = 0; i < 3; i++)
        expect(await door.send(send("hello"), "k")).toEqual({
          kind: "later",
          afterMs: 0,
          why: "Telegram cannot be reached",
        });
    }));

  it("stood and stays silent is in doubt, whether the call opened it or found it open", async () => {
    await silent(async (port) =>
      expect(await to(`http://127.0.0.1:${port}`).send(send("hello"), "k")).toMatchObject({
        kind: "unsure",
      }),
    );
    const api = await openFakeBotApi();
    api.faults.push(undefined, { kind: "never" });
    const door = to(api.root);
    expect(await door.send(send("one"), "a")).toMatchObject({ kind: "sent" });
    expect(await door.send(send("two"), "b")).toMatchObject({ kind: "unsure" });
    await api.close();
  });

  it("led nowhere is in doubt once: the next try opens a new one, whatever else was kept open", async () => {
    let answers = true;
    const server = createHttpServer((_request, response) => {
      const result = { message_id: 1, date: 0, chat: { id: 100, type: "private" } };
      if (answers) response.setHeader("content-type", "application/json");
      if (answers) response.end(JSON.stringify({ ok: true, result }));
    });
    await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
    const door = to(`http://127.0.0.1:${(server.address() as AddressInfo).port}`);
    await Promise.all(["a", "b", "c"].map((key) => door.send(send("hello"), key)));
    answers = false;
    // Nothing new is taken from here on; what stands goes on standing.
    const closed = new Promise((done) => Server.prototype.close.call(server, done));
    expect(await door.send(send("hello"), "d")).toMatchObject({ kind: "unsure" });
    expect(await door.send(send("hello"), "d")).toMatchObject({ kind: "later" });
    server.closeAllConnections();
    await closed;
  });
});

describe("the check against the published Bot API", () => {
  it.skipIf(!description)(
    "finds wrong calls (skipped where ../shared/bot-api.json is not there)",
    () => {
      if (!description) return;
      expect(callBreaches(description, "sendMessage", { chat_id: "1", text: "x" })).toEqual([]);
      expect(callBreaches(description, "sendMessages", {})).toEqual(["sendMessages is no method"]);
      expect(callBreaches(description, "sendMessage", { text: 4, colour: "red" })).toEqual([
        "sendMessage.colour does not exist",
        "sendMessage.chat_id is missing",
        "sendMessage.text is no String",
      ]);
      expect(
        callBreaches(description, "sendMessage", { chat_id: 1, text: "x".repeat(4097) }),
      ).toHaveLength(1);
      const keyboard = (callback_data: string) => ({
        chat_id: 1,
        text: "x",
        reply_markup: { inline_keyboard: [[{ text: "x", callback_data }]] },
      });
      expect(callBreaches(description, "sendMessage", keyboard("x"))).toEqual([]);
      expect(callBreaches(description, "sendMessage", keyboard("x".repeat(65)))).toHaveLength(1);
    },
  );
});

describe("a long text", () => {
  it("is cut at a blank line, else a line's end, else a space", () => {
    expect(cut(`${"a".repeat(8)}\n\n${"b".repeat(4)}\nc`, 14)).toEqual(["aaaaaaaa", "bbbb\nc"]);
    expect(cut("one two three", 8)).toEqual(["one two", "three"]);
    expect(cut("", 8)).toEqual([]);
  });

  it("keeps every letter, in parts that Telegram takes, never half a letter", () => {
    fc.assert(
      fc.property(
        fc.string({ unit: "grapheme", maxLength: 300 }),
        fc.integer({ min: 2, max: 60 }),
        (text, most) => {
          const parts = cut(text, most);
          for (const part of parts) {
            expect(part.length).toBeLessThanOrEqual(most);
            expect(part.length).toBeGreaterThan(0);
            expect(part).not.toMatch(
              /[\uD800-\uDBFF](?![\uDC00-\uDFFF])|(?<![\uD800-\uDBFF])[\uDC00-\uDFFF]/,
            );
          }
          expect(parts.join("").replace(/\s/g, "")).toBe(text.replace(/\s/g, ""));
        },
      ),
    );
  });
});

describe("a tap as callback data", () => {
  it("fits into 64 bytes, and different taps stay different", () => {
    fc.assert(
      fc.property(
        fc.string({ unit: "grapheme", maxLength: 100 }),
        fc.string({ unit: "grapheme", maxLength: 100 }),
        (a, b) => {
          expect(Buffer.byteLength(carried(a))).toBeLessThanOrEqual(64);
          expect(Buffer.byteLength(carried(a))).toBeGreaterThan(0);
          if (a !== b) expect(carried(a)).not.toBe(carried(b));
        },
      ),
    );
  });
});
