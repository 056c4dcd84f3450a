/** Both sides in real Chromium: a hirer on a phone-sized screen, the duty person on a desktop. */
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import { executablePath, openWindows, signIn, type Windows } from "./browser.js";

describe.skipIf(!executablePath)("in the browser", () => {
  let windows: Windows;
  let service: WebHouse;
  beforeAll(async () => {
    service = await openWebHouse();
    windows = await openWindows();
  }, 60_000);
  afterAll(async () => {
    await windows?.close();
    await service?.close();
  });
  const shot = (page: Page, name: string) => windows.shot(page, name);
  const desk = async () => signIn(await windows.desktop(), service.url);

  it("a red light goes from the phone to the desk, is taken there, and the hirer hears it", async () => {
    const staff = await desk();
    const phone = await windows.phone();
    await phone.goto(service.links[0] ?? "");
    await phone.waitForURL("**/chat");
    // The numbers are there from the first second.
    expect(await phone.locator("header a[href='tel:999']").isVisible()).toBe(true);
    await phone.fill("#text", "red oil can light came on");
    await phone.click("#say > button");
    await phone
      .locator("#talk")
      .getByText("Driving? Stop somewhere safe before you read on.")
      .waitFor();
    // Morag alone is at the desk; whether she is on duty depends on the hour of the test.
    await phone
      .locator("#talk")
      .getByText(/I have alerted (the duty person|another of our staff)\./)
      .waitFor();
    expect(await phone.locator("#queue li").count()).toBe(0);
    await shot(phone, "phone-light");

    await staff.getByRole("heading", { name: /oil/i }).first().waitFor();
    await shot(staff, "desk-waits");
    await staff.getByRole("button", { name: "I take it" }).first().click();
    await phone.locator("#talk").getByText("Morag has read this and has it now.").waitFor();
    await staff.getByText("with Morag").first().waitFor();

    await phone.getByRole("button", { name: "Not safe" }).click();
    await phone.locator("#talk").getByText("roadside assistance").last().waitFor();
    await staff.fill("textarea[name=text]", "Is the engine off?");
    await staff.getByRole("button", { name: "Send", exact: true }).click();
    await phone.locator("#talk").getByText("Morag: Is the engine off?").waitFor();
    await phone.click("#place");
    await phone
      .locator("#talk")
      .getByText(/57\.4778/)
      .first()
      .waitFor();
    await shot(phone, "phone-talk");
    await shot(staff, "desk-with");
  }, 60_000);

  it("what is written without a connection waits, and is sent once when it is back", async () => {
    const phone = await windows.phone({ colorScheme: "dark" });
    await phone.goto(service.links[1] ?? "");
    await phone.waitForURL("**/chat");
    await phone.context().setOffline(true);
    await phone.fill("#text", "how do i put the awning up");
    await phone.click("#say > button");
    await phone.locator("#queue li").waitFor();
    await phone.context().setOffline(false);
    await phone.locator("#talk li.mine", { hasText: "how do i put the awning up" }).waitFor();
    await phone.locator("li.theirs", { hasText: "awning" }).last().waitFor();
    expect(
      await phone.locator("#talk li.mine", { hasText: "how do i put the awning up" }).count(),
    ).toBe(1);
    await shot(phone, "phone-dark");
  }, 60_000);

  it("a reload keeps the whole talk", async () => {
    const phone = await windows.phone();
    await phone.goto(service.links[0] ?? "");
    await phone.waitForURL("**/chat");
    await phone.locator("#talk").getByText("Morag: Is the engine off?").waitFor();
    await phone.reload();
    await phone.locator("#talk").getByText("Morag: Is the engine off?").waitFor();
  }, 60_000);

  it("a new hire is added at the desk and its link opens a page", async () => {
    const staff = await desk();
    await staff.goto(`${service.url}/desk/hires/new`);
    await staff.fill("input[name=registration]", "SX26 NEW");
    await staff.selectOption("select[name=type]", "wren");
    await staff.fill("input[name=pickup]", "2026-12-01T10:00");
    await staff.fill("input[name=return]", "2026-11-30T10:00");
    await staff.fill("input[name=surname]", "Reed");
    await staff.fill("input[name=booker]", "Kit");
    await staff.click("button.main");
    await staff.getByText("The return is not after the pick-up.").waitFor();
    await shot(staff, "desk-new-wrong");
    await staff.fill("input[name=return]", "2026-12-08T10:00");
    await staff.click("button.main");
    const link = await staff.locator("code").first().textContent();
    const phone = await windows.phone();
    await phone.goto((link ?? "").replace("http://127.0.0.1/", `${service.url}/`));
    await phone.waitForURL("**/chat");
    await phone.getByText("SX26 NEW").first().waitFor();
    await staff.goto(`${service.url}/desk/hires`);
    await shot(staff, "desk-road");
    await staff.goto(`${service.url}/desk/hires/h1`);
    await shot(staff, "desk-hire");
  }, 60_000);

  it("no page throws", () => expect(windows.complaints).toEqual([]));
});
