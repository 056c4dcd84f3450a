/** New wordings lived through in Chromium, on a phone and a desktop, light and dark; axe finds nothing to mend. */
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { outcomeOf } from "../../src/store/arrivals.js";
import type { Change, Trial } from "../../src/wordings/changes.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import { executablePath, openWindows, signIn, type Windows } from "./browser.js";

const axe = readFileSync("node_modules/axe-core/axe.min.js", "utf8");
const oil = { outcome: "triage", entries: ["oil-pressure"], gravity: 1 } as const;
const changes: Change[] = [
  {
    text: "is there somewhere to get flumsticks on the way to the ferry, my wife left ours in the shop",
    want: "rubbish",
    before: { outcome: "choices", entries: ["rubbish", "first-aid", "kettle"], gravity: 4 },
    after: { outcome: "answer", entries: ["first-aid"], gravity: 4 },
    kind: "worse",
  },
  {
    text: "oil stick where",
    before: { ...oil, entries: [...oil.entries] },
    after: { ...oil, entries: ["engine-fault"] },
    kind: "other",
  },
];
const trial: Trial = {
  warm: () => {},
  ask: () => Promise.resolve({ looked: 400, of: 3852, changes }),
  close: () => Promise.resolve(),
};

describe.skipIf(!executablePath)("the pages for a quiet morning", () => {
  let windows: Windows;
  let service: WebHouse;
  beforeAll(async () => {
    service = await openWebHouse("curlew", ["Ann", "Ben"], { trial });
    windows = await openWindows();
    const { house, lane } = service;
    const texts = [
      "where did the flumsticks go",
      "flumsticks where please",
      "so where did you put the flumsticks, Ben wants them, ring 07700 900123",
      "can you recommend a tailor in town",
      "how do i emptie the toielt casette?",
    ];
    for (const [n, text] of texts.entries())
      await house.file({
        key: `p${n}`,
        lane,
        receivedAt: house.clock.now(),
        body: { kind: "said", from: { person: "p1", via: { channel: "web", to: "p1" } }, text },
      });
    for (let n = 0; n < 1000 && !(await outcomeOf(house.db, `p${texts.length - 1}`)); n++)
      await new Promise((resolve) => setTimeout(resolve, 20));
  }, 60_000);
  afterAll(async () => {
    await windows?.close();
    await service?.close();
  });
  async function examine(page: Page, name: string): Promise<void> {
    await windows.shot(page, `desk-${name}`);
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
  const each = async (path: string, name: string) => {
    for (const colorScheme of ["light", "dark"] as const)
      for (const [size, open] of Object.entries({
        phone: windows.phone,
        desktop: windows.desktop,
      })) {
        const page = await signIn(await open({ colorScheme }), service.url);
        await page.goto(`${service.url}${path}`);
        await examine(page, `${name}-${size}-${colorScheme}`);
        await page.context().close();
      }
  };

  it("numbers are told by week and by van, and as CSV", { timeout: 120_000 }, async () => {
    await each("/desk/numbers", "numbers");
    const desk = await signIn(await windows.desktop(), service.url);
    await desk.goto(`${service.url}/desk/numbers`);
    expect(await desk.textContent("tbody")).toContain("1 of 5 (20 %)");
    const csv = await desk.evaluate(async () => (await fetch("/desk/numbers.csv")).text());
    expect(csv.split("\r\n")[1]).toMatch(/^\d{4}-\d\d-\d\d,SX26 ABC,5,5,1,1,1,/);
  });

  it("accounts, one's password and who did what fit every window", {
    timeout: 240_000,
  }, async () => {
    const desk = await signIn(await windows.desktop(), service.url);
    await desk.goto(`${service.url}/desk/accounts`);
    await desk.getByRole("button", { name: "Make it" }).click();
    await desk.waitForSelector(".made code");
    await examine(desk, "account-made-desktop");
    await each("/desk/accounts", "accounts");
    await each("/desk/accounts/sure?contact=callum&do=end", "account-sure");
    await each("/desk/trail", "trail");
    await each("/desk/password", "password");
  });

  it("a group becomes a wording by two presses, and is taken back by one", {
    timeout: 120_000,
  }, async () => {
    await each("/desk/wordings", "wordings");
    const desk = await signIn(await windows.desktop(), service.url);
    const phone = await signIn(await windows.phone({ colorScheme: "dark" }), service.url);
    for (const page of [phone, desk]) {
      await page.goto(`${service.url}/desk/wordings`);
      const group = page.locator("li.card", { hasText: "flumsticks" });
      expect(await group.locator("h2").textContent()).toMatch(/^3 times/);
      await group.getByRole("button", { name: "Another entry" }).click();
      await page.selectOption("select[name=entry]", "first-aid");
      await page.getByRole("button", { name: "See what would change" }).click();
      await page.waitForSelector("text=Keep it?");
      await examine(page, page === desk ? "wording-look-desktop" : "wording-look-phone");
    }
    await desk.getByRole("checkbox").check();
    await desk.getByRole("button", { name: "Keep it" }).click();
    await desk.waitForURL(/#kept/);
    await examine(desk, "wordings-kept-desktop");
    await phone.goto(`${service.url}/desk/wordings`);
    await examine(phone, "wordings-kept-phone");
    await desk.getByRole("button", { name: /^Take back/ }).click();
    await desk.waitForSelector("text=None yet.");
    expect(windows.complaints).toEqual([]);
  });
});
