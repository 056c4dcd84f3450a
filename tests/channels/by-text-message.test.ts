/**
 * A whole story over HTTP: a hirer with nothing but text messages, and a duty person with nothing but a telephone.
 * The two example providers stand between; they share no code with the service and check every post of it.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type ExampleGateway, openExampleGateway } from "../../scripts/examples/gateway.js";
import { type Alert, type ExampleHook, openExampleHook } from "../../scripts/examples/hook.js";
import { instantOf, after as later } from "../../src/calendar.js";
import type { Book } from "../../src/knowledge/book.js";
import { quietLog } from "../../src/log.js";
import { openService, type Service } from "../../src/open-service.js";
import type { HireId, LaneId } from "../../src/post.js";
import { notDelivered } from "../../src/store/sends.js";
import { bookingOf } from "../kit/booking.js";
import { book as real, matcher as realMatcher } from "../kit/hire.js";
import { until, untilTrue } from "../kit/until.js";

const secret = `whsec_${Buffer.alloc(32, 3).toString("base64")}`;
const other = `whsec_${Buffer.alloc(32, 4).toString("base64")}`;
const ann = "+447700900500";
const lane = "hire:sms1" as LaneId;
/** The demo firm, with a telephone for everybody, and never a night: the story is the same at any hour. */
const contacts = Object.fromEntries(
  Object.entries(real.firm.contacts).map(([id, c]) => [id, { ...c, hook: c.kind === "staff" }]),
);
const book: Book = {
  ...real,
  firm: { ...real.firm, contacts, night: { from: "12:00", to: "12:00" } },
};

let folder: string;
let service: Service;
let hook: ExampleHook;
let gateway: ExampleGateway;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "passing-place-text-"));
  const options = { service: () => service.url, print: () => {} };
  hook = await openExampleHook({ ...options, secret });
  gateway = await openExampleGateway({ ...options, secret: other });
  service = await openService(
    {
      port: 0,
      host: "127.0.0.1",
      publicUrl: "http://127.0.0.1",
      databaseFile: join(folder, "test.sqlite"),
      logLevel: "silent",
      deskPasswords: { morag: "four-plain-words" },
      hook: { url: hook.url, secret, allowInternal: true },
      gateway: { url: gateway.url, secret: other, allowInternal: true },
    },
    { book, matcher: { ...realMatcher, book }, log: quietLog },
  );
  const now = instantOf(Date.now());
  await service.house.makeHire({
    hire: "sms1" as HireId,
    van: { registration: "SX26 WRN", type: "wren" },
    pickupAt: later(now, -60),
    returnAt: later(now, 5 * 24 * 60),
    zone: "Europe/London",
    region: "gb",
    lang: "en",
    surname: "Stone",
    status: "booked",
    people: [{ id: "p1", name: "Ann", booker: true, phone: "07700 900500" }],
  });
});
afterAll(async () => {
  await service?.close();
  await hook?.close();
  await gateway?.close();
  rmSync(folder, { recursive: true, force: true });
});

const told = (pattern: RegExp, since = 0) =>
  until(() => gateway.texts.slice(since).find((t) => t.to === ann && pattern.test(t.text)));
const rung = (pattern: RegExp): Promise<Alert> =>
  until(() => hook.alerts.find((a) => pattern.test(a.text)));

