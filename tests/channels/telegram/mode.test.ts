/** How updates reach us: by webhook or by asking, the same arrivals; against a Bot API on loopback. */
import { setImmediate as turnOver } from "node:timers/promises";
import express from "express";
import request from "supertest";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { startUpdates } from "../../../src/channels/telegram/mode.js";
import { poll } from "../../../src/channels/telegram/polling.js";
import { type ReceiveParts, take, telegramRoutes } from "../../../src/channels/telegram/receive.js";
import { callBack, doubtsOf, keepCalledBack } from "../../../src/channels/telegram/webhook.js";
import { openLog } from "../../../src/log.js";
import type { Arrival } from "../../../src/post.js";
import { type FakeBotApi, openFakeBotApi, textUpdate } from "../../kit/fake-bot-api.js";
import { noon, scriptClock } from "../../kit/small-house.js";

const token = "123456789:MARKED-token-that-must-never-be-seen";
const [secret, old] = ["n".repeat(32), "o".repeat(32)];
const url = "https://trips.example.org/telegram/123456789";
let api: FakeBotApi;
let lines: string[];
let leaving: AbortController;
let told: (readonly string[])[];
const clock = scriptClock();
const log = openLog("debug", { write: (line: string) => void lines.push(line) });
const methods = () => api.calls.map((call) => call.method);
const bot = () => ({ token, apiRoot: api.root });
const tell = (doubts: readonly string[]) => void told.push(doubts);

beforeEach(async () => {
  clock.moveTo(noon);
  lines = [];
  told = [];
  leaving = new AbortController();
  api = await openFakeBotApi();
});
afterEach(async () => {
  leaving.abort();
  expect(api.wrong).toEqual([]);
  expect(lines.join("")).not.toContain("MARKED");
  await api.close();
});

/** Reading of updates over a store that is a list. */
function receiving(file?: ReceiveParts["file"]): { parts: ReceiveParts; filed: Arrival[] } {
  const filed: Arrival[] = [];
  const keep: ReceiveParts["file"] = async (arrival) => {
    if (filed.some((f) => f.key === arrival.key)) return "known";
    filed.push(arrival);
    return "new";
  };
  const parts: ReceiveParts = {
    botId: "123456789",
    secret: `${secret} ${old}`,
    clock,
    log,
    staff: async () => ({}),
    staffTarget: async () => undefined,
    contactTold: async () => undefined,
    sentIn: async () => undefined,
    file: file ?? keep,
    whose: async () => undefined,
    linkOf: async () => undefined,
    tapOf: async () => undefined,
    answerTap: () => {},
  };
  return { parts, filed };
}
const polling = (of: (update: unknown) => Promise<unknown>) =>
  poll({ bot: bot(), take: of, log, tell, stopped: leaving.signal, pause: () => turnOver() });
async function until(done: () => boolean) {
  for (let i = 0; i < 1_000 && !done(); i++) await new Promise((go) => setTimeout(go, 10));
  expect(done()).toBe(true);
}

const tap = {
  update_id: 7,
  callback_query: {
    id: "q",
    from: { id: 100, is_bot: false, first_name: "Ann" },
    chat_instance: "1",
    data: "ok:1",
  },
};
const sample = [textUpdate(5, "red light"), textUpdate(6, "/start"), tap];

