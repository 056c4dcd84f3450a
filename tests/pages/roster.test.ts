/** The roster in real Chromium: on a phone and on a desktop, light and dark, by keyboard, and for a screen reader. */
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readIso } from "../../src/calendar.js";
import { firmLane } from "../../src/lanes.js";
import { scriptClock } from "../kit/small-house.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import { executablePath, openWindows, signIn, type Windows } from "./browser.js";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core"), "utf8");

describe.skipIf(!executablePath)("the roster in the browser", () => {
  /** A Wednesday in the week before the clocks go back. */
  const clock = scriptClock(readIso("2026-10-21T14:00+01:00"));
  let windows: Windows;
  let service: WebHouse;
  beforeAll(async () => {
    service = await openWebHouse("wren", ["Ann"], { clock });
    windows = await openWindows();
  }, 60_000);
  afterAll(async () => {
    await windows?.close();
    await service?.close();
  });
  /** Breaches of WCAG 2.2 A and AA that axe-core finds, and whether the page is wider than its window. */
  async function faults(page: Page): Promise<string[]> {
    await page.evaluate(axeSource);
    const found = await page.evaluate(async () => {
      type Axe = {
        run(o: object): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }>;
      };
      const axe = (window as unknown as { axe: Axe }).axe;
      const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
      const { violations } = await axe.run({ runOnly: { type: "tag", values: tags } });
      return violations.map((v) => `${v.id}: ${v.nodes[0]?.html ?? ""}`);
    });
    const wide = await page.evaluate(
      () => document.documentElement.scrollWidth - window.innerWidth,
    );
    return wide > 0 ? [...found, `wider than its window by ${wide}`] : found;
  }

  it.each([
    ["phone", "light"],
    ["phone", "dark"],
    ["desktop", "light"],
    ["desktop", "dark"],
  ] as const)(
    "is whole on a %s, %s",
    async (size, colorScheme) => {
      const page = await signIn(await windows[size]({ colorScheme }), service.url, "morag");
      await page.goto(`${service.url}/desk/roster`);
      for (const summary of await page.locator("summary").all()) await summary.click();
      expect(await faults(page)).toEqual([]);
      await windows.shot(page, `roster-${size}-${colorScheme}`);
      await page.uncheck('[name="days-0"][value="wed"]');
      await page.click("form:has([value=weekly]) button");
      await page.waitForSelector("text=Before it is saved");
      expect(await faults(page)).toEqual([]);
      await page.goto(`${service.url}/desk/roster/contacts/isla`);
      expect(await faults(page)).toEqual([]);
      await page.context().close();
    },
    60_000,
  );

  it("is changed by keyboard alone; a gap wants its tick", async () => {
    const page = await signIn(await windows.desktop(), service.url, "morag");
    await page.goto(`${service.url}/desk/roster`);
    await page.locator("summary", { hasText: "sick or away" }).focus();
    await page.keyboard.press("Enter");
    const form = page.locator("details[open] form");
    await form.locator("[name=from]").fill("2026-10-22T07:00");
    await form.locator("[name=to]").fill("2026-10-22T21:00");
    await form.locator("button").focus();
    await page.keyboard.press("Enter");
    await page.waitForSelector("text=Nobody is on");
    await page.locator("button.main").focus();
    await page.keyboard.press("Enter");
    // The browser itself holds the form back.
    expect(page.url()).toContain("/desk/roster/look");
    await page.locator("[name=gaps]").focus();
    await page.keyboard.press("Space");
    await page.locator("button.main").focus();
    await page.keyboard.press("Enter");
    await page.waitForSelector("text=Saved. Call orders follow it from now on.");
    expect((await service.house.firmNow()).version).toBe(1);
    await page.context().close();
  }, 60_000);

  it("an unanswered test alert turns red on an open page by itself, and goes when it is answered", async () => {
    const desk = await signIn(await windows.desktop(), service.url, "morag");
    const phone = await signIn(await windows.phone(), service.url, "callum");
    const passes = (to: string) => {
      clock.moveTo(readIso(to));
      return service.house.file({
        key: to,
        lane: firmLane,
        receivedAt: clock.now(),
        body: { kind: "opened" },
      });
    };
    await passes("2026-10-21T20:00+01:00");
    await phone.waitForSelector("text=Answer the test alert by 20:10");
    await passes("2026-10-21T20:10+01:00");
    await desk.waitForSelector("[data-alarm]");
    expect(await desk.textContent("[data-alarm]")).toContain("Callum has not answered");
    await windows.shot(desk, "duty-red");
    expect(await faults(desk)).toEqual([]);
    await phone.waitForSelector("[data-alarm]");
    await windows.shot(phone, "duty-red-phone");
    await phone.click("text=I am here");
    await phone.waitForSelector("#duty");
    await desk.waitForFunction(() => document.querySelector("[data-alarm]") === null);
    expect(windows.complaints).toEqual([]);
  }, 60_000);
});