describe("by text message and telephone", () => {
  it("a red light is told, asked about by number, rung to the duty person, taken by telephone, and told so", async () => {
    expect(await gateway.send(ann, "red light just came on looks like an oil can")).toBe(200);
    const first = await told(/oil pressure/);
    expect(first.safety).toBe(true);
    expect(first.text).toMatch(/^Driving\? Stop somewhere safe/);
    expect(first.text).toMatch(/\/pictures\/light-[a-z-]+\.svg/);

    const alert = await rung(/^STOP: Red oil can/);
    expect(alert).toMatchObject({ ring: true, severity: "stop", hire: "sms1" });
    expect(alert.contact.phone).toMatch(/^\+447700900\d{3}$/);
    expect(alert.say).toMatch(/Press 1: I take it\.$/);

    await told(/safe place to wait\?\nReply 1 for Safe place, 2 for Not safe\.$/);
    let seen = gateway.texts.length;
    await gateway.send(ann, "1");
    const needs = await told(/for None of these\.\nYou can send several/, seen);
    seen = gateway.texts.length;
    await gateway.send(ann, /(\d) for None of these/.exec(needs.text)?.[1] ?? "");
    await told(/Reply 1 for Oil, a trail or a puddle, 2 for Nothing/, seen);

    seen = gateway.texts.length;
    expect(await hook.answer(alert, "take")).toBe(200);
    expect(await hook.answer(alert, "take")).toBe(200);
    const { name } = alert.contact;
    await told(new RegExp(`^${name} has read this and has it now\\.$`), seen);
    const state = await service.house.laneState(lane);
    expect(state).toMatchObject({
      kind: "hire",
      hire: { callouts: [{ n: 1, state: "with", with: alert.contact.id, severity: "stop" }] },
    });
  });

  it("what the hirer writes next is passed on by text and does not ring", async () => {
    await gateway.send(ann, "thank you, we wait in the cafe");
    const passed = await rung(/wait in the cafe/);
    expect(passed).toMatchObject({ ring: false, keys: [], hire: "sms1", callout: 1 });
  });

  it("a number that was not on offer is said to be unknown, an old text answers what it saw", async () => {
    let seen = gateway.texts.length;
    await gateway.send(ann, "9");
    await told(/^"9" answers nothing that I ask now/, seen);
    seen = gateway.texts.length;
    const before = new Date(Date.now() - 60 * 60_000).toISOString();
    await gateway.send(ann, "1", { writtenAt: before });
    // Nothing had been asked an hour ago: it is not taken as an answer to a later question.
    await told(/^"1" answers nothing that I ask now/, seen);
  });

  it("a danger has the emergency number in its first line and rings everybody at once", async () => {
    const seen = gateway.texts.length;
    await gateway.send(ann, "smoke is pouring out of the dashboard");
    const danger = await told(/999/, seen);
    expect(danger.text.split("\n")[0]).toContain("999 or 112");
    expect(danger.safety).toBe(true);
    for (const id of ["morag", "callum", "isla"])
      await until(() =>
        hook.alerts.find((a) => a.contact.id === id && a.severity === "danger" && a.ring),
      );
  });

  it("what the network could not deliver is shown as not delivered", async () => {
    const message = gateway.texts.at(-1);
    if (!message) throw new Error("nothing was sent");
    expect(await gateway.fail(message)).toBe(200);
    const lost = await until(async () => (await notDelivered(service.house.db))[0]);
    expect(lost.error).toBe("refused: no such number");
    expect(lost.send.to).toEqual({ channel: "gateway", to: ann });
  });

  it("a number that nobody knows is told how to reach the firm", async () => {
    const stranger = "+447700900999";
    await gateway.send(stranger, "hello do you have a van for saturday");
    const text = await until(() => gateway.texts.find((t) => t.to === stranger));
    expect(text.text).toContain("for people who have one of our vans");
  });

  it("a wrong number that answered is a stranger's once the booking has the right one", async () => {
    const wrong = "+447700900800";
    const lane2 = "hire:sms2" as LaneId;
    const now = instantOf(Date.now());
    await service.house.makeHire(
      bookingOf({
        ...{ hire: "sms2" as HireId, pickupAt: later(now, -60), returnAt: later(now, 1_440) },
        people: [{ id: "p1", name: "Cat", booker: true, phone: wrong }],
      }),
    );
    const people = async () => {
      const state = await service.house.laneState(lane2);
      return state?.kind === "hire" ? state.hire.people : [];
    };
    await untilTrue(async () => (await people()).length === 1);
    await gateway.send(wrong, "who is this?");
    await untilTrue(async () => (await people())[0]?.reached.length === 1);
    const change = { people: [{ name: "Cat", phone: "07700 900801" }] };
    const body = { kind: "changed", by: "morag", change } as const;
    await service.house.file({ key: "put right", lane: lane2, receivedAt: now, body });
    await untilTrue(async () => (await people())[0]?.reached.length === 0);
    await gateway.send(wrong, "please stop writing to me");
    const told = await until(() =>
      gateway.texts.find((t) => t.to === wrong && t.text.includes("for people who have one")),
    );
    expect(told).toBeDefined();
    expect((await people())[0]?.reached).toEqual([]);
  });

  it("a post with another secret is refused on both sides", async () => {
    const stranger = await openExampleGateway({
      secret,
      service: () => service.url,
      print: () => {},
    });
    expect(await stranger.send(ann, "hello")).toBe(401);
    await stranger.close();
    const answer = await fetch(hook.url, { method: "POST", body: "{}" });
    expect(answer.status).toBe(401);
  });
});