describe("asking for updates", () => {
  it("files the same arrivals as the webhook", async () => {
    const [asked, posted] = [receiving(), receiving()];
    for (const update of sample) api.arrive(update as never);
    const done = polling((one) => take(asked.parts, one));
    await until(() => asked.filed.length === sample.length);
    const app = express().use(telegramRoutes(posted.parts));
    for (const update of sample) {
      const sent = request(app).post("/telegram/123456789").send(update);
      expect((await sent.set("X-Telegram-Bot-Api-Secret-Token", secret)).status).toBe(200);
    }
    expect(asked.filed).toEqual(posted.filed);
    expect(asked.filed.map((f) => f.key)).toEqual([
      "tg:123456789:5",
      "tg:123456789:6",
      "tg:123456789:7",
    ]);
    leaving.abort();
    await done;
  });

  it("takes the webhook away first, and loses nothing of what waits there", async () => {
    api.webhook.url = url;
    const { parts, filed } = receiving();
    api.arrive(textUpdate(1, "hello"));
    const done = polling((one) => take(parts, one));
    await until(() => filed.length === 1);
    expect(methods().slice(0, 2)).toEqual(["deleteWebhook", "getUpdates"]);
    expect(api.calls[0]?.params).toEqual({ drop_pending_updates: false });
    leaving.abort();
    await done;
  });

  it("confirms an update only once it is stored, and keeps their order while the store fails", async () => {
    let works = false;
    let refused = 0;
    const { parts, filed } = receiving();
    const { file } = parts;
    parts.file = async (arrival) => {
      if (works) return file(arrival);
      if (++refused === 5) works = true;
      throw new Error("disk full");
    };
    for (const n of [1, 2, 3]) api.arrive(textUpdate(n, `message ${n}`));
    const done = polling((one) => take(parts, one));
    await until(() => methods().filter((m) => m === "getUpdates").length === 2);
    expect(refused).toBe(5);
    expect(filed.map((f) => f.key)).toEqual([1, 2, 3].map((n) => `tg:123456789:${n}`));
    const offsets = api.calls
      .filter((c) => c.method === "getUpdates")
      .map((c) => c.params["offset"]);
    expect(offsets).toEqual([undefined, 4]);
    leaving.abort();
    await done;
  });

  it("asks again for what was not confirmed when it ended, and stores it once", async () => {
    const { parts, filed } = receiving();
    api.arrive(textUpdate(1, "hello"));
    // Stored, and ended before it was confirmed.
    await polling(async (one) => {
      await take(parts, one);
      leaving.abort();
    });
    leaving = new AbortController();
    api.arrive(textUpdate(2, "again"));
    const done = polling((one) => take(parts, one));
    await until(() => filed.length === 2);
    expect(filed.map((f) => f.key)).toEqual(["tg:123456789:1", "tg:123456789:2"]);
    leaving.abort();
    await done;
  });

  it("passes over what is no update to us, and does not stand still before it", async () => {
    const { parts, filed } = receiving();
    api.arrive({ update_id: 1, poll: {} } as never);
    api.arrive({ update_id: 2, message: { date: "never" } } as never);
    api.arrive(textUpdate(3, "hello"));
    const done = polling((one) => take(parts, one));
    await until(() => filed.length === 1);
    leaving.abort();
    await done;
  });

  it("says plainly that somebody else asks, that the token is wrong, and goes on after every failure", async () => {
    const { parts, filed } = receiving();
    for (const kind of ["401", "409", "500", "502", "half", "reset"] as const)
      api.faults.push(undefined, { kind });
    api.faults.shift();
    const done = polling((one) => take(parts, one));
    api.arrive(textUpdate(1, "hello"));
    await until(() => filed.length === 1);
    leaving.abort();
    await done;
    const log = lines.join("");
    expect(log).toContain("only one process may ask, and none in webhook mode (409)");
    expect(log).toContain("TELEGRAM_BOT_TOKEN is wrong or was revoked");
  });

  it("is told to be in doubt from the third failure in a row on, until it works again", async () => {
    api.faults.push({ kind: "401" }, { kind: "500" });
    const { parts, filed } = receiving();
    const done = polling((one) => take(parts, one));
    api.arrive(textUpdate(1, "hello"));
    await until(() => filed.length === 1);
    expect(told).toEqual([]);
    api.faults.push(...Array(4).fill({ kind: "401" }));
    api.arrive(textUpdate(2, "and again"));
    await until(() => api.faults.length === 0);
    api.arrive(textUpdate(3, "and again"));
    await until(() => filed.length === 3);
    const wrong = [expect.stringContaining("TELEGRAM_BOT_TOKEN is wrong")];
    expect(told).toEqual([wrong, wrong, []]);
    leaving.abort();
    await done;
  });

  it("takes away a webhook that another program sets meanwhile", async () => {
    const { parts, filed } = receiving();
    const done = polling((one) => take(parts, one));
    await until(() => methods().includes("getUpdates"));
    api.webhook.url = url;
    for (const n of [1, 2]) api.arrive(textUpdate(n, "hello"));
    await until(() => filed.length === 2);
    expect(methods().filter((m) => m === "deleteWebhook")).toHaveLength(2);
    leaving.abort();
    await done;
  });

  it("ends at once when it is told to, with a question held open", async () => {
    const { parts } = receiving();
    const end = startUpdates({
      bot: { botId: "123456789", ...bot() },
      publicUrl: "http://127.0.0.1",
      take: (one) => take(parts, one),
      log,
      clock,
    });
    await until(() => methods().includes("getUpdates"));
    await end();
    expect(methods()).toEqual(["deleteWebhook", "getUpdates"]);
  });
});

