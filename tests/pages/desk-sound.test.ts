/** The desk beside a bed, in real Chromium: every alert that would ring a phone is heard, on whichever page is open. */
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { after, readIso } from "../../src/calendar.js";
import type { ArrivalBody, DeskAct } from "../../src/post.js";
import { scriptClock } from "../kit/small-house.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import { executablePath, openWindows, signIn, type Windows } from "./browser.js";

describe.skipIf(!executablePath)("what an open page of the desk lets be heard", () => {
  const clock = scriptClock(readIso("2026-10-21T14:00+01:00"));
  let service: WebHouse;
  let windows: Windows;
  /** On duty until eight in the evening, at what waits. */
  let morag: Page;
  /** On duty from then, at the roster. */
  let callum: Page;
  let key = 0;
  const file = (body: ArrivalBody) =>
    service.house.file({ key: `t${++key}`, lane: service.lane, receivedAt: clock.now(), body });
  const staff = (by: string, act: DeskAct) => file({ kind: "desk", by, act });
  /** Open pages look again, as they do twice a minute. */
  const look = async () => {
    await staff("morag", { do: "note", note: "looks" });
    const seen = () => service.house.db.selectFrom("desk_sessions").select("seen_at").execute();
    await expect
      .poll(async () => (await seen()).every((s) => s.seen_at === clock.now()), { timeout: 10_000 })
      .toBe(true);
  };
  /** Lets minutes pass, and what is due then come. */
  const pass = async (minutes: number) => {
    clock.move(minutes - 1);
    await look();
    clock.move(1);
    await look();
  };
  /** The tones that a page has played: 880 for what is urgent, 587 for what is new. */
  const heard = (page: Page) =>
    page.evaluate(() => (document.body.dataset["heard"] ?? "").split(" ").filter(Boolean));
  const quiet = (page: Page) =>
    page.evaluate(() => {
      document.body.dataset["heard"] = "";
    });
  const rings = (page: Page) =>
    expect.poll(() => heard(page), { timeout: 10_000 }).toEqual(["880", "880", "880"]);

  async function listening(contact: string, path: string): Promise<Page> {
    const page = await signIn(await windows.desktop(), service.url, contact);
    await page.goto(`${service.url}${path}`);
    await page.click("#sound");
    await page.locator("#sound[aria-pressed=true]").waitFor();
    await page.evaluate(() => {
      const start = OscillatorNode.prototype.start;
      OscillatorNode.prototype.start = function (at) {
        document.body.dataset["heard"] += ` ${this.frequency.value}`;
        return start.call(this, at);
      };
    });
    // The tones of switching it on are over.
    await page.waitForTimeout(1200);
    await quiet(page);
    return page;
  }

  beforeAll(async () => {
    service = await openWebHouse("wren", ["Ann"], { clock });
    windows = await openWindows();
    morag = await listening("morag", "/desk");
    callum = await listening("callum", "/desk/roster");
  }, 60_000);
  afterAll(async () => {
    await windows?.close();
    await service?.close();
  });

  it("a danger rings once, and again every two minutes until somebody has it", async () => {
    const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    await file({ kind: "said", from, text: "my husband collapsed and is not breathing" });
    await morag.locator("article.card.danger").waitFor();
    for (const page of [morag, callum]) await rings(page);
    for (const page of [morag, callum]) {
      await page.waitForTimeout(1200);
      await quiet(page);
    }
    await pass(2);
    for (const page of [morag, callum]) await rings(page);
  }, 60_000);

  it("who promised to ring is reminded with sound; the others are not", async () => {
    await staff("callum", { do: "take", callout: 1 });
    await staff("callum", { do: "promise", callout: 1, at: after(clock.now(), 12) });
    await morag.getByText("with Callum").first().waitFor();
    await morag.waitForTimeout(1200);
    for (const page of [morag, callum]) await quiet(page);
    await pass(7);
    await rings(callum);
    expect(await heard(morag)).toEqual([]);
    await staff("callum", { do: "done", callout: 1, outcome: "advice" });
    await expect.poll(() => morag.locator("article.card").count()).toBe(0);
  }, 60_000);

  it("one's own test alert is heard when it comes", async () => {
    await callum.waitForTimeout(1200);
    await quiet(callum);
    clock.moveTo(readIso("2026-10-21T19:59+01:00"));
    await look();
    await pass(1);
    await rings(callum);
  }, 60_000);

  it("shows what was not delivered beside what met an error, without reload", async () => {
    const { db } = service.house;
    await db.updateTable("arrivals").set({ state: "failed" }).where("key", "=", "t1").execute();
    await pass(1);
    await morag.getByText("Met an error here").waitFor();
    await db
      .updateTable("sends")
      .set({ state: "undelivered", error: "refused: blocked" })
      .where("key", "=", "t1#1")
      .execute();
    await pass(1);
    await morag.getByText("refused: blocked").waitFor();
    expect(await morag.getByText("Met an error here").count()).toBe(1);
    await db.updateTable("arrivals").set({ state: "done" }).where("key", "=", "t1").execute();
    await pass(1);
    await expect.poll(() => morag.getByText("Met an error here").count()).toBe(0);
    expect(await morag.getByText("refused: blocked").count()).toBe(1);
  }, 60_000);

  it("a page that may make no notification does not say so, shows what comes, and sounds again after what took it away", async () => {
    const page = await windows.phone();
    await page.addInitScript(() => {
      // As on Android: allowed, but not from a page.
      class Notification {
        static permission = "granted";
        constructor() {
          throw new TypeError("Illegal constructor");
        }
      }
      const Own = AudioContext;
      class Kept extends Own {
        constructor() {
          super();
          Object.assign(window, { kept: this });
        }
      }
      Object.assign(window, { Notification, AudioContext: Kept });
      Object.defineProperty(document, "visibilityState", { get: () => "hidden" });
    });
    await signIn(page, service.url, "callum");
    const sound = () => page.locator("#sound").textContent();
    await page.click("#sound");
    await expect.poll(sound).toBe("Sound is on");
    const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    await file({ kind: "said", from, text: "red oil can light came on" });
    await page.locator("article.card").first().waitFor();
    expect(await page.locator("#line").isHidden()).toBe(true);
    await page.evaluate(() => (window as unknown as { kept: AudioContext }).kept.suspend());
    await expect.poll(sound).toBe("Sound is off: tap once");
    await page.click("h1");
    await expect.poll(sound).toBe("Sound is on");
    await service.house.db.deleteFrom("desk_sessions").where("contact", "=", "callum").execute();
    await file({ kind: "said", from, text: "hello, is anybody there" });
    await page.locator("#line", { hasText: "You are signed out" }).waitFor();
    expect(await page.locator("#line a").textContent()).toBe("Sign in");
    await page.context().close();
    await morag.waitForTimeout(1200);
  }, 60_000);

  it("a session that has ended is heard", async () => {
    await quiet(morag);
    await service.house.db.deleteFrom("desk_sessions").where("contact", "=", "morag").execute();
    await staff("morag", { do: "note", note: "looks" });
    await morag.locator("#line", { hasText: "You are signed out" }).waitFor();
    await rings(morag);
    expect(windows.complaints).toEqual([]);
  }, 60_000);
});
