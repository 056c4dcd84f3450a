/** The webhook: what is let in, what it becomes, and what is answered. The real house with a small step stands behind it. */
import type { Update } from "@grammyjs/types";
import express from "express";
import request from "supertest";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type ReceiveParts, telegramRoutes } from "../../../src/channels/telegram/receive.js";
import { carried } from "../../../src/channels/telegram/taps.js";
import { Fault } from "../../../src/faults.js";
import { type House, openHouse } from "../../../src/house.js";
import { laneOf } from "../../../src/lanes.js";
import { openLog } from "../../../src/log.js";
import { type Arrival, mostLetters } from "../../../src/post.js";
import { contactTold, sentIn, staffTarget } from "../../../src/store/addresses/answers.js";
import { whoseChat } from "../../../src/store/addresses/phones.js";
import { findButton } from "../../../src/store/events.js";
import { addSends } from "../../../src/store/sends.js";
import { findLink } from "../../../src/store/tokens.js";
import { textUpdate } from "../../kit/fake-bot-api.js";
import { booking, houseParts, lane, noon, scriptClock, scriptDoor } from "../../kit/small-house.js";

const secret = "MARKED-secret-of-the-webhook";
const path = "/telegram/123456789";

describe("the Telegram webhook", () => {
  let house: House;
  let chat: ReturnType<typeof scriptDoor>;
  let token: string;
  const lines: string[] = [];
  const answered: string[] = [];
  let filed: Arrival[] = [];
  let staff: Record<string, string> = {};
  let broken: Error | undefined;
  const log = openLog("debug", { write: (line: string) => void lines.push(line) });

  beforeEach(async () => {
    lines.length = answered.length = 0;
    filed = [];
    staff = { morag: "900" };
    broken = undefined;
    chat = scriptDoor();
    house = await openHouse({
      ...houseParts,
      log,
      clock: scriptClock(),
      dbFile: ":memory:",
      doors: [chat.door],
    });
    token = (await house.makeHire(booking())).links[0]?.token ?? "";
    await house.runUntilIdle();
  });
  afterEach(() => house.close());

  const app = () => {
    const parts: ReceiveParts = {
      botId: "123456789",
      secret,
      file: async (arrival) => {
        if (broken) throw broken;
        filed.push(arrival);
        return house.file(arrival);
      },
      whose: (address) => whoseChat(house.db, address, noon),
      linkOf: async (link) => {
        const found = await findLink(house.db, link, noon, "chat");
        return found && { lane: laneOf(found.hire), person: found.person };
      },
      tapOf: async (of, data) =>
        (await findButton(house.db, of, (b) => carried(b.tap) === data))?.tap,
      staff: async () => staff,
      contactTold: (via, under) => contactTold(house.db, via, under),
      sentIn: (via, under) => sentIn(house.db, via, under),
      staffTarget: (via, contacts, repliesTo) => staffTarget(house.db, via, contacts, repliesTo),
      answerTap: (query) => void answered.push(query),
      clock: house.clock,
      log,
    };
    return express().use(telegramRoutes(parts));
  };
  const post = (
    body: string | object,
    header: string | undefined = secret,
    type = "application/json",
  ) => {
    const call = request(app()).post(path).set("Content-Type", type);
    if (header !== undefined) call.set("X-Telegram-Bot-Api-Secret-Token", header);
    return call.send(typeof body === "string" ? body : JSON.stringify(body));
  };
  const message = (update_id: number, more: object, from = 100): object => ({
    update_id,
    message: {
      message_id: 1,
      date: 1_780_000_000,
      chat: { id: from, type: "private" },
      from: { id: from, is_bot: false, first_name: "Ann" },
      ...more,
    },
  });

  const bad: [string, () => request.Test, number][] = [
    ["no secret", () => request(app()).post(path).send(textUpdate(1, "hello")), 401],
    ["an empty secret", () => post(textUpdate(1, "hello"), ""), 401],
    ["a wrong secret", () => post(textUpdate(1, "hello"), "wrong"), 401],
    [
      "a wrong secret of the right length",
      () => post(textUpdate(1, "hello"), secret.toLowerCase()),
      401,
    ],
    ["a wrong secret and broken JSON", () => post("{", "wrong"), 401],
    ["broken JSON", () => post('{"update_id": 1, "message"'), 400],
    ["no JSON at all", () => post("update_id=1", secret, "application/x-www-form-urlencoded"), 400],
    ["an empty body", () => post(""), 400],
    ["a bare word", () => post('"update"'), 400],
    ["null", () => post("null"), 400],
    ["a list", () => post("[]"), 400],
    ["an empty object", () => post("{}"), 400],
    ["an update number that is text", () => post({ update_id: "1", message: {} }), 400],
    ["a text that is a number", () => post(message(1, { text: 4 })), 200],
    ["a date beyond all years", () => post(message(1, { text: "x", date: 1e300 })), 200],
    [
      "a chat without an id",
      () =>
        post({
          update_id: 1,
          message: { message_id: 1, date: 1, chat: { type: "private" }, text: "x" },
        }),
      200,
    ],
    ["a wrong charset", () => post("{}", secret, "application/json; charset=x-none"), 415],
    ["half a megabyte", () => post(textUpdate(1, "x".repeat(500_000))), 413],
    [
      "JSON nested a hundred thousand deep",
      () => post(`{"update_id":1,"a":${"[".repeat(100_000)}${"]".repeat(100_000)}}`),
      200,
    ],
    [
      "an unknown kind of update",
      () => post({ update_id: 1, purchased_paid_media: { a: 1 } }),
      200,
    ],
    [
      "a message of an unknown kind",
      () => post(message(1, { boost_added: { boost_count: 1 } })),
      200,
    ],
    [
      "a group",
      () =>
        post({
          update_id: 1,
          message: { message_id: 1, date: 1, chat: { id: -5, type: "group" }, text: "hello" },
        }),
      200,
    ],
    [
      "a tap without data",
      () =>
        post({
          update_id: 1,
          callback_query: {
            id: "q",
            from: { id: 100, is_bot: false, first_name: "Ann" },
            chat_instance: "1",
            game_short_name: "x",
          },
        }),
      200,
    ],
  ];
  it.each(bad)(
    "answers %s with a clear status, stores nothing and logs no word of it",
    async (_what, call, status) => {
      const response = await call();
      expect(response.status).toBe(status);
      expect(response.text).toBe("");
      expect(filed).toEqual([]);
      expect(lines.length).toBeGreaterThan(0);
      for (const marked of ["hello", "MARKED", "Ann"]) expect(lines.join("")).not.toContain(marked);
    },
  );

  it("has the one path: other bots and other methods are not found", async () => {
    expect(
      (await request(app()).post("/telegram/1").set("X-Telegram-Bot-Api-Secret-Token", secret))
        .status,
    ).toBe(404);
    expect((await request(app()).get(path)).status).toBe(404);
  });

  it("answers 503 where it cannot store, so that Telegram posts again, and 200 then", async () => {
    broken = new Fault("STORE_WRONG", "disk full");
    expect((await post(textUpdate(1, "say hello"))).status).toBe(503);
    expect(lines.join("")).toContain("STORE_WRONG");
    broken = undefined;
    expect((await post(textUpdate(1, "say hello"))).status).toBe(200);
  });

  it("files a stranger's words in the lane of their chat, once per update", async () => {
    expect((await post(textUpdate(7, "help", 555))).status).toBe(200);
    expect((await post(textUpdate(7, "help", 555))).status).toBe(200);
    expect(filed[0]).toEqual({
      key: "tg:123456789:7",
      lane: "chat:telegram:555",
      receivedAt: noon,
      writtenAt: 1_780_000_000_000,
      body: {
        kind: "said",
        from: { via: { channel: "telegram", to: "555" }, name: "Ann" },
        text: "help",
      },
    });
    expect(
      await house.db
        .selectFrom("arrivals")
        .select("key")
        .where("lane", "=", "chat:telegram:555")
        .execute(),
    ).toHaveLength(1);
  });

  it("joins a chat to the hire of its link at once, and keeps the link's token nowhere", async () => {
    await post(textUpdate(1, `/start ${token}`, 555));
    await post(textUpdate(2, "say hello", 555));
    expect(filed.map((a) => [a.lane, a.body.kind])).toEqual([
      [lane(), "joined"],
      [lane(), "said"],
    ]);
    expect(filed[1]?.body).toMatchObject({ from: { person: "p1" } });
    await house.runUntilIdle();
    expect(chat.tried.map((t) => [t.to, t.text])).toEqual([
      ["555", "welcome"],
      ["100", "hello"],
    ]);
    const everything =
      JSON.stringify(await house.db.selectFrom("arrivals").selectAll().execute()) + lines.join("");
    expect(everything).not.toContain(token);
  });

  it("joins by the link as the firm gave it: after /start, alone or beside words, and keeps its token nowhere", async () => {
    const link = `https://trips.example.org/h/${token}`;
    await post(textUpdate(1, `/start ${link}`, 555));
    await post(textUpdate(2, link, 556));
    await post(textUpdate(3, `smoke in the van! ${link}`, 557));
    await post(textUpdate(4, `/start ${link} we are out`, 558));
    expect(filed.map((a) => [a.key, a.lane, a.body])).toMatchObject([
      ["tg:123456789:1", lane(), { kind: "joined", from: { person: "p1" } }],
      ["tg:123456789:2", lane(), { kind: "joined", from: { person: "p1" } }],
      ["tg:123456789:3", lane(), { kind: "joined", from: { person: "p1" } }],
      ["tg:123456789:3:2", lane(), { kind: "said", text: "smoke in the van!" }],
      ["tg:123456789:4", lane(), { kind: "joined" }],
      ["tg:123456789:4:2", lane(), { kind: "said", text: "we are out" }],
    ]);
    await house.runUntilIdle();
    const arrivals = await house.db.selectFrom("arrivals").selectAll().execute();
    expect(JSON.stringify(arrivals) + lines.join("")).not.toContain(token);
    const old = "is it https://trips.example.org/h/AAAAAAAAAAAAAAAAAAAAAA";
    await post(textUpdate(5, old, 559));
    expect(filed.at(-1)?.body).toMatchObject({ kind: "said", text: old });
  });

  it("takes a link that staff write in their own chat for words, unless they join by /start", async () => {
    const link = `https://trips.example.org/h/${token}`;
    await post(textUpdate(1, `here is Ann's new link: ${link}`, 900));
    await post(textUpdate(2, link, 900));
    await post(textUpdate(3, "get everybody behind the barrier", 900));
    await post(textUpdate(4, `/start ${link}`, 900));
    expect(filed.map((a) => [a.lane, a.body])).toMatchObject([
      ["chat:telegram:900", { kind: "said", text: "here is Ann's new link:" }],
      ["chat:telegram:900", { kind: "said", text: "(a link)" }],
      ["chat:telegram:900", { kind: "said" }],
      [lane(), { kind: "joined", from: { person: "p1" } }],
    ]);
    expect(JSON.stringify(filed) + lines.join("")).not.toContain(token);
  });

  it("treats an unknown link and a bare /start as somebody new, not as an error", async () => {
    for (const [n, text] of ["/start AAAAAAAAAAAAAAAAAAAAAA", "/start"].entries()) {
      expect((await post(textUpdate(n, text, 555))).status).toBe(200);
      expect(filed.at(-1)).toMatchObject({ lane: "chat:telegram:555", body: { kind: "joined" } });
    }
  });

  const kinds: [string, object, object[]][] = [
    [
      "a photo: its largest size",
      {
        photo: [
          { file_id: "s", file_size: 10 },
          { file_id: "l", file_size: 900 },
        ],
        caption: "this light",
      },
      [{ kind: "photo", file: { id: "l", kind: "image/jpeg", bytes: 900 }, caption: "this light" }],
    ],
    [
      "a photo that was sent as a file",
      { document: { file_id: "d", mime_type: "image/jpeg", file_size: 9 }, caption: "this light" },
      [{ kind: "photo", file: { id: "d", kind: "image/jpeg", telegram: "document" } }],
    ],
    [
      "another file",
      { document: { file_id: "d", mime_type: "application/pdf" } },
      [{ kind: "unreadable", what: "document", file: { id: "d", telegram: "document" } }],
    ],
    [
      "a place",
      { location: { latitude: 57.1, longitude: -4.2 } },
      [{ kind: "located", lat: 57.1, lon: -4.2 }],
    ],
    [
      "a place that is shared live",
      {
        location: { latitude: 57.1, longitude: -4.2, horizontal_accuracy: 12.5, live_period: 900 },
      },
      [{ kind: "located", lat: 57.1, lon: -4.2, accuracyM: 12.5, live: "began" }],
    ],
    [
      "a named place",
      {
        venue: { location: { latitude: 57.1, longitude: -4.2 }, title: "Inn", address: "Quay" },
        location: { latitude: 57.1, longitude: -4.2 },
      },
      [{ kind: "located", lat: 57.1, lon: -4.2, name: "Inn, Quay" }],
    ],
    [
      "a voice message",
      { voice: { file_id: "v", mime_type: "audio/ogg" } },
      [{ kind: "unreadable", what: "voice message", file: { id: "v", kind: "audio/ogg" } }],
    ],
    ["a sticker", { sticker: { file_id: "v" } }, [{ kind: "unreadable", what: "sticker" }]],
    [
      "a contact card",
      { contact: { phone_number: "1" } },
      [{ kind: "unreadable", what: "contact card" }],
    ],
    [
      "a video with words: the words are read first",
      { video: { file_id: "v" }, caption: "there is smoke" },
      [
        { kind: "said", text: "there is smoke" },
        { kind: "unreadable", what: "video" },
      ],
    ],
  ];
  it.each(kinds)("files %s", async (_what, more, bodies) => {
    expect((await post(message(9, more))).status).toBe(200);
    expect(filed.map((a) => a.body)).toMatchObject(bodies);
    expect(filed.map((a) => a.key)).toEqual(
      ["tg:123456789:9", "tg:123456789:9:2"].slice(0, bodies.length),
    );
  });

  it("files an edited message as edited, written when it was edited", async () => {
    const update: Update = textUpdate(3, "the red one");
    await post({ update_id: 3, edited_message: { ...update.message, edit_date: 1_780_000_600 } });
    expect(filed[0]).toMatchObject({
      writtenAt: 1_780_000_600_000,
      body: { kind: "said", edited: true, text: "the red one" },
    });
  });

  it("files a photo or file whose caption was changed as changed, its words too", async () => {
    const changed = (update_id: number, more: object) => {
      const { message: sent } = message(update_id, more) as { message: object };
      return post({ update_id, edited_message: { ...sent, edit_date: 1_780_000_600 } });
    };
    await changed(5, { photo: [{ file_id: "p" }], caption: "the red light" });
    await changed(6, { voice: { file_id: "v" }, caption: "listen to this" });
    expect(filed.map((a) => a.body)).toMatchObject([
      { kind: "photo", caption: "the red light", edited: true },
      { kind: "said", text: "listen to this", edited: true },
      { kind: "unreadable", what: "voice message", edited: true },
    ]);
  });

  it("files what staff change afterwards for no hire, whichever matter they have now", async () => {
    const change = (update_id: number) => {
      const { message: sent } = message(update_id, { text: "Box code 4711" }, 900) as {
        message: object;
      };
      return { update_id, edited_message: { ...sent, edit_date: 1_780_000_600 } };
    };
    await post(change(7));
    await house.db
      .insertInto("callouts")
      .values({
        ...{ hire: "h1", n: 1, state: "with", severity: "stop", kind: "light", title: "Oil" },
        ...{ with_contact: "morag", opened_at: noon, answer_by: noon },
        ...{ promised_at: null, hear_from_by: null },
      })
      .execute();
    await post(change(8));
    await post(message(9, { text: "Box code 4711" }, 900));
    expect(filed.map((a) => [a.lane, a.body.kind])).toEqual([
      ["chat:telegram:900", "said"],
      ["chat:telegram:900", "said"],
      [lane(), "desk"],
    ]);
    expect(filed[1]?.body).toMatchObject({ edited: true });
  });

  it("files the next place of a live one as moved, at the time of the move", async () => {
    const location = { latitude: 57.2, longitude: -4.3, live_period: 900 };
    const { message: sent } = message(4, { location }) as { message: object };
    await post({ update_id: 4, edited_message: { ...sent, edit_date: 1_780_000_600 } });
    expect(filed[0]).toMatchObject({
      writtenAt: 1_780_000_600_000,
      body: { kind: "located", lat: 57.2, live: "moved" },
    });
  });

  it("cuts a text that no Telegram client can send", async () => {
    await post(textUpdate(3, "x".repeat(100_000)));
    expect(filed[0]?.body.kind === "said" && filed[0].body.text.length).toBe(mostLetters);
  });

  const tap = (update_id: number, data: string, from: number, message_id = 1): object => ({
    update_id,
    callback_query: {
      id: `q${update_id}`,
      chat_instance: "1",
      from: { id: from, is_bot: false, first_name: "Ann" },
      data,
      message: { message_id, date: 1, chat: { id: from, type: "private" } },
    },
  });

  it("files a tap and answers it", async () => {
    await post(tap(4, "ok:1", 100));
    expect(filed[0]?.body).toEqual({
      kind: "tapped",
      from: {
        via: { channel: "telegram", to: "100" },
        name: "Ann",
        ...(await whoseChat(house.db, { channel: "telegram", to: "100" }, noon).then(
          (w) => w && { person: w.person },
        )),
      },
      tap: "ok:1",
    });
    expect(answered).toEqual(["q4"]);
  });

  it("lets staff take a call-out by a button, and nobody else", async () => {
    await post(tap(4, "take:h1:2", 900));
    await post(tap(5, "take:h1:2", 100));
    expect(filed.map((a) => [a.lane, a.body.kind])).toEqual([
      [lane(), "desk"],
      [lane(), "tapped"],
    ]);
    expect(filed[0]?.body).toEqual({ kind: "desk", by: "morag", act: { do: "take", callout: 2 } });
  });

  it("takes a button in a chat of two for the one whom its message was for", async () => {
    staff = { morag: "900", callum: "900" };
    const to = { channel: "telegram", to: "900" } as const;
    for (const [n, contact] of ["morag", "callum"].entries()) {
      const message = { text: "STOP: Oil" };
      const send = { to, who: `duty:${contact}`, contact, callout: 2, message, safety: true };
      await addSends(house.db, { key: `s${n}`, lane: lane() }, [send], noon, new Set());
      const is = { outside_id: `${70 + n}`, state: "sent", sent_at: noon } as const;
      await house.db.updateTable("sends").set(is).where("key", "=", `s${n}#1`).execute();
    }
    await post(tap(4, "take:h1:2", 900, 71));
    await post(tap(5, "seen:chat:telegram:555", 900, 70));
    await post(tap(6, "take:h1:2", 900, 99));
    expect(filed.map((a) => a.body)).toMatchObject(
      ["callum", "morag", "morag"].map((by) => ({ kind: "desk", by })),
    );
  });

  it("takes a button for the hire whose message it stands under, of a chat that is of two", async () => {
    const link = (await house.makeHire(booking("h2"))).links[0]?.token ?? "";
    await post(textUpdate(1, `/start ${token}`, 555));
    await post(textUpdate(2, `/start ${link}`, 555));
    await house.runUntilIdle();
    const to = { channel: "telegram", to: "555" } as const;
    for (const [n, hire] of ["h1", "h2"].entries()) {
      const message = { text: "Is it a safe place?" };
      const send = { to, who: "hirer:Ann", person: "p1", message, safety: false };
      await addSends(house.db, { key: `s${n}`, lane: lane(hire) }, [send], noon, new Set());
      const is = { outside_id: `${70 + n}`, state: "sent", sent_at: noon } as const;
      await house.db.updateTable("sends").set(is).where("key", "=", `s${n}#1`).execute();
    }
    filed = [];
    await post(tap(4, "place:unsafe:1", 555, 70));
    await post(tap(5, "place:unsafe:1", 555, 71));
    // It is of none that is known: of the hire that wrote last.
    await post(tap(6, "place:unsafe:1", 555, 99));
    expect(filed.map((a) => [a.lane, a.body.kind])).toEqual(
      ["h1", "h2", "h2"].map((hire) => [lane(hire), "tapped"]),
    );
    expect(filed[0]?.body).toMatchObject({ from: { person: "p1" }, tap: "place:unsafe:1" });
  });

  it("lets staff answer their own test alert, stand in, and pass on by a button", async () => {
    await post(tap(4, "here:morag:3", 900));
    await post(tap(5, "stand-in:morag:3", 900));
    await post(tap(6, "pass:h1:2:isla", 900));
    expect(filed.map((a) => [a.lane, a.body])).toEqual([
      ["firm", { kind: "firm", by: "morag", act: { do: "here", test: 3 } }],
      ["firm", { kind: "firm", by: "morag", act: { do: "stand-in", test: 3 } }],
      [lane(), { kind: "desk", by: "morag", act: { do: "pass", callout: 2, to: "isla" } }],
    ]);
  });

  it("lets nobody answer a test alert from another chat", async () => {
    await post(tap(4, "here:morag:3", 100));
    await post(tap(5, "here:isla:3", 900));
    await post(tap(6, "pass:h1:2:isla", 100));
    expect(filed.map((a) => a.body.kind)).toEqual(["tapped", "tapped", "tapped"]);
  });

  it("finds a long tap again behind its shortened form", async () => {
    const long = `answer:${"x".repeat(100)}`;
    await house.db
      .insertInto("events")
      .values({
        lane: lane(),
        n: 900,
        at: noon,
        kind: "out",
        person: "p1",
        channel: "telegram",
        who: "hirer:Ann",
        text: "x",
        more: JSON.stringify({ buttons: [{ tap: long, label: "Long" }] }),
      })
      .execute();
    await post(tap(4, carried(long), 100));
    expect(filed[0]?.body).toMatchObject({ kind: "tapped", tap: long });
  });
});