describe("the webhook", () => {
  const calling = () =>
    callBack({
      ...{ bot: bot(), url, secret, log, tell, stopped: leaving.signal },
      now: () => clock.now(),
      pause: () => turnOver(),
    });

  it("is set with its secret, again until Telegram takes it, and read back", async () => {
    api.faults.push({ kind: "500" }, { kind: "reset" });
    expect(await calling()).toMatchObject({ url, pending: 0 });
    expect(methods()).toEqual(["setWebhook", "setWebhook", "setWebhook", "getWebhookInfo"]);
    expect(api.webhook).toMatchObject({ url, secret });
    expect(lines.join("")).not.toContain("webhook in doubt");
  });

  it("that Telegram does not take is told from the third try on", async () => {
    api.faults.push({ kind: "401" }, { kind: "401" });
    await calling();
    expect(told).toEqual([]);
    api.faults.push(...Array(4).fill({ kind: "401" }));
    await calling();
    expect(told).toEqual(Array(2).fill([expect.stringContaining("TELEGRAM_BOT_TOKEN is wrong")]));
  });

  it("ends at once when it is told to, in the middle of a call", async () => {
    const { parts } = receiving();
    const to = { bot: { botId: "1", ...bot(), secret }, publicUrl: "https://a.example" };
    api.faults.push({ kind: "never" });
    const end = startUpdates({ ...to, take: (one) => take(parts, one), log, clock });
    await until(() => methods().includes("setWebhook"));
    const before = performance.now();
    await end();
    expect(performance.now() - before).toBeLessThan(2_000);
  });

  it("warns of another address, of updates that wait, and of Telegram's last error", async () => {
    api.webhook.info = {
      url: "https://other.example/",
      pending_update_count: 900,
      last_error_date: noon / 1000 - 60,
      last_error_message: "Connection refused",
    };
    await calling();
    for (const why of [
      "some other program",
      "900 updates wait",
      "could not post: Connection refused",
    ])
      expect(lines.join("")).toContain(why);
    const state = { url, pending: 100, errorAt: noon - 16 * 60_000, error: "long ago" };
    expect(doubtsOf(state, url, noon)).toEqual([]);
  });

  /** Looks after it; each call of `next` ends the pause before a look, once the one before is over. */
  function lookingAfter() {
    const pauses: number[] = [];
    let go = (): void => {};
    const done = keepCalledBack({
      ...{ bot: bot(), url, secret, log, tell, stopped: leaving.signal },
      now: () => clock.now(),
      pause: (ms) =>
        new Promise<void>((resolve) => {
          pauses.push(ms);
          go = resolve;
          leaving.signal.addEventListener("abort", () => resolve());
        }),
    });
    const next = async (): Promise<void> => {
      const before = pauses.length;
      clock.move(5);
      go();
      await until(() => pauses.length > before);
    };
    return { pauses, next, done };
  }
  const timesSet = () => methods().filter((m) => m === "setWebhook").length;

  it("that another program takes over is set again at the next look, and told for an hour", async () => {
    const { pauses, next, done } = lookingAfter();
    await until(() => pauses.length === 1);
    expect(told.at(-1)).toEqual([]);
    await next();
    expect([timesSet(), told.at(-1)]).toEqual([1, []]);
    for (const other of ["https://other.example/", ""]) {
      const before = timesSet();
      Object.assign(api.webhook, { url: other, secret: "x" });
      await next();
      expect(api.webhook).toMatchObject({ url, secret });
      expect(timesSet()).toBe(before + 1);
      expect(told.at(-1)).toEqual([expect.stringContaining("another program had")]);
    }
    expect(lines.join("")).toContain("some other program");
    for (let n = 0; n < 11; n++) await next();
    expect(told.at(-1)).toHaveLength(1);
    await next();
    expect([timesSet(), told.at(-1)]).toEqual([3, []]);
    leaving.abort();
    await done;
  });

  it("that two services set against each other changes hands once a look, minutes apart", async () => {
    const { pauses, next, done } = lookingAfter();
    await until(() => pauses.length === 1);
    for (let n = 1; n <= 4; n++) {
      api.webhook.url = "https://other.example/";
      await next();
      expect(timesSet()).toBe(1 + n);
    }
    expect(new Set(pauses)).toEqual(new Set([5 * 60_000]));
    leaving.abort();
    await done;
  });

  it("is set again while ever more updates wait, not for some that wait, and looked at again after no answer", async () => {
    const { pauses, next, done } = lookingAfter();
    await until(() => pauses.length === 1);
    for (const [waiting, times] of [
      [4, 1],
      [4, 1],
      [3, 1],
      [7, 2],
      [0, 2],
    ] as const) {
      api.webhook.info = { pending_update_count: waiting };
      await next();
      expect(timesSet(), `${waiting} wait`).toBe(times);
    }
    api.faults.push({ kind: "500" });
    await next();
    expect(lines.join("")).toContain("webhook not looked at");
    expect([pauses.at(-1), told.at(-1)]).toEqual([60_000, []]);
    api.faults.push({ kind: "401" });
    await next();
    api.faults.push({ kind: "401" });
    await next();
    expect(told.at(-1)).toEqual([expect.stringContaining("TELEGRAM_BOT_TOKEN is wrong")]);
    await next();
    expect([pauses.at(-1), told.at(-1)]).toEqual([5 * 60_000, []]);
    api.webhook.url = "https://other.example/";
    await next();
    expect(api.webhook.url).toBe(url);
    expect(told.at(-1)).toHaveLength(1);
    leaving.abort();
    await done;
  });

  it("is not set where the address is not https, and it says what would help", async () => {
    const { parts } = receiving();
    const to = { bot: { botId: "1", ...bot(), secret }, publicUrl: "http://127.0.0.1" };
    await startUpdates({ ...to, take: (one) => take(parts, one), log, clock, tell })();
    expect(methods()).toEqual([]);
    expect(told).toEqual([[expect.stringContaining("TELEGRAM_MODE=polling")]]);
    expect(lines.join("")).toContain("TELEGRAM_MODE=polling");
  });

  it("takes the old secret beside the new one for an hour, and no other", async () => {
    const { parts, filed } = receiving();
    const app = express().use(telegramRoutes(parts));
    let n = 0;
    const post = async (with_: string) =>
      (
        await request(app)
          .post("/telegram/123456789")
          .set("X-Telegram-Bot-Api-Secret-Token", with_)
          .send(textUpdate(++n, "hello"))
      ).status;
    expect([await post(secret), await post(old)]).toEqual([200, 200]);
    for (const wrong of [`${secret} ${old}`, "", "x", secret.slice(1)])
      expect(await post(wrong)).toBe(401);
    clock.move(61);
    expect([await post(secret), await post(old)]).toEqual([200, 401]);
    expect(filed.length).toBe(3);
  });

  it("is told the new secret while the old one is still there", async () => {
    const { parts } = receiving();
    const to = {
      bot: { botId: "1", ...bot(), secret: `${secret} ${old}` },
      publicUrl: "https://a.example",
    };
    const end = startUpdates({ ...to, take: (one) => take(parts, one), log, clock });
    await until(() => api.webhook.url !== "");
    await end();
    expect(api.webhook.secret).toBe(secret);
  });
});
