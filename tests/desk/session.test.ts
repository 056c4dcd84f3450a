/** Sessions of the desk in time: when they end, and for how long their contact counts as reached there. */
import { get, type IncomingMessage } from "node:http";
import request from "supertest";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { openDeskSession } from "../../src/store/tokens.js";
import { scriptClock } from "../kit/small-house.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";

let service: WebHouse;
let clock: ReturnType<typeof scriptClock>;
let cookie: string;
beforeEach(async () => {
  // Only what repeats is in the test's hand: the stream's look at its session.
  vi.useFakeTimers({ toFake: ["setInterval", "clearInterval"] });
  clock = scriptClock();
  service = await openWebHouse("curlew", ["Ann"], { clock });
  cookie = `desk=${(await openDeskSession(service.house.db, "morag", clock.now())).token}`;
}, 60_000);
afterEach(async () => {
  await service.close();
  vi.useRealTimers();
});

const asks = (path: string) =>
  new Promise<IncomingMessage>((done, fail) => {
    get(`${service.url}${path}`, { headers: { cookie } }, done).on("error", fail);
  });
/** What an open page does every half minute. */
async function looks(): Promise<number | undefined> {
  const got = await asks("/desk/part");
  got.resume();
  return got.statusCode;
}
/** Minutes go by, and the stream has looked at its session. */
async function pass(minutes: number): Promise<void> {
  clock.move(minutes);
  vi.advanceTimersByTime(20_000);
  await new Promise((resolve) => setTimeout(resolve, 100));
}
const atDesk = async () => (await service.house.firmNow()).reach.atDesk;

describe("a session of the desk", { timeout: 60_000 }, () => {
  it("has its contact there while a page looks, and not for an open stream alone", async () => {
    const stream = await asks("/desk/stream");
    stream.resume();
    for (let n = 0; n < 3; n++) {
      await pass(1);
      expect(await looks()).toBe(200);
      expect(await atDesk()).toEqual(["morag"]);
    }
    for (let n = 0; n < 3; n++) await pass(1);
    expect(await atDesk()).toEqual([]);
    expect(await looks()).toBe(200);
    expect(await atDesk()).toEqual(["morag"]);
    stream.destroy();
  });
  it("ends 14 hours after signing in, however lately it was seen, and its stream with it", async () => {
    const stream = await asks("/desk/stream");
    stream.resume();
    const ended = new Promise((resolve) => stream.on("end", resolve));
    for (let hour = 0; hour < 14; hour++) {
      await pass(60);
      expect(await looks()).toBe(200);
    }
    await pass(1);
    await ended;
    expect(await looks()).toBe(401);
    await pass(2);
    expect(await atDesk()).toEqual([]);
  });
  it("that ended before a form was sent says that nothing was kept, with the words to copy and no password", async () => {
    const post = (path: string, form: Record<string, string>) =>
      request(service.url)
        .post(path)
        .set("Cookie", cookie)
        .set("Accept", "text/html")
        .type("form")
        .send(form);
    const call = { csrf: "word-of-the-page", id: "form-id-1", outcome: "ring", clock: "18:30" };
    clock.move(14 * 60 + 1);
    const { status, text } = await post("/desk/hires/h1/call", { ...call, about: "brakes <soft>" });
    expect(status).toBe(401);
    expect(text).toContain("Not done: you were signed out. What you sent was not kept.");
    for (const words of ["brakes &lt;soft&gt;", "18:30", "Password"]) expect(text).toContain(words);
    expect(text).not.toContain("word-of-the-page");
    const secret = { old: "the old one", fresh: "a fresh one", again: "a fresh one" };
    const password = (await post("/desk/password", secret)).text;
    expect(password).toContain("What you sent was not kept.");
    for (const words of Object.values(secret)) expect(password).not.toContain(words);
    expect((await post("/desk/leave", { csrf: "x" })).text).not.toContain("What you typed");
  });
});
