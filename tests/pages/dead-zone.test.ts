/** Whole stories with both sides at once: a hirer on a phone who loses the signal and finds it again, a duty person at the desk. */
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import {
  executablePath,
  openSignal,
  openWindows,
  type Signal,
  signIn,
  type Windows,
  write,
} from "./browser.js";

describe.runIf(executablePath)("a hirer in a dead zone, and the desk", () => {
  let windows: Windows;
  let service: WebHouse;
  let signal: Signal;
  let staff: Page;
  beforeAll(async () => {
    service = await openWebHouse("curlew", ["Ann", "Ben"]);
    signal = await openSignal(service);
    windows = await openWindows();
    staff = await signIn(await windows.desktop(), service.url);
  }, 90_000);
  afterAll(async () => {
    await windows?.close();
    await signal?.close();
    await service?.close();
  });
  it("a red light without signal: guided by the phone, told late to the desk as late, and taken there", async () => {
    const phone = await signal.visited(await windows.phone(), 0);
    await signal.cut(phone, true);
    // A quarter of an hour ago by the phone's clock, which is right when the signal comes back.
    await phone.clock.install({ time: Date.now() - 15 * 60_000 });
    await write(phone, "red light like an oil can came on");
    await phone.locator("#queue li", { hasText: "nobody has been told yet" }).waitFor();
    const offer = phone.locator("#no-signal .offers a", { hasText: "Red oil can" });
    await offer.click();
    const act = phone.locator(".act:target");
    await act.getByText("Driving? Stop somewhere safe before you read on.").waitFor();
    await windows.shot(phone, "story-1-phone-act");
    expect(await staff.locator("#waits").textContent()).not.toContain("oil can");

    const page = await phone.context().newPage();
    await phone.close();
    await page.goto(`${signal.url}/chat`);
    await page.clock.setSystemTime(Date.now());
    await page.locator("#queue li", { hasText: "red light like an oil can came on" }).waitFor();
    await signal.cut(page, false);
    await page.locator("#talk li.mine", { hasText: "red light like an oil can" }).waitFor();
    await page
      .locator("#talk")
      .getByText(/You wrote this at [^:]*\d\d:\d\d: is it still so\?/)
      .waitFor();
    await page
      .getByText(/I have alerted/)
      .first()
      .waitFor();
    await windows.shot(page, "story-2-phone-back");
    await staff.getByRole("heading", { name: /oil/i }).first().waitFor();
    await windows.shot(staff, "desk-story-2");
    await staff.getByRole("button", { name: "I take it" }).first().click();
    await page.locator("#talk").getByText("Morag has read this and has it now.").waitFor();

    // Out of signal again: what staff write meanwhile is there when it is back, once.
    await signal.cut(page, true);
    await staff.fill("textarea[name=text]", "Leave the engine off. I ring you in ten minutes.");
    await staff.getByRole("button", { name: "Send", exact: true }).click();
    await staff.getByText("Leave the engine off.").first().waitFor();
    await page.clock.setSystemTime(Date.now() - 15 * 60_000);
    await write(page, "lay-by at the bridge, all four of us are out of the van");
    await page.locator("#no-signal").waitFor();
    await page.clock.setSystemTime(Date.now());
    await signal.cut(page, false);
    const order = page.locator("#talk").getByText("Morag: Leave the engine off.");
    await order.waitFor();
    await page.locator("#talk li.mine", { hasText: "lay-by at the bridge" }).waitFor();
    expect(await order.count()).toBe(1);
    await staff
      .getByText(
        /lay-by at the bridge, all four of us are out of the van \(written [^)]*\d\d:\d\d\)/,
      )
      .first()
      .waitFor();
    await windows.shot(page, "story-3-phone-with");
    await windows.shot(staff, "desk-story-3");
  }, 120_000);

  it("a danger without signal: the act that saves life and the number stand on the phone, and all staff are alerted once it is told", async () => {
    const phone = await signal.visited(await windows.phone(), 1);
    await signal.cut(phone, true);
    await write(phone, "we smell gas in the van");
    await phone.locator("#no-signal", { hasText: "In danger ring 999 or 112" }).waitFor();
    await phone.locator("#no-signal .offers a").first().click();
    const act = phone.locator(".act:target");
    await act.getByText("Everyone out now.").waitFor();
    expect(await act.locator("a[href='tel:999']").isVisible()).toBe(true);
    await windows.shot(phone, "story-4-phone-gas");
    await phone.goBack();
    await phone.locator("#queue li", { hasText: "we smell gas" }).waitFor();
    await signal.cut(phone, false);
    await phone.getByText("I cannot ring them for you.").waitFor();
    await staff.getByText(/gas/i).first().waitFor();
    await windows.shot(phone, "story-5-phone-gas");
    await windows.shot(staff, "desk-story-5");
  }, 120_000);

  it("nothing complains", () => expect(windows.complaints).toEqual([]));
});
