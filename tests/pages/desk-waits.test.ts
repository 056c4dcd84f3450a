/** The desk's page of what waits, in real Chromium: live, done in place, and plain about a lost session. */
import axe from "axe-core";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { ArrivalBody, DeskAct } from "../../src/post.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import { executablePath, openWindows, signIn, type Windows } from "./browser.js";

describe.skipIf(!executablePath)("what waits, in the browser", () => {
  let service: WebHouse;
  let windows: Windows;
  let morag: Page;
  let key = 0;
  const file = (body: ArrivalBody) =>
    service.house.file({
      key: `t${++key}`,
      lane: service.lane,
      receivedAt: service.house.clock.now(),
      body,
    });
  const says = (text: string, person = "p1") =>
    file({ kind: "said", from: { person, via: { channel: "web", to: person } }, text });
  const staff = (by: string, act: DeskAct) => file({ kind: "desk", by, act });
  const enter = (page: Page, contact: string) => signIn(page, service.url, contact);
  const card = (page: Page, title: string) =>
    page.locator("article.card", { has: page.locator("h2, h3", { hasText: title }) });

  beforeAll(async () => {
    service = await openWebHouse("plover");
    windows = await openWindows();
    morag = await enter(await windows.desktop(), "morag");
  }, 60_000);
  afterAll(async () => {
    await windows?.close();
    await service?.close();
  });

  it("a matter comes without reload: van, people to dial, place, urgency, what was said, the next step counting down", async () => {
    await says(
      "red car with lightning battery warning on the dash, A9 just past Tain, kids in the back",
    );
    const one = card(morag, "Red drive-battery light");
    await one.waitFor();
    await expect.poll(() => one.locator("time[data-left]").count()).toBeGreaterThan(0);
    const text = (await one.textContent()) ?? "";
    for (const part of [
      "nobody yet",
      "SX26 ABC",
      "Ann",
      "07700 900500",
      "Urgent: a child",
      "A9 just past Tain",
      "the next contact is alerted",
      "must not move",
    ])
      expect(text).toContain(part);
    expect(await one.locator('a[href="tel:07700900500"]').count()).toBeGreaterThan(0);
    expect(await morag.title()).toBe("(1) What waits");
  }, 30_000);

  it("is taken in place: the page is not loaded anew, the forms follow, and the focus is on the card", async () => {
    await morag.evaluate(() => Object.assign(window, { same: true }));
    const one = card(morag, "Red drive-battery light");
    await one.getByRole("button", { name: "I take it" }).click();
    await one.getByText("with Morag").waitFor();
    expect(await morag.evaluate(() => "same" in window)).toBe(true);
    await expect.poll(() => morag.evaluate(() => document.activeElement?.tagName)).toBe("H2");
    await one.getByText("Next:").waitFor();
  }, 30_000);

  it("what somebody is writing stays while the rest of the card changes", async () => {
    const one = card(morag, "Red drive-battery light");
    await one.getByLabel(/^Write to/).fill("Is everybody out of the van, on the");
    await says("ok, we wait here for you");
    await one.getByText("ok, we wait here for you").first().waitFor();
    expect(await one.getByLabel(/^Write to/).inputValue()).toBe(
      "Is everybody out of the van, on the",
    );
    await one.getByLabel(/^Write to/).fill("Is everybody out?");
    await one.getByRole("button", { name: "Send" }).click();
    await one.getByText("Morag: Is everybody out?").first().waitFor();
    expect(await one.getByLabel(/^Write to/).inputValue()).toBe("");
  }, 30_000);

  it("who offers to take it is seen by its owner, who accepts or keeps it", async () => {
    await staff("callum", { do: "take", callout: 1 });
    const one = card(morag, "Red drive-battery light");
    await one.getByText("Callum offers to take it.").waitFor();
    await windows.shot(morag, "desk-waits-desktop");
    await one.getByRole("button", { name: "I keep it" }).click();
    await expect.poll(() => one.getByText("Callum offers to take it.").count()).toBe(0);
  }, 30_000);

  it("a roadside job is kept with reference and time, and the card to read out says what to ask", async () => {
    const one = card(morag, "Red drive-battery light");
    await one.getByText("Roadside assistance, note, pass on, done").click();
    await one.getByLabel("Roadside reference").fill("R-4711");
    await one.getByRole("button", { name: "Keep, and tell them" }).click();
    await one.locator(".job").getByText("R-4711").waitFor();
    await one.getByLabel("Child seats").fill("2");
    await one.getByLabel("Where the key is").fill("with Ann");
    await one.getByRole("button", { name: "Keep for the card" }).click();
    await one.getByText(/^Card to read out/).click();
    const readout = one.locator(".readout");
    await expect.poll(() => readout.textContent()).toContain("with Ann");
    const words = (await readout.textContent()) ?? "";
    expect(words).toContain("flatbed only");
    expect(words).toContain("1.98 m (6 ft 6 in)");
    expect(words).toContain("reference R-4711");
    expect(words).toMatch(/People\s*ask/);
    expect(words).toMatch(/Pets\s*ask/);
    await windows.shot(morag, "desk-waits-card");
  }, 30_000);

  /** What Morag has done at the desk, of one kind. */
  const kept = async (what: string) =>
    (await service.house.db.selectFrom("arrivals").select("body").orderBy("seq").execute())
      .map(({ body }) => JSON.parse(body).body)
      .flatMap(({ kind, act }) => (kind === "desk" && act.do === what ? [act] : []));

  it("a second note from a card that stands open, with Enter, is kept too", async () => {
    const note = card(morag, "Red drive-battery light").getByLabel("Note");
    for (const words of ["rang, no answer", "reached them, they are at the services"]) {
      await note.fill(words);
      await note.press("Enter");
      await expect.poll(() => note.inputValue()).toBe("");
    }
    await expect.poll(async () => (await kept("note")).length).toBe(2);
  }, 30_000);

  it("a second message beside a form that is half filled in goes out too", async () => {
    const one = card(morag, "Red drive-battery light");
    await one.getByLabel("Where the key is").fill("with Be");
    for (const words of ["Stay behind the barrier.", "They are ten minutes away."]) {
      await one.getByLabel(/^Write to/).fill(words);
      await one.getByRole("button", { name: "Send" }).click();
      await one.getByText(`Morag: ${words}`).first().waitFor();
    }
    expect(await one.getByLabel("Where the key is").inputValue()).toBe("with Be");
    await one.getByLabel("Where the key is").fill("with Ann");
    await one.getByRole("button", { name: "Keep for the card" }).click();
  }, 30_000);

  it("what the service answers to an act stands on the card", async () => {
    const one = card(morag, "Red drive-battery light");
    await one.getByLabel("Pass on to").selectOption("isla");
    await one.getByRole("button", { name: "Pass on", exact: true }).click();
    await one.getByText("No channel reaches Isla now. It stays with you.").first().waitFor();
  }, 30_000);

  it("how it ended is chosen before it is ended", async () => {
    const one = card(morag, "Red drive-battery light");
    await one.getByLabel(/^In words/).fill("towed to the garage");
    await one.getByLabel(/^In words/).press("Enter");
    expect(await one.locator("select[name=outcome]:invalid").count()).toBe(1);
    expect(await kept("done")).toEqual([]);
    await one.getByLabel(/^In words/).fill("");
  }, 30_000);

  it("an outcome in words is asked for where it is something else, beside the form", async () => {
    const one = card(morag, "Red drive-battery light");
    await one.getByLabel("How it ended").selectOption("other");
    await one.getByRole("button", { name: "Done", exact: true }).click();
    await one.getByText("Write in words how it ended.").waitFor();
    expect(await one.getByText("with Morag").count()).toBe(1);
  }, 30_000);

  it("the worst stands first, then what must be answered first", async () => {
    await says("amber abs light is on too", "p2");
    await morag.locator("article.card.soon").waitFor();
    await says("my husband collapsed and is not breathing", "p2");
    await morag.locator("article.card.danger").waitFor();
    const order = await morag
      .locator("article.card")
      .evaluateAll((all) => all.map((a) => (a as HTMLElement).dataset["severity"]));
    expect(order).toEqual(["danger", "stop", "soon"]);
    expect(await morag.locator("#news").textContent()).toContain("danger to life");
  }, 30_000);

  it.each([
    ["light", "phone"],
    ["dark", "phone"],
    ["light", "desktop"],
    ["dark", "desktop"],
  ] as const)(
    "has nothing that the rules of access name, %s on a %s",
    async (colorScheme, size) => {
      const page = await enter(await windows[size]({ colorScheme }), "callum");
      await page.waitForSelector("article.card");
      await windows.shot(page, `desk-waits-${size}-${colorScheme}`);
      await page.evaluate(() => {
        for (const details of document.querySelectorAll("details")) details.open = true;
      });
      const wide = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      const widest = await page.evaluate(() =>
        [...document.querySelectorAll("main *, header *")]
          .filter((e) => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
          .map((e) => `${e.tagName}.${e.className} ${e.textContent?.slice(0, 30) ?? ""}`)
          .slice(0, 5),
      );
      expect(widest).toEqual([]);
      expect(wide).toBeLessThanOrEqual(0);
      // Web Content Accessibility Guidelines 2.2, A and AA, as far as axe-core checks them.
      await page.evaluate(axe.source);
      const violations = await page.evaluate(async () => {
        const { axe: inPage } = window as unknown as { axe: typeof axe };
        const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
        const found = await inPage.run(document, { runOnly: { type: "tag", values: tags } });
        return found.violations.map((v) => `${v.id}: ${v.nodes[0]?.html.slice(0, 200) ?? ""}`);
      });
      expect(violations).toEqual([]);
      await windows.shot(page, `desk-waits-${size}-${colorScheme}`);
      await page.context().close();
    },
    60_000,
  );

  it("sound and notifications are off until somebody switches them on", async () => {
    const sound = morag.locator("#sound");
    expect(await sound.textContent()).toBe("Switch on sound");
    await sound.click();
    await expect.poll(() => sound.getAttribute("aria-pressed")).toBe("true");
    await sound.click();
    await expect.poll(() => sound.getAttribute("aria-pressed")).toBe("false");
  }, 30_000);

  it("a card that is done while somebody writes in it says so, and what is written can still be sent", async () => {
    const one = card(morag, "ABS");
    await one.getByLabel(/^Write to/).fill("Drive on, but ");
    await staff("callum", { do: "done", callout: 2, outcome: "by-advice" });
    await one.getByText("This is done meanwhile.").waitFor();
    expect(await morag.locator("#news").textContent()).toContain("This is done meanwhile.");
    expect(await one.getByRole("button", { name: "Promise" }).isDisabled()).toBe(true);
    await one.getByLabel(/^Write to/).fill("Drive on, but brake gently.");
    await one.getByRole("button", { name: "Send" }).click();
    await expect.poll(() => one.count()).toBe(0);
    expect((await kept("reply")).at(-1)).toMatchObject({ text: "Drive on, but brake gently." });
  }, 30_000);

  it("what was typed stays when the session ends, and goes out once its writer has signed in again", async () => {
    const page = await enter(await windows.desktop(), "callum");
    const field = page.locator("article.card.danger").getByLabel(/^Write to/);
    await field.fill("The ambulance is on its way to you.");
    const send = page.locator("article.card.danger").getByRole("button", { name: "Send" });
    await service.house.db.deleteFrom("desk_sessions").where("contact", "=", "callum").execute();
    await send.click();
    await page.getByText("Not done: you are signed out.").waitFor();
    const [other] = await Promise.all([
      page.waitForEvent("popup"),
      page.locator("#line a", { hasText: "Sign in" }).click(),
    ]);
    await signIn(other, service.url, "callum");
    await other.close();
    expect(await field.inputValue()).toBe("The ambulance is on its way to you.");
    await send.click();
    await expect.poll(() => field.inputValue()).toBe("");
    expect((await kept("reply")).at(-1)).toMatchObject({
      text: "The ambulance is on its way to you.",
    });
    expect(await page.locator("#line").isHidden()).toBe(true);
    await page.context().close();
  }, 30_000);

  it("somebody else who signs in in the same browser acts on no page of the one before", async () => {
    const page = await enter(await windows.desktop(), "callum");
    const other = await page.context().newPage();
    await page.context().clearCookies();
    await signIn(other, service.url, "morag");
    await staff("callum", { do: "note", note: "looks" });
    await page.locator("#line", { hasText: "You are signed out" }).waitFor();
    await page.context().close();
  }, 30_000);

  it("says itself that the session has ended, and changes no more", async () => {
    const page = await windows.desktop();
    await page.addInitScript(() => {
      const streams: EventSource[] = [];
      const Own = EventSource;
      Object.assign(window, {
        streams,
        EventSource: class extends Own {
          constructor(address: string) {
            super(address);
            streams.push(this);
          }
        },
      });
    });
    const second = await enter(page, "callum");
    /** 1 open, 2 closed for good. */
    const streams = () =>
      second.evaluate(() =>
        (window as unknown as { streams: EventSource[] }).streams.map((s) => s.readyState),
      );
    await expect.poll(streams).toEqual([1]);
    await service.house.db.deleteFrom("desk_sessions").where("contact", "=", "callum").execute();
    await says("hello, is anybody there");
    await second.locator("#line", { hasText: "You are signed out" }).waitFor();
    expect(await second.locator("#line a").getAttribute("href")).toBe("/desk");
    expect(await streams()).toEqual([2]);
    const part = await second.context().request.get(`${service.url}/desk/part`);
    expect(part.status()).toBe(401);
    expect(await part.text()).not.toContain("SX26");
    await windows.shot(second, "desk-waits-signed-out");
  }, 30_000);

  it("complains about nothing in the console", () => {
    expect(windows.complaints).toEqual([]);
  });
});
