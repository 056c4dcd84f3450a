/** The log holds no word of people and no secret, whatever happens. */
import express from "express";
import { sql } from "kysely";
import request from "supertest";
import { describe, expect, it } from "vitest";
import { poll } from "../src/channels/telegram/polling.js";
import { telegramRoutes } from "../src/channels/telegram/receive.js";
import { telegramDoor } from "../src/channels/telegram/send.js";
import { callBack } from "../src/channels/telegram/webhook.js";
import { Fault } from "../src/faults.js";
import { openHouse } from "../src/house.js";
import { faultFields, type LogFields, openLog } from "../src/log.js";
import { enterDesk } from "./kit/desk.js";
import { openFakeBotApi, textUpdate } from "./kit/fake-bot-api.js";
import { booking, houseParts, scriptClock, smallStep } from "./kit/small-house.js";
import { openWebHouse } from "./kit/web-house.js";

const token = "123456789:MARKEDTOKENMARKEDTOKENMARKEDTOKEN";
const secret = "MARKEDSECRETMARKEDSECRET";
const name = "Zebedee Markedname";
const number = "07700 900999"; // Ofcom's drama range
const words = "marked words of a hirer";

describe("the log", () => {
  it("never shows a token, a name, a number or a hirer's words, through a talk with every failure", async () => {
    const lines: string[] = [];
    const log = openLog("debug", { write: (line: string) => void lines.push(line) });
    const api = await openFakeBotApi();
    const clock = scriptClock();
    const door = telegramDoor({
      token,
      apiRoot: api.root,
      pictures: () => undefined,
      log,
      timeoutSeconds: 0.2,
    });
    const house = await openHouse({
      ...houseParts,
      clock,
      log,
      dbFile: ":memory:",
      doors: [door],
      step: (state, arrival, facts) => {
        if (arrival.body.kind === "said" && arrival.body.text.startsWith("broken"))
          throw new Error(`cannot read "${arrival.body.text}" of ${name}, ${token}`);
        return smallStep(state, arrival, facts);
      },
    });
    house.onEvents(() => {
      throw new Error(`${words} ${name}`);
    });
    await house.makeHire(
      booking("h1", {
        people: [{ id: "p1", name, booker: true, phone: number }],
        surname: "Markedname",
      }),
    );
    let storeWorks = true;
    const app = express().use(
      telegramRoutes({
        botId: "123456789",
        secret,
        clock,
        log,
        staff: async () => ({}),
        staffTarget: async () => undefined,
        contactTold: async () => undefined,
        sentIn: async () => undefined,
        file: (arrival) =>
          storeWorks
            ? house.file(arrival)
            : Promise.reject(new Error(`insert of ${words} by ${name} failed: ${token}`)),
        whose: () => Promise.resolve({ lane: "hire:h1" as never, person: "p1" }),
        linkOf: () => Promise.resolve(undefined),
        tapOf: () => Promise.resolve(undefined),
        answerTap: (query) => door.answerTap(query),
      }),
    );
    let update = 0;
    const post = (text: string) =>
      request(app)
        .post("/telegram/123456789")
        .set("X-Telegram-Bot-Api-Secret-Token", secret)
        .send(textUpdate(++update, text, 100, name));
    const talk = async (text: string) => {
      expect((await post(text)).status).toBe(200);
      for (let i = 0; i < 12; i++) {
        await house.runUntilIdle();
        const at = await house.nextAt();
        if (at === undefined) break;
        if (at > clock.now()) clock.moveTo(at);
      }
    };

    await talk(`say ${words} ${number}`);
    await talk(`broken ${words}`);
    await talk(`/start ${secret}`);
    for (const kind of ["400", "403", "500", "502", "never", "half", "reset"] as const) {
      api.faults.push({ kind }, { kind });
      await talk(`say ${words} ${number}`);
    }
    api.faults.push({ kind: "429", retryAfter: 1 });
    await talk(`say ${words}`);
    await talk("danger");
    await request(app)
      .post("/telegram/123456789")
      .set("X-Telegram-Bot-Api-Secret-Token", token)
      .send(textUpdate(0, words));
    await request(app)
      .post("/telegram/123456789")
      .set("X-Telegram-Bot-Api-Secret-Token", secret)
      .set("Content-Type", "application/json")
      .send(`{"${words}": ${token}`);
    api.faults.push({ kind: "500" }, { kind: "500" });
    const tap = {
      update_id: ++update,
      callback_query: {
        id: token,
        from: { id: 100, is_bot: false, first_name: name },
        chat_instance: "1",
        data: words.slice(0, 20),
      },
    };
    await request(app)
      .post("/telegram/123456789")
      .set("X-Telegram-Bot-Api-Secret-Token", secret)
      .send(tap);
    await callBack({
      bot: { token, apiRoot: api.root },
      url: `https://trips.example/${token}`,
      secret,
      log,
      tell: () => {},
      stopped: new AbortController().signal,
      now: () => clock.now(),
      pause: () => Promise.resolve(),
    });
    const polls = new AbortController();
    api.faults.push({ kind: "409" }, { kind: "401" }, { kind: "reset" });
    await poll({
      bot: { token, apiRoot: api.root },
      take: () => Promise.reject(new Error(words)),
      log,
      tell: () => {},
      pause: async () => void (api.faults.length === 0 && polls.abort()),
      stopped: polls.signal,
    });
    storeWorks = false;
    expect((await post(words)).status).toBe(503);
    await api.close();
    storeWorks = true;
    await talk(`say ${words}`);
    await house.close();

    const all = lines.join("");
    for (const message of [
      "turn taken",
      "step failed",
      "sent",
      "send put off",
      "not delivered",
      "webhook refused",
      "not stored",
      "listener failed",
      "webhook not set",
      "updates not had",
    ])
      expect(all, `control: "${message}" happened`).toContain(`"msg":"${message}"`);
    for (const marked of [
      token,
      "MARKED",
      secret,
      name,
      "Markedname",
      number,
      "900999",
      words,
      "marked words",
    ])
      expect(all).not.toContain(marked);
  });

  it("says of a page and of an API call that failed where, and whoever asked reads what is so", async () => {
    const lines: string[] = [];
    const log = openLog("info", { write: (line: string) => void lines.push(line) });
    const service = await openWebHouse("curlew", [name], { log, surname: "Markedname" });
    const morag = await enterDesk(service.url);
    const made = await morag.post("/desk/bookings/tokens", { id: "form-of-token-1", name: "Shop" });
    const program = /<code>(pp_[\w-]+)<\/code>/.exec(made.text)?.[1] ?? "";
    const entered = await request(service.url).post(new URL(service.links[0] ?? "").pathname);
    const cookie = String(entered.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
    const hirer = (asked: request.Test) => asked.set("Cookie", cookie).set("Accept", "text/html");
    const api = (asked: request.Test) => asked.set("Authorization", `Bearer ${program}`);
    // What broke is of our own making: no code of the database stands for it.
    for (const table of ["events", "arrivals", "booking_refs"])
      await sql`alter table ${sql.table(table)} rename to ${sql.table(`${table}_gone`)}`.execute(
        service.house.db,
      );
    const { url } = service;
    const answers: [string, request.Test, string, string][] = [
      ["chat", hirer(request(url).get("/chat")), "That page could not be shown", "Not sent"],
      ["chat", hirer(request(url).post("/chat/say")).send(`text=${words}`), "Not sent", "be shown"],
      ["hires", morag.get("/desk/hires/h1"), "That page could not be shown", "kept"],
      [
        "act",
        morag.post("/desk/act", { hire: "h1", id: "form-of-act-1", do: "reply", text: words }),
        "could not be kept",
        "be shown",
      ],
      ["api", api(request(url).get("/api/hires/R-1")), "could not be read", "stored"],
      ["api", api(request(url).delete("/api/hires/R-1")), "could not be stored", "be read"],
    ];
    for (const [route, asked, says, saysNot] of answers) {
      lines.length = 0;
      const answer = await asked;
      expect([answer.status, answer.text], answer.text).toEqual([
        503,
        expect.stringContaining(says),
      ]);
      expect(answer.text).not.toContain(saysNot);
      const failed = lines.map((l) => JSON.parse(l)).filter((l) => l.msg === "request failed");
      expect(failed, `${route}: ${says}`).toMatchObject([
        { route, at: expect.arrayContaining([expect.stringContaining("at ")]) },
      ]);
      for (const marked of [words, name, "Markedname", program])
        expect(lines.join("")).not.toContain(marked);
    }
    // A page that follows the talk is let go, to connect again.
    await hirer(request(url).get("/chat/stream"));
    expect(lines.map((l) => JSON.parse(l))).toContainEqual(
      expect.objectContaining({ msg: "page not followed", lane: "hire:h1", at: expect.anything() }),
    );
    await service.close();
  });

  it("drops every field that has no name in the list", () => {
    const lines: string[] = [];
    const log = openLog("info", { write: (line: string) => void lines.push(line) });
    log.info("sent", { lane: "hire:1", text: words, name, toString: words } as LogFields);
    expect(lines.join("")).toContain('"lane":"hire:1"');
    expect(lines.join("")).not.toContain(words);
    expect(lines.join("")).not.toContain(name);
  });

  it("writes every field that has a name", () => {
    const lines: string[] = [];
    const log = openLog("info", { write: (line: string) => void lines.push(line) });
    const fields: Required<LogFields> = {
      lane: "hire:1",
      arrival: "a",
      send: "s",
      hire: "1",
      callout: 1,
      contact: "morag",
      channel: "web",
      because: ["said"],
      outcome: "sent",
      why: "full",
      code: "X",
      kind: "said",
      point: "before",
      count: 1,
      status: 503,
      route: "chat",
      port: 80,
      tookMs: 1,
      at: ["at step"],
    };
    log.info("sent", fields);
    expect(JSON.parse(lines.join(""))).toMatchObject(fields);
  });

  it("keeps of an error its code and where it was, never its message", () => {
    const error = Object.assign(new Error(`fetch of ${token}\n    at ${words} failed`), {
      code: "ECONNRESET",
    });
    expect(faultFields(error).code).toBe("ECONNRESET");
    expect(JSON.stringify(faultFields(error))).not.toContain(token);
    expect(JSON.stringify(faultFields(error))).not.toContain(words);
    const fault = faultFields(new Fault("STORE_WRONG", words));
    expect(fault.code).toBe("STORE_WRONG");
    expect(fault.at?.[0]).toContain("log.test");
    expect(JSON.stringify(fault)).not.toContain(words);
    expect(faultFields(words)).toEqual({ code: "unknown" });
  });

  it("names the error behind a Fault, and where that one was thrown", async () => {
    const house = await openHouse({
      ...houseParts,
      clock: scriptClock(),
      dbFile: ":memory:",
      doors: [],
    });
    const broken = [undefined] as unknown as Parameters<typeof house.pushHires>[0];
    const fault = await house.pushHires(broken, "Shop").catch((error: unknown) => error);
    await house.close();
    expect(fault).toBeInstanceOf(Fault);
    expect(faultFields(fault)).toMatchObject({
      code: "STORE_WRONG",
      why: "TypeError",
      at: expect.arrayContaining([expect.stringContaining("bookings")]),
    });
  });
});
