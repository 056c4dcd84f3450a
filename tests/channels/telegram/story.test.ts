/** A whole story by Telegram, with the real step: every call is checked against the published Bot API. */
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { after, instantOf } from "../../../src/calendar.js";
import { quietLog } from "../../../src/log.js";
import { openService, type Service } from "../../../src/main.js";
import type { Booking, HireId } from "../../../src/post.js";
import { type FakeBotApi, openFakeBotApi, textUpdate } from "../../kit/fake-bot-api.js";
import { book, matcher } from "../../kit/hire.js";
import { tempFile } from "../../kit/small-house.js";

const secret = "s".repeat(32);
const hirerChat = 100;
const staffChat = 900;
let service: Service;
let api: FakeBotApi;
const temp = tempFile();
let link = "";
let updateId = 1;

beforeAll(async () => {
  api = await openFakeBotApi();
  service = await openService(
    {
      port: 0,
      host: "127.0.0.1",
      publicUrl: "http://127.0.0.1",
      databaseFile: temp.file,
      logLevel: "silent",
      deskPasswords: { morag: "four-plain-words" },
      telegram: {
        botId: "123456789",
        token: `123456789:${"A".repeat(35)}`,
        secret,
        apiRoot: api.root,
        staff: { morag: `${staffChat}`, callum: `${staffChat}`, isla: `${staffChat}` },
      },
    },
    { book, matcher, log: quietLog },
  );
  const now = instantOf(Date.now());
  const booking: Booking = {
    hire: "tg1" as HireId,
    van: { registration: "SX26 ABC", type: "curlew" },
    pickupAt: after(now, -60),
    returnAt: after(now, 5 * 24 * 60),
    zone: "Europe/London",
    region: "gb",
    lang: "en",
    surname: "Stone",
    status: "booked",
    people: [{ id: "p1", name: "Ann", booker: true }],
  };
  link = (await service.house.makeHire(booking)).links[0]?.token ?? "";
});
afterAll(async () => {
  await service?.close();
  await api?.close();
  temp.remove();
});

const update = (body: object) =>
  request(service.url)
    .post("/telegram/123456789")
    .set("X-Telegram-Bot-Api-Secret-Token", secret)
    .send(body);
const writes = (text: string, chat = hirerChat) => update(textUpdate(updateId++, text, chat));
const taps = (data: string, chat: number) =>
  update({
    update_id: updateId++,
    callback_query: {
      id: `${updateId}`,
      from: { id: chat, is_bot: false, first_name: "A" },
      chat_instance: "1",
      data,
      message: { message_id: 1, date: 1_780_000_000, chat: { id: chat, type: "private" } },
    },
  });
const sentTo = (chat: number) =>
  api.calls.filter(
    (c) => c.method === "sendMessage" && String(c.params["chat_id"]) === String(chat),
  );

/** Waits until a message to a chat holds the words; at most 8 s. */
async function hears(chat: number, words: string | RegExp) {
  for (let i = 0; i < 400; i++) {
    const found = sentTo(chat).find((c) =>
      typeof words === "string"
        ? String(c.params["text"]).includes(words)
        : words.test(String(c.params["text"])),
    );
    if (found) return found;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  throw new Error(
    `chat ${chat} never heard ${String(words)}; it heard ${JSON.stringify(sentTo(chat).map((c) => String(c.params["text"]).slice(0, 60)))}`,
  );
}
const button = (call: { params: Record<string, unknown> }, label: string): string => {
  const markup = call.params["reply_markup"];
  const keyboard = (typeof markup === "string" ? JSON.parse(markup) : markup) as {
    inline_keyboard: { text: string; callback_data: string }[][];
  };
  return keyboard.inline_keyboard.flat().find((b) => b.text === label)?.callback_data ?? "none";
};

describe("by Telegram", () => {
  it("a stranger is told how to reach us; the link makes the chat a hire's; questions are answered for that van", async () => {
    expect((await writes("hello, who is this")).status).toBe(200);
    await hears(hirerChat, book.firm.phone);
    expect((await writes(`/start ${link}`)).status).toBe(200);
    await hears(hirerChat, "You are connected to the hire of SX26 ABC, Ann.");
    await writes("what height is it");
    const answer = await hears(hirerChat, "2.85 m");
    expect(button(answer, "That worked")).toBe("ok");
  }, 20_000);
  it("a red light alerts the staff chat with a button; taking it tells the hirer who has it", async () => {
    await writes("red oil can light came on");
    await hears(hirerChat, "Driving? Stop somewhere safe before you read on.");
    const alert = await hears(staffChat, /^STOP: /);
    await taps(button(alert, "I take it"), staffChat);
    await hears(hirerChat, /has read this and has it now\./);
    await writes("there is oil under the van");
    await hears(staffChat, "there is oil under the van");
  }, 20_000);
  it("the same update twice acts once", async () => {
    const same = textUpdate(updateId++, "how do I put the awning up", hirerChat);
    await update(same);
    await update(same);
    await hears(hirerChat, "Putting the awning up");
    await writes("what is the speed limit for this van on a motorway");
    await hears(hirerChat, "70 mph");
    expect(
      sentTo(hirerChat).filter((c) => String(c.params["text"]).includes("Putting the awning up")),
    ).toHaveLength(1);
  }, 20_000);
  it("keeps to the published Bot API in every call", () => {
    expect(api.calls.length).toBeGreaterThan(5);
    if (!api.checked) console.log("calls not checked: the listing of the Bot API is absent");
    expect(api.wrong).toEqual([]);
  });
});
