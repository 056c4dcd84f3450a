/** The service as a whole, over real HTTP on loopback, with a tiny step in place of the real one. */

import { existsSync } from "node:fs";
import { get } from "node:http";
import { join } from "node:path";
import request from "supertest";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { projectFolder, readBook } from "../src/knowledge/read.js";
import { quietLog } from "../src/log.js";
import { openService, type Service } from "../src/open-service.js";
import type { Settings } from "../src/settings.js";
import { eventsOf } from "../src/store/events.js";
import { type FakeBotApi, openFakeBotApi, textUpdate } from "./kit/fake-bot-api.js";
import { booking, lane, smallMatcher, smallStep, tempFile } from "./kit/small-house.js";
import { until } from "./kit/until.js";

const { book } = readBook();
const secret = "s".repeat(32);

describe("the service", () => {
  let service: Service;
  let api: FakeBotApi;
  let temp: ReturnType<typeof tempFile>;
  let settings: Settings;

  beforeEach(async () => {
    api = await openFakeBotApi();
    temp = tempFile();
    settings = {
      port: 0,
      host: "127.0.0.1",
      publicUrl: "http://127.0.0.1",
      databaseFile: temp.file,
      deskPasswords: { morag: "four-plain-words" },
      logLevel: "silent",
      telegram: {
        botId: "123456789",
        token: `123456789:${"A".repeat(35)}`,
        secret,
        staff: { morag: "900" },
        apiRoot: api.root,
      },
    };
    service = await openService(settings, {
      book,
      matcher: smallMatcher,
      log: quietLog,
      step: smallStep,
    });
  });
  afterEach(async () => {
    await service.close();
    await api.close();
    temp.remove();
  });

  it("answers a Telegram message: stored, stepped, sent, all within the running loops", {
    timeout: 20_000,
  }, async () => {
    const { links } = await service.house.makeHire(booking());
    const post = (update: object) =>
      request(service.url)
        .post("/telegram/123456789")
        .set("X-Telegram-Bot-Api-Secret-Token", secret)
        .send(update);
    expect((await post(textUpdate(1, `/start ${links[0]?.token}`))).status).toBe(200);
    expect((await post(textUpdate(2, "danger"))).status).toBe(200);
    await until(() => (api.texts().length >= 3 ? true : undefined));
    expect(
      api
        .texts()
        .map((t) => `${t.chat} ${t.text}`)
        .sort(),
    ).toEqual(["100 Get out. 999.", "100 welcome", "900 DANGER"]);
    expect(api.wrong).toEqual([]);
    const take = {
      update_id: 3,
      callback_query: {
        id: "q",
        chat_instance: "1",
        from: { id: 900, is_bot: false, first_name: "M" },
        data: "take:h1:1",
        message: { message_id: 1, date: 1, chat: { id: 900, type: "private" } },
      },
    };
    expect((await post(take)).status).toBe(200);
    await until(async () =>
      (await eventsOf(service.house.db, lane())).find(
        (e) => e.kind === "staff" && e.who === "duty:Morag",
      ),
    );
    await until(() => api.calls.find((c) => c.method === "answerCallbackQuery"));
  });

  it("opens a hirer's chat by its link, and the desk by its password", async () => {
    const { links } = await service.house.makeHire(booking());
    await until(async () => await service.house.laneState(lane()));
    const hirer = request.agent(service.url);
    const opened = await hirer.get(`/h/${links[0]?.token}`);
    expect(opened.status).toBe(200);
    expect(opened.headers["set-cookie"]).toBeUndefined();
    expect((await hirer.post(`/h/${links[0]?.token}`)).headers.location).toBe("/chat");
    expect((await hirer.get("/chat")).status).toBe(200);
    expect((await request(service.url).get("/h/AAAAAAAAAAAAAAAAAAAAAA")).status).toBe(404);
    expect(
      (
        await request(service.url)
          .post("/desk/enter")
          .type("form")
          .send({ contact: "morag", password: "wrong" })
      ).status,
    ).toBe(401);
    const desk = request.agent(service.url);
    expect(
      (
        await desk
          .post("/desk/enter")
          .type("form")
          .send({ contact: "morag", password: "four-plain-words" })
      ).status,
    ).toBe(303);
  });

  it("sends headers that allow our own files alone and tell other sites nothing of ours", async () => {
    const { headers } = await request(service.url).get("/desk");
    expect(headers["content-security-policy"]).toContain("script-src 'self'");
    expect(headers["content-security-policy"]).not.toContain("unsafe");
    expect(headers["referrer-policy"]).toBe("same-origin");
    expect(headers["x-powered-by"]).toBeUndefined();
  });

  it("serves browser code and styles, and nothing else of those folders", async () => {
    expect((await request(service.url).get("/pages/chat.css")).status).toBe(200);
    const built = existsSync(join(projectFolder(), "dist", "src", "pages", "chat.js"));
    if (!built) console.log("browser code is not looked at: the project is not built");
    expect((await request(service.url).get("/pages/chat.js")).status).toBe(built ? 200 : 404);
    for (const path of [
      "/pages/chat.ts",
      "/pages/..%2fmain.js",
      "/pages/../main.js",
      "/pictures/../firm.yaml",
      "/pages/",
      "/%",
      "/pages/%E0%A4%A",
    ])
      expect([400, 404], path).toContain((await request(service.url).get(path)).status);
  });

  it("does not start where nobody could sign in, and says so in one line; with an account it needs no setting", async () => {
    const other = tempFile();
    const open = (deskPasswords: Record<string, string>) =>
      openService(
        { ...settings, port: 0, databaseFile: other.file, deskPasswords },
        { book, matcher: smallMatcher, log: quietLog, step: smallStep },
      );
    await expect(open({})).rejects.toMatchObject({
      code: "SETTING_WRONG",
      message: expect.stringMatching(
        /^DESK_PASSWORD_MORAG is not set, and there is no account yet: [^\n]+; for example: \S+$/,
      ),
    });
    await (await open({ morag: "four-plain-words" })).close();
    await (await open({})).close();
    other.remove();
  });

  it("says in one line that its port is taken, and lets go of the file again", async () => {
    const port = Number(new URL(service.url).port);
    const other = tempFile();
    const again = () =>
      openService(
        { ...settings, port, databaseFile: other.file },
        { book, matcher: smallMatcher, log: quietLog, step: smallStep },
      );
    await expect(again()).rejects.toMatchObject({
      code: "SETTING_WRONG",
      message: expect.stringMatching(
        /^PORT is \d+ on HOST 127\.0\.0\.1: something else listens there; for example: PORT=\d+$/,
      ),
    });
    await expect(again()).rejects.toMatchObject({ code: "SETTING_WRONG" });
    other.remove();
  });

  it("closes within five seconds with a page open and a message on the wire, and takes it up at the next start", {
    timeout: 20_000,
  }, async () => {
    const { links } = await service.house.makeHire(booking());
    await until(async () => await service.house.laneState(lane()));
    const hirer = request.agent(service.url);
    const made = await hirer.post(`/h/${links[0]?.token}`);
    const cookie = String(made.headers["set-cookie"]?.[0]).split(";")[0] ?? "";
    const ended = new Promise<void>((done, fail) => {
      get(`${service.url}/chat/stream`, { headers: { cookie } }, (stream) => {
        stream.on("end", done).on("error", fail).resume();
        api.faults.push({ kind: "never" });
        request(service.url)
          .post("/telegram/123456789")
          .set("X-Telegram-Bot-Api-Secret-Token", secret)
          .send(textUpdate(1, `/start ${links[0]?.token}`))
          .then(() => {}, fail);
      }).on("error", fail);
    });
    await until(() => api.calls.find((c) => c.method === "sendMessage"));
    const before = performance.now();
    await service.close();
    await ended;
    // The promise of the service, not a measure of the machine: a stopping service manager waits no longer.
    expect(performance.now() - before).toBeLessThan(5_000);
    expect(api.texts()).toEqual([]);
    service = await openService(settings, {
      book,
      matcher: smallMatcher,
      log: quietLog,
      step: smallStep,
    });
    await until(() => api.texts().find((t) => t.text === "welcome"));
  });
});
