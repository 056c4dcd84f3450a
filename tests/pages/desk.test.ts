/** The desk's pages in Chromium, as one person uses them: keyboard, two at once, a phone of 320 px, and nothing that axe names. */
import axe from "axe-core";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { after as later } from "../../src/calendar.js";
import type { HireId } from "../../src/post.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import { executablePath, openWindows, signIn, type Windows } from "./browser.js";

describe.skipIf(!executablePath)("the desk, in the browser", () => {
  let service: WebHouse;
  let windows: Windows;
  let morag: Page;

  beforeAll(async () => {
    service = await openWebHouse("curlew");
    const { house } = service;
    const now = house.clock.now();
    const booking = await vi.waitFor(async () => {
      const state = await house.laneState(service.lane);
      if (state?.kind !== "hire") throw new Error("no hire yet");
      return state.hire.booking;
    });
    const next = { hire: "h2" as HireId, surname: "MacKenzie-Hawthorn-Farquharson" };
    await house.makeHire({ ...booking, ...next, pickupAt: later(now, 60) });
    const cut = { kind: "changed", by: "callum", change: { returnAt: later(now, -90) } } as const;
    await house.file({ key: "cut", lane: service.lane, receivedAt: now, body: cut });
    const text = "red oil can light";
    const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    const body = { kind: "said", from, text } as const;
    await house.file({ key: "says", lane: service.lane, receivedAt: now, body });
    windows = await openWindows();
    morag = await signIn(await windows.desktop(), service.url);
  }, 90_000);
  afterAll(async () => {
    await windows?.close();
    await service?.close();
  });

  it("a step that one marks is seen by the other without reload, with name and time", async () => {
    const callum = await signIn(await windows.desktop(), service.url, "callum");
    for (const page of [morag, callum]) await page.goto(`${service.url}/desk/today`);
    await callum.evaluate(() => Object.assign(window, { same: true }));
    await morag.getByRole("button", { name: "SX26 ABC: cleaned" }).first().click();
    await callum.locator("#board .done", { hasText: "cleaned" }).getByText("Morag").waitFor();
    expect(await callum.evaluate(() => "same" in window)).toBe(true);
    expect(await morag.evaluate(() => location.pathname)).toBe("/desk/today");
    await callum.context().close();
  }, 60_000);

  it("who looks at the board sees at once that a danger waits", async () => {
    await morag.goto(`${service.url}/desk/today`);
    const { house, lane } = service;
    const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    const body = { kind: "said", from, text: "there is smoke coming out of the bonnet" } as const;
    await house.file({ key: "smoke", lane, receivedAt: house.clock.now(), body });
    await morag.locator("#waiting", { hasText: "danger to life" }).waitFor();
  }, 60_000);

  it("a danger is seen and heard on whichever page is open", async () => {
    const page = await signIn(await windows.desktop(), service.url, "callum");
    await page.goto(`${service.url}/desk/roster`);
    await page.click("#sound");
    await page.locator("#sound[aria-pressed=true]").waitFor();
    await page.evaluate(() => {
      const make = AudioContext.prototype.createOscillator;
      AudioContext.prototype.createOscillator = function () {
        document.body.dataset["heard"] = "yes";
        return make.call(this);
      };
    });
    const way = page.locator("#way-waits");
    const before = Number(await way.getAttribute("data-urgent"));
    expect(await page.locator("body").getAttribute("data-heard")).toBeNull();
    const { house, lane } = service;
    const from = { person: "p2", via: { channel: "web", to: "p2" } } as const;
    const body = { kind: "said", from, text: "somebody fell and does not wake up" } as const;
    await house.file({ key: "fell", lane, receivedAt: house.clock.now(), body });
    await page.locator(`#way-waits[data-urgent="${before + 1}"]`).waitFor();
    expect(await way.textContent()).toContain("the worst: danger to life");
    await page.locator("body[data-heard=yes]").waitFor();
    await page.context().close();
  }, 60_000);

  it("a hire is found and its call written down with the keyboard alone", async () => {
    await morag.goto(`${service.url}/desk/vans`);
    // A letter alone is no shortcut: who speaks to their computer writes it.
    await morag.keyboard.press("/");
    expect(await morag.evaluate(() => document.activeElement?.tagName)).toBe("BODY");
    await morag.keyboard.press("Control+/");
    const started = Date.now();
    await morag.keyboard.type("stoen");
    await morag.locator("#found a", { hasText: "Stone" }).first().waitFor();
    console.log(`found ${Date.now() - started} ms after the first letter`);
    const box = await morag.locator("#found").boundingBox();
    expect(box?.x).toBeGreaterThanOrEqual(0);
    expect((box?.x ?? 0) + (box?.width ?? 0)).toBeLessThanOrEqual(1440);
    await morag.locator("#found a", { hasText: "Write down a call" }).first().press("Enter");
    await morag.waitForURL(/\/call/);
    expect(await morag.evaluate(() => document.activeElement?.getAttribute("name"))).toBe("about");
    await morag.keyboard.type("where is the level ramp");
    await morag.keyboard.press("Tab");
    await morag.keyboard.press("Tab");
    await morag.keyboard.press("Tab");
    await morag.keyboard.press("Enter");
    await morag.waitForURL(/\/desk\/hires\/h1$/);
    await morag.getByText("telephone call of Ann: where is the level ramp (answered)").waitFor();
  }, 60_000);

  it("a file is taken into its field, also one that an older table program wrote", async () => {
    await morag.goto(`${service.url}/desk/bookings`);
    const buffer = Buffer.from("reference,surname\r\nR-1,M\xfcller\r\n", "latin1");
    await morag.setInputFiles("input[type=file]", { name: "a.csv", mimeType: "text/csv", buffer });
    await expect.poll(() => morag.locator("#csv").inputValue()).toContain("Müller");
  }, 60_000);

  const paths = [
    ...["/desk", "/desk/today", "/desk/hires", "/desk/hires/new", "/desk/hires/h1"],
    ...["/desk/hires/h1/call", "/desk/hires/h1/change", "/desk/hires/h1/sheet", "/desk/vans"],
    ...["/desk/vans/SX26%20ABC", "/desk/replies", "/desk/notices", "/desk/roster"],
    ...["/desk/bookings", "/desk/find?q=stone", "/desk/hires/h1/pickup", "/desk/hires/nobody"],
  ];
  async function look(page: Page): Promise<string[]> {
    await page.evaluate(() => {
      for (const details of document.querySelectorAll("details")) details.open = true;
    });
    const wide = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    await page.evaluate(axe.source);
    const found = await page.evaluate(async () => {
      const { axe: inPage } = window as unknown as { axe: typeof axe };
      const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
      const { violations } = await inPage.run(document, { runOnly: { type: "tag", values: tags } });
      return violations.map((v) => `${v.id}: ${v.nodes[0]?.html.slice(0, 160) ?? ""}`);
    });
    return wide > 0 ? [...found, `${wide} px too wide`] : found;
  }
  it.each([
    ["light", 320, 740],
    ["dark", 1440, 900],
  ] as const)(
    "every page fits, and axe names nothing: %s, %i px",
    async (colorScheme, width, height) => {
      const size = width < 500 ? windows.phone : windows.desktop;
      const page = await signIn(
        await size({ colorScheme, viewport: { width, height } }),
        service.url,
      );
      const found: Record<string, string[]> = {};
      for (const path of paths) {
        await page.goto(`${service.url}${path}`);
        const wrong = await look(page);
        if (wrong.length > 0) found[path] = wrong;
      }
      await page.goto(`${service.url}/desk/hires/h1/change`);
      await page.getByRole("button", { name: "Show what cancelling changes" }).click();
      await page.getByRole("button", { name: "Keep this change" }).waitFor();
      const preview = await look(page);
      if (preview.length > 0) found["preview"] = preview;
      expect(found).toEqual({});
      await page.context().close();
    },
    300_000,
  );

  it("complains about nothing in the console", () => {
    expect(windows.complaints).toEqual([]);
  });
});
