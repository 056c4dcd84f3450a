/** Notices, answers and the calendar lived through in Chromium: staff on a desktop, a hirer on a phone. */
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { atWall, type Instant, instantOf } from "../../src/calendar.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import { executablePath, openWindows, signIn, type Windows } from "./browser.js";

const axe = readFileSync("node_modules/axe-core/axe.min.js", "utf8");

describe.skipIf(!executablePath)("care on the pages", () => {
  let windows: Windows;
  let service: WebHouse;
  let now: Instant;
  beforeAll(async () => {
    // Picked up the day before, 2 June at 12:00; the first check is due on the 5th at 08:00.
    now = atWall("2026-06-03", "12:00", "Europe/London");
    service = await openWebHouse("wren", ["Ann", "Ben"], { clock: { now: () => now } });
    windows = await openWindows();
  }, 60_000);
  afterAll(async () => {
    await windows?.close();
    await service?.close();
  });
  /** Lets the time come, and what is due then happen. */
  async function passTo(day: string, clock: string): Promise<void> {
    const to = atWall(day, clock, "Europe/London");
    for (let at = await service.house.nextAt(); at !== undefined && at <= to; ) {
      now = instantOf(Math.max(now, at));
      await service.house.runUntilIdle();
      at = await service.house.nextAt();
    }
    now = to;
  }
  async function examine(page: Page, name: string): Promise<void> {
    await windows.shot(page, name);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(over, name).toBeLessThanOrEqual(0);
    await page.evaluate(axe);
    const found = await page.evaluate(async () => {
      const { axe: a } = window as unknown as {
        axe: { run(): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };
      };
      return (await a.run()).violations.map((v) => `${v.id}: ${v.nodes[0]?.html.slice(0, 160)}`);
    });
    expect([name, found]).toEqual([name, []]);
  }

  it("a check that nobody answers is rung about, and the list says who has it", async () => {
    await service.house.stop();
    await passTo("2026-06-07", "09:00");
    service.house.start();
    const desk = await signIn(await windows.desktop(), service.url);
    expect(await desk.textContent(".ringtoday")).toContain("with Callum");
    await desk.goto(`${service.url}/desk/replies`);
    await examine(desk, "answers-desktop");
    const table = (await desk.textContent("main")) ?? "";
    expect(table).toMatch(/First check.*oil mark, tyres, coolant/s);
    const phone = await signIn(await windows.phone({ colorScheme: "dark" }), service.url);
    await phone.goto(`${service.url}/desk/replies`);
    await examine(phone, "answers-phone-dark");
    await desk.fill("[name=note]", "oil between, all well");
    await desk.click("text=Rung");
    await expect
      .poll(async () => {
        await desk.goto(`${service.url}/desk/replies`);
        return desk.textContent("main");
      })
      .toContain("Nobody is to be rung today");
  }, 60_000);

  it("a notice is written, looked at, sent, read and seen", async () => {
    const desk = await signIn(await windows.desktop(), service.url);
    await desk.click("nav summary");
    await desk.click("nav >> text=Notices");
    await desk.click("text=Write a notice");
    await examine(desk, "notice-write-desktop");
    await desk.fill("[name=title]", "Storm tonight");
    await desk.fill("[name=text]", "Take the awning in now.\nPark away from trees and the shore.");
    await desk.selectOption("[name=region]", "gb-sct");
    await desk.click("text=Look at whom it reaches");
    await examine(desk, "notice-look-desktop");
    const small = await signIn(await windows.phone(), service.url);
    await small.goto(`${service.url}/desk/notices/new`);
    await examine(small, "notice-write-phone");
    await desk.click("text=Send to those ticked");
    await desk.waitForURL(/notices\/[\w-]+$/);
    const hirer = await windows.phone();
    await hirer.goto(service.links[0] ?? "");
    await hirer.waitForSelector("text=Park away from trees");
    await windows.shot(hirer, "notice-hirer");
    await hirer.click("button:has-text('Seen')");
    await hirer.waitForSelector("text=We see that you have read it.");
    await expect
      .poll(async () => {
        await desk.reload();
        return desk.textContent("main");
      })
      .toContain("Seen by 1 of 1");
    await examine(desk, "notice-seen-desktop");
  }, 60_000);

  it("a hirer gets the calendar link on their page", async () => {
    for (const colorScheme of ["light", "dark"] as const) {
      const hirer = await windows.phone({ colorScheme });
      await hirer.goto(service.links[1] ?? "");
      await hirer.waitForSelector("#talk");
      await hirer.click("text=Reminders in my calendar");
      await examine(hirer, `calendar-offer-${colorScheme}`);
      await hirer.click("text=Make my calendar link");
      await hirer.waitForSelector("code");
      await examine(hirer, `calendar-link-${colorScheme}`);
      const path = /\/calendar\/\S+/.exec((await hirer.textContent("code")) ?? "")?.[0] ?? "";
      const file = await hirer.request.get(service.url + path);
      expect(await file.text()).toMatch(/^BEGIN:VCALENDAR/);
    }
    expect(windows.complaints).toEqual([]);
  }, 60_000);
});
