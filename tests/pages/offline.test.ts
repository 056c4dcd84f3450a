/** Without signal, in Chromium with the network cut: guide, acts, search and numbers are there, and nothing claims more than is so. */
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { eventsOfPerson } from "../../src/store/events.js";
import { book } from "../kit/hire.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import {
  executablePath,
  openSignal,
  openWindows,
  type Signal,
  type Windows,
  write,
} from "./browser.js";

describe.runIf(executablePath)("the hirer's phone without signal", () => {
  let windows: Windows;
  let service: WebHouse;
  let signal: Signal;
  beforeAll(async () => {
    service = await openWebHouse("curlew", ["Ann", "Ben", "Cat", "Dan"]);
    signal = await openSignal(service);
    windows = await openWindows();
  }, 60_000);
  afterAll(async () => {
    await windows?.close();
    await signal?.close();
    await service?.close();
  });

  const visited = async (person: number) => signal.visited(await windows.phone(), person);
  const cut = (page: Page, off: boolean) => signal.cut(page, off);

  it("after the first visit has the guide, the light sheet, the acts, who to ring and the search", async () => {
    const phone = await visited(0);
    await cut(phone, true);
    await phone.goto(`${signal.url}/chat/guide`);
    for (const number of ["tel:999", "tel:112", "tel:01632960100", "tel:01632960199"])
      expect(await phone.locator(`header a[href='${number}']`).isVisible()).toBe(true);
    await phone.locator("#kept", { hasText: "nobody has been told" }).waitFor();
    await windows.shot(phone, "phone-offline-guide");
    await phone.fill("#words", "how do i emty the loo");
    await phone.locator("#found a").first().waitFor();
    await windows.shot(phone, "phone-offline-search");
    expect(await phone.locator("#found a").first().textContent()).toMatch(/toilet/i);
    await phone.locator("#found a").first().click();
    await phone.locator("article:target").waitFor();
    expect(await phone.locator("article:target").isVisible()).toBe(true);

    await phone.locator("#part-lights > summary").click();
    const sheet = phone.locator(".sheet img");
    await sheet.scrollIntoViewIfNeeded();
    await phone.waitForFunction(
      () => (document.querySelector(".sheet img") as HTMLImageElement).naturalWidth > 0,
    );
    await windows.shot(phone, "phone-offline-sheet");
  }, 60_000);

  it("leads through a red light one act a screen, back with the browser's back, and says rang twice, then roadside", async () => {
    const phone = await visited(0);
    await cut(phone, true);
    await phone.goto(`${signal.url}/chat/steps`);
    await windows.shot(phone, "phone-steps");
    await phone.getByRole("link", { name: "Red oil can" }).first().click();
    const act = phone.locator(".act:target");
    await act.waitFor();
    expect(await phone.locator(".act:visible").count()).toBe(1);
    expect(await act.textContent()).toContain("Driving? Stop somewhere safe");
    await windows.shot(phone, "phone-steps-1");
    const seen: string[] = [];
    for (let n = 0; n < 20; n++) {
      seen.push((await act.textContent()) ?? "");
      const next = act.locator("a.next");
      const box = await next.boundingBox();
      expect(box?.height).toBeGreaterThanOrEqual(60);
      expect((box?.y ?? 0) + (box?.height ?? 0)).toBeLessThanOrEqual(740);
      if ((await next.textContent()) !== "Next") break;
      await next.click();
    }
    await windows.shot(phone, "phone-steps-last");
    expect(seen.length).toBeGreaterThan(4);
    expect(seen.at(-1)).toContain("rang us twice without an answer: ring roadside assistance");
    for (const text of seen) expect(text).not.toMatch(/alert|have told|been told|help is/i);
    await phone.goBack();
    expect(await act.textContent()).toBe(seen.at(-2));
  }, 60_000);

  it("opens the talk again from what is kept, says that nobody has been told, and offers from the guide", async () => {
    const phone = await visited(1);
    await write(phone, "what height is it");
    await phone
      .locator("#talk li.theirs", { hasText: /height/i })
      .last()
      .waitFor();
    // The talk is kept a moment after it changed.
    await phone.evaluate(async () => {
      while (!(await (await caches.match("/chat"))?.text())?.includes("what height is it"))
        await new Promise((again) => requestAnimationFrame(again));
    });
    await cut(phone, true);
    await phone.close();
    const page = await phone.context().newPage();
    await page.goto(`${signal.url}/chat`);
    await page.locator("#talk li.mine", { hasText: "what height is it" }).waitFor();
    await page.locator("#no-signal", { hasText: "No signal: nobody has been told." }).waitFor();
    // All of it stands above the line to write in, without scrolling.
    await page.waitForFunction(() => {
      const bottom = document.querySelector("#no-signal")?.getBoundingClientRect().bottom;
      const top = document.querySelector("#say")?.getBoundingClientRect().top;
      return bottom !== undefined && top !== undefined && bottom <= top;
    });
    await write(page, "red light like an oil can");
    await page.locator("#no-signal .offers a", { hasText: "oil pressure" }).waitFor();
    await windows.shot(page, "phone-offline-talk");
    expect(await page.locator("#queue").textContent()).toContain("nobody has been told yet");
    expect(await page.locator("#talk").textContent()).not.toContain("I have alerted");
    await write(page, "we are at the lay-by near the bridge");
    const before = Date.now();
    await cut(page, false);
    await page.locator("#talk li.mine", { hasText: "lay-by near the bridge" }).waitFor();
    await page.waitForFunction(() => document.querySelectorAll("#queue li").length === 0);
    expect(await page.locator("#no-signal").isVisible()).toBe(false);
    const mine = await page.locator("#talk li.mine .own").allTextContents();
    expect(mine).toEqual([
      "what height is it",
      "red light like an oil can",
      "we are at the lay-by near the bridge",
    ]);
    // The time of writing travels with it: by then there was no signal.
    const events = await eventsOfPerson(service.house.db, service.lane, "p2", 0);
    const written = events.filter((e) => e.kind === "in").map((e) => e.more.writtenAt ?? before);
    expect(written.length).toBe(3);
    for (const at of written.slice(1)) expect(at).toBeLessThan(before);
    expect([...written].sort((one, other) => one - other)).toEqual(written);
  }, 60_000);

  it("replaces what is kept when the book changes, and leaves nothing behind once the hire is over", async () => {
    const phone = await visited(2);
    const names = () => phone.evaluate(() => caches.keys());
    const [first] = await names();
    expect(await names()).toHaveLength(1);
    const { hash } = book;
    try {
      Object.assign(book, { hash: "another book" });
      await phone.reload();
      await phone.locator("#kept", { hasText: "works without signal" }).waitFor();
      const [second, ...more] = await names();
      expect(more).toEqual([]);
      expect(second).not.toBe(first);
    } finally {
      Object.assign(book, { hash });
    }
    const state = await service.house.laneState(service.lane);
    if (state?.kind !== "hire") throw new Error("the hire is gone");
    const now = service.house.clock.now();
    // A hire is not over while a matter of it is open.
    for (const { n } of state.hire.callouts)
      await service.house.file({
        key: `done ${n}`,
        lane: service.lane,
        receivedAt: now,
        body: { kind: "desk", by: "morag", act: { do: "done", callout: n, outcome: "by-advice" } },
      });
    await service.house.file({
      key: "ended",
      lane: service.lane,
      receivedAt: now,
      body: { kind: "booked", booking: { ...state.hire.booking, status: "cancelled" } },
    });
    await expect
      .poll(async () => {
        const after = await service.house.laneState(service.lane);
        return after?.kind === "hire" && after.hire.booking.status;
      })
      .toBe("cancelled");
    await phone.reload();
    await phone.locator(".over").waitFor();
    // The worker answers the page once it has looked.
    await phone.evaluate(async () => {
      while ((await caches.keys()).length > 0)
        await new Promise((again) => requestAnimationFrame(again));
    });
    await cut(phone, true);
    await expect(phone.goto(`${signal.url}/chat/guide`)).rejects.toThrow();
  }, 60_000);

  it("keeps at most 400 kB, compressed, for each van type", async () => {
    for (const van of ["wren", "plover", "curlew"]) {
      const own = await openWebHouse(van, ["Ann"]);
      try {
        const phone = await windows.phone();
        await phone.goto(own.links[0] ?? "");
        await phone.waitForURL("**/chat");
        const files = await phone.evaluate(async () => {
          const pack = (await (await fetch("/chat/pack")).json()) as { files: string[] };
          const texts = pack.files.map(async (f) => (await fetch(f)).text());
          return Promise.all(texts);
        });
        const gzip = files.reduce((n, f) => n + gzipSync(f).length, 0);
        // At the quality that a service has time for.
        const params = { [constants.BROTLI_PARAM_QUALITY]: 5 };
        const brotli = files.reduce((n, f) => n + brotliCompressSync(f, { params }).length, 0);
        if (process.env["SCREENSHOTS"]) console.log(van, files.length, { gzip, brotli });
        expect(gzip).toBeGreaterThan(100_000);
        expect(gzip).toBeLessThanOrEqual(400_000);
        expect(brotli).toBeLessThanOrEqual(400_000);
        await phone.context().close();
      } finally {
        await own.close();
      }
    }
  }, 300_000);

  it("complains of nothing", () => expect(windows.complaints).toEqual([]));
});
