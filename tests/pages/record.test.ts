/** A handover at the van on a phone: few steps, nothing lost without signal, and what is odd is asked about. */
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { cameraPhoto, enterDesk } from "../kit/desk.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import { executablePath, openWindows, signIn, type Windows } from "./browser.js";

describe.skipIf(!executablePath)("a record at the van", () => {
  let windows: Windows;
  let service: WebHouse;
  const folder = mkdtempSync(join(tmpdir(), "passing-place-photos-"));
  const photo = join(folder, "photo.jpg");
  beforeAll(async () => {
    service = await openWebHouse("wren");
    windows = await openWindows();
    writeFileSync(photo, await cameraPhoto());
  }, 60_000);
  afterAll(async () => {
    await windows?.close();
    await service?.close();
    rmSync(folder, { recursive: true, force: true });
  });
  const chip = (page: Page, legend: string, label: string) =>
    page
      .getByRole("group", { name: legend })
      .getByRole("radio", { name: label, exact: true })
      .check();
  const hire = async () => {
    const lane = await service.house.laneState(service.lane);
    return lane?.kind === "hire" ? lane.hire : undefined;
  };

  it("is made with one thumb, survives a lost signal and a closed page, and asks about what was left out", async () => {
    const phone = await signIn(await windows.phone(), service.url);
    await phone.goto(`${service.url}/desk/hires/h1`);
    await phone.click("text=Write the pick-up record");
    await phone.waitForSelector("#record");
    await windows.shot(phone, "record-empty");
    await phone.fill("[name=odometer]", "57,340");
    await chip(phone, "Fuel", "Full");
    await phone.locator("#kept", { hasText: "Kept at the desk" }).waitFor();

    // The signal goes; the van goes on.
    await phone.context().setOffline(true);
    await chip(phone, "Exhaust fluid", "6 eighths");
    await chip(phone, "Oil on the dipstick", "Between");
    await phone.setInputFiles('[data-side="front"] input[capture]', photo);
    await phone.locator("text=On this phone, not yet sent").waitFor();
    await phone.locator("#kept", { hasText: "No signal" }).waitFor();
    await windows.shot(phone, "record-no-signal");
    await phone.close();
    const again = await (await phone.context()).newPage();
    await again.context().setOffline(false);
    await again.goto(`${service.url}/desk/hires/h1/pickup`);
    await again.locator('[data-side="front"] [data-photo]').waitFor();
    expect(await again.inputValue("[name=odometer]")).toBe("57,340");
    expect(await again.isChecked("[name=fluid][value='6']")).toBe(true);
    expect(await again.isChecked("[name=oil][value=between]")).toBe(true);

    await again.fill("[name=keys]", "1");
    await again.getByText("All of the list is there").click();
    for (const tick of await again
      .locator(".yes input[name^=point-], .yes input[name^=driver-]")
      .all())
      await tick.check();
    await again.fill("[data-photo] input[name^=mark-]", "scratch, 10 cm, bumper");
    await windows.shot(again, "record-filled");
    await again.getByRole("button", { name: "Keep pick-up record" }).click();
    // Photos of the other sides are missing: it is asked about, once.
    const ask = again.locator("#ask");
    await ask.waitFor();
    expect(await ask.textContent()).toContain("left side; rear");
    await windows.shot(again, "record-asks");
    await ask.locator("input").check();
    await again.getByRole("button", { name: "Keep pick-up record" }).click();
    await again.waitForURL("**/desk/hires/h1");
    const kept = (await hire())?.pickup;
    expect(kept).toMatchObject({
      by: "morag",
      unit: "miles",
      keys: 1,
      drivers: ["Ann", "Ben"],
      photos: [{ side: "front", takenAt: "2026-06-03T10:12:05", mark: "scratch, 10 cm, bumper" }],
      reading: { fuel: 1, fluid: 0.75, oil: "between", by: "Morag" },
    });
    // 57,340 international miles of 1,609.344 m.
    expect(kept?.reading.odometerKm).toBeCloseTo(92_279.8, 1);
    expect(await again.evaluate(() => localStorage.length)).toBe(0);
    expect(windows.complaints).toEqual([]);
  }, 60_000);

  it("loses no photo where the phone's storage is full, and says that the page has to stay open", async () => {
    const phone = await windows.phone();
    await phone.addInitScript(() => {
      Storage.prototype.setItem = () => {
        throw new DOMException("full", "QuotaExceededError");
      };
    });
    await signIn(phone, service.url);
    await phone.goto(`${service.url}/desk/hires/h1/return`);
    await phone.context().setOffline(true);
    await phone.setInputFiles('[data-side="front"] input[capture]', photo);
    await phone.locator("text=On this phone, not yet sent").waitFor();
    await phone.locator("#kept", { hasText: "do not close this one" }).waitFor();
    await phone.context().setOffline(false);
    await phone.locator('[data-side="front"] [data-photo]').waitFor();
    expect(await phone.locator(".waits").count()).toBe(0);
    expect(windows.complaints).toEqual([]);
  }, 60_000);

  it("goes on where it was once its writer has signed in again on a page of its own", async () => {
    const phone = await signIn(await windows.phone(), service.url);
    await phone.goto(`${service.url}/desk/hires/h1/return`);
    const context = phone.context();
    const csrf = () => phone.inputValue("#record [name=csrf]");
    const old = await csrf();
    await context.clearCookies();
    await phone.fill("[name=remark]", "step is loose");
    await phone.locator("#kept", { hasText: "You are signed out" }).waitFor();
    const other = await signIn(await context.newPage(), service.url);
    await other.close();
    await phone.evaluate(() => document.dispatchEvent(new Event("visibilitychange")));
    await expect.poll(csrf, { timeout: 40_000 }).not.toBe(old);
    await phone.fill("[name=remark]", "step is mended");
    await phone.locator("#kept", { hasText: "Kept at the desk" }).waitFor();
    expect(windows.complaints).toEqual([]);
  }, 90_000);

  it("kept without signal is kept as soon as there is signal and the desk takes it", async () => {
    const phone = await signIn(await windows.phone(), service.url);
    await phone.goto(`${service.url}/desk/hires/h1/return`);
    await phone.fill("[name=odometer]", "57,900");
    await chip(phone, "Fuel", "4 eighths");
    await chip(phone, "Exhaust fluid", "4 eighths");
    await chip(phone, "Oil on the dipstick", "Between");
    await phone.fill("[name=keys]", "1");
    await phone.getByText("All of the list is there").click();
    await phone.locator("#kept", { hasText: "Kept at the desk" }).waitFor();
    await phone.getByRole("button", { name: "Keep return record" }).click();
    await phone.locator("#ask input").check();
    await phone.locator("#kept", { hasText: "Kept at the desk" }).waitFor();
    await phone.context().setOffline(true);
    await phone.getByRole("button", { name: "Keep return record" }).click();
    await phone
      .locator("#kept", { hasText: "the record is kept as soon as there is signal" })
      .waitFor();
    expect((await hire())?.back).toBeUndefined();
    // The desk answers, but not as it should: it is tried again, and says so.
    await phone.route("**/return", (route) => route.fulfill({ status: 503, body: "" }));
    await phone.context().setOffline(false);
    await phone.locator("#kept", { hasText: "could not take it (503)" }).waitFor();
    await phone.unroute("**/return");
    await phone.waitForURL("**/desk/hires/h1");
    expect((await hire())?.back?.reading.fuel).toBe(0.5);
    expect(windows.complaints).toEqual([]);
  }, 60_000);

  /** Corrects the return record without signal, so that the wish to keep it waits on the phone. */
  async function waits(phone: Page): Promise<void> {
    await phone.goto(`${service.url}/desk/hires/h1/return`);
    await phone.fill("[name=remark]", "mat is wet");
    await phone.locator("#kept", { hasText: "Kept at the desk" }).waitFor();
    await phone.context().setOffline(true);
    await phone.getByRole("button", { name: "Keep return record" }).click();
    await phone
      .locator("#kept", { hasText: "the record is kept as soon as there is signal" })
      .waitFor();
  }
  it("that somebody wanted to keep is not kept by whoever signs in on that phone next", async () => {
    const phone = await signIn(await windows.phone(), service.url, "callum");
    await waits(phone);
    const context = phone.context();
    await phone.close();
    await context.clearCookies();
    await context.setOffline(false);
    const next = await signIn(await context.newPage(), service.url);
    await next.goto(`${service.url}/desk/hires/h1/return`);
    await next.locator("[role=alert]", { hasText: "Callum wanted to keep this record" }).waitFor();
    expect(await next.inputValue("[name=remark]")).toBe("mat is wet");
    const notes = await next.evaluate(() => Object.values({ ...localStorage }).join());
    expect(notes).not.toContain("callum");
    expect((await hire())?.back).not.toHaveProperty("corrected");
    expect(windows.complaints).toEqual([]);
  }, 60_000);

  it("that was kept at the desk meanwhile is not written over when the signal comes back", async () => {
    const phone = await signIn(await windows.phone(), service.url);
    await waits(phone);
    const callum = await enterDesk(service.url, "callum");
    const fields = { odometer: "57,950", unit: "miles", fuel: "2", fluid: "4", oil: "between" };
    const path = "/desk/hires/h1/return";
    const asked = (await callum.post(path, fields)).text;
    const [, name = "", value = ""] = /name="(sure-left-out)" value="([^"]*)"/.exec(asked) ?? [];
    await callum.post(path, { ...fields, [name]: value.replaceAll("&#39;", "'") });
    expect((await hire())?.back?.corrected?.by).toBe("callum");
    await phone.context().setOffline(false);
    await phone.locator("[role=alert]", { hasText: "Callum kept this record at" }).waitFor();
    expect((await hire())?.back).toMatchObject({
      corrected: { by: "callum" },
      reading: { fuel: 0.25 },
    });
    expect(windows.complaints).toEqual([]);
  }, 60_000);

  it("that was kept though the answer was lost is said to be kept when the page is opened again", async () => {
    const phone = await signIn(await windows.phone(), service.url);
    await phone.goto(`${service.url}/desk/hires/h1/return`);
    await phone.fill("[name=remark]", "mat is dry");
    await phone.getByRole("button", { name: "Keep return record" }).click();
    await phone.locator("#ask input").check();
    await phone.route("**/return", async (route) => {
      if (route.request().method() === "POST") await route.fetch({ maxRedirects: 0 });
      await route.abort();
    });
    await phone.getByRole("button", { name: "Keep return record" }).click();
    await expect
      .poll(async () => (await hire())?.back?.corrected?.by, { timeout: 20_000 })
      .toBe("morag");
    const next = await phone.context().newPage();
    await phone.close();
    await next.goto(`${service.url}/desk/hires/h1/return`);
    await next.locator("[role=alert]", { hasText: "It was kept meanwhile, from here" }).waitFor();
    expect(windows.complaints).toEqual([]);
  }, 60_000);
});
