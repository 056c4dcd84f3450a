/** The hirer's page in real Chromium: bad connections, photos, pictures, no script, small screens. */
import { gzipSync } from "node:zlib";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { heicPhoto } from "../kit/desk.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import {
  executablePath,
  openSignal,
  openWindows,
  type Signal,
  type Windows,
  write,
} from "./browser.js";

describe.skipIf(!executablePath)("the hirer's page", () => {
  let windows: Windows;
  let service: WebHouse;
  let signal: Signal;
  beforeAll(async () => {
    service = await openWebHouse("curlew", ["Ann", "Ben", "Cat", "Dan", "Eve"]);
    signal = await openSignal(service);
    windows = await openWindows();
  }, 60_000);
  afterAll(async () => {
    await windows?.close();
    await signal?.close();
    await service?.close();
  });

  /** Each test has a person of its own, so that none sees another's talk. */
  const visit = async (person: number, page?: Page) =>
    signal.visit(page ?? (await windows.phone()), person);
  const kept = (page: Page, text: string) => page.locator("#talk li.mine", { hasText: text });
  const under = (page: Page, text: string) => page.locator("#queue li", { hasText: text });

  it("says sending, sent or not sent beside each message, and a refused one can be sent again", async () => {
    const phone = await visit(0);
    let answer: "hold" | "refuse" | "pass" = "hold";
    let release = () => {};
    await phone.route("**/chat/say*", async (route) => {
      if (answer === "hold") await new Promise<void>((go) => (release = go));
      if (answer === "refuse") return route.fulfill({ status: 400, json: { error: "Too odd." } });
      return route.continue();
    });
    await write(phone, "thank you very much");
    await under(phone, "thank you very much").getByText("Sending").waitFor();
    answer = "pass";
    release();
    await kept(phone, "thank you very much").waitFor();
    expect(await under(phone, "thank you very much").count()).toBe(0);

    answer = "refuse";
    await write(phone, "what height is it");
    await under(phone, "what height is it").getByText("Not sent: Too odd.").waitFor();
    await windows.shot(phone, "phone-not-sent");
    answer = "pass";
    await under(phone, "what height is it").getByRole("button", { name: "Try again" }).click();
    await kept(phone, "what height is it").waitFor();
  }, 30_000);

  it("tells of what came below while a long answer is read from its beginning, one tap away", async () => {
    const phone = await visit(3);
    await write(phone, "the red oil light came on");
    const below = phone.locator("#below");
    await below.getByText("Below: Is it a safe place to wait?").waitFor();
    const question = phone.locator("#talk li", { hasText: "Is it a safe place to wait?" });
    await below.click();
    await below.waitFor({ state: "hidden" });
    const box = await question.boundingBox();
    expect(box?.y).toBeLessThan(740);
  }, 30_000);

  it("keeps what was written offline through a closed page, and sends all of it once, in order", async () => {
    const phone = await visit(1);
    await signal.cut(phone, true);
    for (const text of ["hello one", "hello two", "hello three"]) await write(phone, text);
    await under(phone, "hello three").waitFor();
    await phone.locator("#state", { hasText: "In danger, ring" }).waitFor();
    await phone.close();
    const page = await phone.context().newPage();
    await signal.cut(phone, false);
    await page.goto(`${signal.url}/chat`);
    await kept(page, "hello three").waitFor();
    const mine = await page.locator("#talk li.mine .own").allTextContents();
    expect(mine).toEqual(["hello one", "hello two", "hello three"]);
    await page.reload();
    expect(await page.locator("#talk li.mine .own").allTextContents()).toEqual(mine);
    expect(await page.locator("#queue li").count()).toBe(0);
  }, 30_000);

  it("takes a message whose answer was lost as one message", async () => {
    const phone = await visit(1);
    let lost = 0;
    await phone.route("**/chat/say*", async (route) => {
      if (lost++ > 0) return route.continue();
      await route.fetch();
      return route.abort();
    });
    await write(phone, "is there a kettle");
    await kept(phone, "is there a kettle").waitFor();
    await phone.waitForFunction(() => document.querySelectorAll("#queue li").length === 0);
    expect(await kept(phone, "is there a kettle").count()).toBe(1);
  }, 30_000);

  it("takes no other page's answer for the service's: what a portal answered waits, and is sent again", async () => {
    const phone = await visit(3);
    let portal = true;
    await phone.route("**/chat/say*", (route) =>
      portal
        ? route.fulfill({ status: 200, contentType: "text/html", body: "<p>Welcome</p>" })
        : route.continue(),
    );
    const asked = phone.waitForResponse((r) => r.url().includes("/chat/say"));
    await write(phone, "is there a corkscrew");
    await asked;
    await under(phone, "is there a corkscrew").getByText("Waits for signal").waitFor();
    portal = false;
    await kept(phone, "is there a corkscrew").waitFor();
    expect(await kept(phone, "is there a corkscrew").count()).toBe(1);
  }, 30_000);

  it("sends from phones of five years, which lack what came since", async () => {
    const old = await windows.phone();
    await old.addInitScript(() => {
      Reflect.deleteProperty(AbortSignal, "timeout");
      Reflect.deleteProperty(AbortSignal, "any");
      for (const name of ["findLast", "findLastIndex", "toSorted", "toReversed", "with"])
        Reflect.deleteProperty(Array.prototype, name);
    });
    const phone = await visit(0, old);
    await signal.cut(phone, true);
    await write(phone, "is there a tin opener");
    await under(phone, "tin opener").waitFor();
    await phone.close();
    // Opened without signal it looks for what was written last.
    const page = await phone.context().newPage();
    await page.addInitScript(() => Reflect.deleteProperty(Array.prototype, "findLast"));
    await page.addInitScript(() => Reflect.deleteProperty(AbortSignal, "timeout"));
    await signal.cut(page, false);
    await page.goto(`${signal.url}/chat`);
    await kept(page, "tin opener").waitFor();
  }, 30_000);

  it("left open while another's link is opened on this phone files nothing as theirs, and sends it when its own is opened again", async () => {
    const ann = await signal.visited(await windows.phone(), 0);
    const other = await ann.context().newPage();
    await signal.visited(other, 1);
    await write(ann, "hello from Ann alone");
    await under(ann, "hello from Ann alone").getByText("Another link was opened").waitFor();
    // The talk that is kept for the time without signal is that of whom the phone is connected to.
    await service.house.file({
      key: "to-ann",
      lane: service.lane,
      receivedAt: service.house.clock.now(),
      body: {
        kind: "said",
        from: { person: "p1", via: { channel: "telegram", to: "5" } },
        text: "good night from Ann",
      },
    });
    await kept(ann, "good night from Ann").waitFor();
    await ann.waitForTimeout(1500);
    const pack = await ann.evaluate(async () =>
      (await (await caches.match("/chat"))?.text())?.replace(/^.*<body/s, "<body"),
    );
    expect(pack).toContain('data-person="p2"');
    expect(pack).not.toContain("from Ann");

    await visit(0, other);
    await kept(other, "hello from Ann alone").waitFor();
    await kept(ann, "hello from Ann alone").waitFor();
    await visit(1, other);
    expect(await kept(other, "hello from Ann alone").count()).toBe(0);
  }, 60_000);

  it("left open while another's link is opened does not keep its own talk over theirs, however slow the phone", async () => {
    const ann = await signal.visited(await windows.phone(), 0);
    // What is kept is looked at first: here that takes until the other's page is open and kept.
    let look = () => {};
    const looked = new Promise<void>((done) => (look = done));
    let open = () => {};
    const opened = new Promise<void>((go) => (open = go));
    await ann.exposeFunction("opened", () => {
      look();
      return opened;
    });
    await ann.evaluate(() => {
      const text = Response.prototype.text;
      Response.prototype.text = async function () {
        const read = await text.call(this);
        await (window as unknown as { opened(): Promise<void> }).opened();
        return read;
      };
    });
    await write(ann, "is there a corkscrew");
    await looked;
    const other = await signal.visited(await ann.context().newPage(), 1);
    open();
    await ann.waitForTimeout(500);
    const pack = await other.evaluate(async () => (await caches.match("/chat"))?.text());
    expect(pack).toContain('data-person="p2"');
    expect(pack).not.toContain("corkscrew");
  }, 60_000);

  it("that shows more than is stored, as after a restore, shows what is stored and what comes then", async () => {
    const phone = await visit(4, await windows.phone({ serviceWorkers: "block" }));
    await write(phone, "we are on our way");
    await kept(phone, "we are on our way").waitFor();
    await phone.route("**/chat", async (route) => {
      const answer = await route.fetch();
      const page = (await answer.text())
        .replace(/data-last="\d+"/, 'data-last="5700"')
        .replace("we are on our way", "what was lost");
      await route.fulfill({ response: answer, body: page });
    });
    await phone.goto(`${signal.url}/chat`);
    await kept(phone, "we are on our way").waitFor();
    expect(await kept(phone, "what was lost").count()).toBe(0);
    await write(phone, "we are there");
    await kept(phone, "we are there").waitFor();
    const numbers = await phone
      .locator("#talk li[data-n]")
      .evaluateAll((all) => all.map((e) => Number((e as HTMLElement).dataset["n"])));
    expect(new Set(numbers).size).toBe(numbers.length);
  }, 30_000);

  it("goes on after a cut stream with nothing missing and nothing twice", async () => {
    const phone = await visit(2);
    await write(phone, "good morning");
    await kept(phone, "good morning").waitFor();
    await signal.cut(phone, true);
    const said = (text: string, n: number) =>
      service.house.file({
        key: `cut-${n}`,
        lane: service.lane,
        receivedAt: service.house.clock.now(),
        body: {
          kind: "said",
          from: { person: "p3", via: { channel: "telegram", to: "5" } },
          text,
        },
      });
    await said("good afternoon", 1);
    await said("good evening", 2);
    await signal.cut(phone, false);
    await kept(phone, "good evening").waitFor();
    expect(await phone.locator("#talk li.mine .own").allTextContents()).toEqual([
      "good morning",
      "good afternoon",
      "good evening",
    ]);
    const numbers = await phone
      .locator("#talk li[data-n]")
      .evaluateAll((all) => all.map((e) => Number((e as HTMLElement).dataset["n"])));
    expect([...numbers].sort((a, b) => a - b)).toEqual(numbers);
    expect(new Set(numbers).size).toBe(numbers.length);
  }, 30_000);

  it("shows a photo at once, smaller and without the camera's data, and keeps it while there is no connection", async () => {
    const phone = await visit(3);
    await signal.cut(phone, true);
    // A photo of 3,000 by 1,500 pixels with a comment in its file, as cameras write places into theirs.
    const jpeg = await phone.evaluate(async () => {
      const canvas = document.createElement("canvas");
      canvas.width = 3000;
      canvas.height = 1500;
      const pen = canvas.getContext("2d");
      if (pen) {
        pen.fillStyle = "#c33";
        pen.fillRect(0, 0, 3000, 1500);
      }
      const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg"));
      return [...new Uint8Array((await blob?.arrayBuffer()) ?? new ArrayBuffer(0))];
    });
    const secret = Buffer.from("\xff\xfe\x00\x12GPS 57.4778 N ", "latin1");
    const bytes = Buffer.concat([
      Buffer.from(jpeg.slice(0, 2)),
      secret,
      Buffer.from(jpeg.slice(2)),
    ]);
    await phone.setInputFiles("#photo", { name: "a.jpg", mimeType: "image/jpeg", buffer: bytes });
    await phone.locator("#queue img.preview").waitFor();
    await signal.cut(phone, false);
    const shown = phone.locator("#talk li.mine a.photo img");
    await shown.waitFor();
    await phone.waitForFunction(() => document.querySelectorAll("#queue li").length === 0);
    expect(await shown.count()).toBe(1);
    const sent = await phone.evaluate(async () => {
      const image = document.querySelector<HTMLImageElement>("#talk a.photo img");
      const answer = await fetch(image?.src ?? "");
      const picture = await createImageBitmap(await answer.clone().blob());
      const text = new TextDecoder("latin1").decode(await answer.arrayBuffer());
      return { width: picture.width, height: picture.height, secret: text.includes("GPS") };
    });
    expect(sent).toEqual({ width: 2048, height: 1024, secret: false });
    await windows.shot(phone, "phone-photo");

    await phone.setInputFiles("#photo", {
      name: "huge.jpg",
      mimeType: "image/jpeg",
      buffer: Buffer.alloc(9 * 1024 * 1024, 1),
    });
    await phone.getByText("at most 8 MB can be sent").waitFor();
    await phone.setInputFiles("#photo", {
      name: "notes.txt",
      mimeType: "text/plain",
      buffer: Buffer.from("not a photo"),
    });
    await phone.getByText("That is no photo.").waitFor();
    // Chromium decodes no HEIC, and many systems know no type for it.
    await phone.setInputFiles("#photo", { name: "IMG_1.HEIC", mimeType: "", buffer: heicPhoto() });
    await phone.getByText("It is a HEIC file, which cannot be shown here").waitFor();
    await phone.getByRole("link", { name: "My photo (HEIC), as it was sent" }).waitFor();
  }, 30_000);

  it("opens a drawing large and closes it again by keyboard", async () => {
    const phone = await visit(3);
    await write(phone, "how do i put the awning up");
    const drawing = phone.locator("#talk a.picture").last();
    await drawing.waitFor();
    expect(await drawing.locator("img").getAttribute("alt")).toMatch(/^Drawing: .+/);
    await drawing.click();
    const large = phone.locator("dialog#large");
    expect(await large.isVisible()).toBe(true);
    await windows.shot(phone, "phone-large");
    await phone.keyboard.press("Escape");
    expect(await large.isVisible()).toBe(false);
  }, 30_000);

  it("works without script: who to ring, writing, and the answer on the page that comes back", async () => {
    const phone = await windows.phone({ javaScriptEnabled: false });
    await phone.goto(service.links[4] ?? "");
    await phone.click("button");
    for (const number of ["tel:999", "tel:112", "tel:01632960100", "tel:01632960199"])
      expect(await phone.locator(`header a[href='${number}']`).isVisible()).toBe(true);
    await phone.fill("#text", "what height is it");
    await phone.click("#say > button");
    await phone
      .locator("#talk li.theirs", { hasText: /height/i })
      .last()
      .waitFor();
    await windows.shot(phone, "phone-no-script");
  }, 30_000);

  it("tells of the hirer's own tap after a reload", async () => {
    const phone = await visit(4);
    await write(phone, "how do i put the awning up");
    const worked = phone.getByRole("button", { name: "That worked" }).last();
    await worked.click();
    await kept(phone, "That worked").waitFor();
    await phone.reload();
    expect(await phone.locator("#talk button.chosen").textContent()).toBe("That worked");
  }, 30_000);

  it("has targets of 44 pixels and more, and never scrolls sideways, from 320 pixels on", async () => {
    for (const width of [320, 360, 768]) {
      const phone = await visit(3, await windows.phone({ viewport: { width, height: 640 } }));
      const wide = await phone.evaluate(() => document.documentElement.scrollWidth);
      expect(wide).toBeLessThanOrEqual(width);
      // WCAG 2.2, 2.5.5 Target Size (Enhanced): 44 by 44 CSS pixels; links within a sentence are excepted.
      const small = await phone
        .locator("header a, #say button, #say label.button, summary, .taps button")
        .evaluateAll((all) =>
          all
            .map((e) => ({ text: e.textContent, box: e.getBoundingClientRect() }))
            .filter(({ box }) => box.height > 0 && (box.height < 44 || box.width < 44))
            .map(({ text }) => text),
        );
      expect(small).toEqual([]);
    }
  }, 30_000);

  it("weighs little: script and style under 60 kB compressed on all pages together, under 12 kB for the talk", async () => {
    const phone = await visit(0);
    const loaded = () =>
      phone.evaluate(() =>
        performance
          .getEntriesByType("resource")
          .map((e) => e.name)
          .filter((name) => /\.(js|css)\b/.test(name)),
      );
    const weight = async (files: Iterable<string>) => {
      let bytes = 0;
      for (const file of files)
        bytes += gzipSync(await (await fetch(file)).arrayBuffer(), { level: 6 }).length;
      return bytes;
    };
    const talk = await loaded();
    const style = await phone.evaluate(() => document.querySelector("style")?.textContent ?? "");
    expect(style.length).toBeGreaterThan(1000);
    const ofTalk = (await weight(talk)) + gzipSync(style).length;
    expect(ofTalk).toBeGreaterThan(6000);
    expect(ofTalk).toBeLessThan(12_000);
    await phone.goto(`${signal.url}/chat/guide`);
    await phone.focus("#words");
    const all = new Set([...talk, ...(await loaded())]);
    expect(all.size).toBeGreaterThan(talk.length);
    expect((await weight(all)) + gzipSync(style).length).toBeLessThan(60_000);
  }, 30_000);

  it("is drawn from the page alone: who to ring waits for no style, no script and no picture", async () => {
    const phone = await visit(0, await windows.phone({ serviceWorkers: "block" }));
    const waitedFor = () =>
      phone.evaluate(() =>
        performance
          .getEntriesByType("resource")
          .filter((e) => "renderBlockingStatus" in e && e.renderBlockingStatus === "blocking")
          .map((e) => e.name),
      );
    // All else is held back, so that only the page itself can have been drawn.
    await phone.route(/\/(pages|pictures)\//, () => {});
    for (const page of [service.links[0] ?? "", `${signal.url}/chat`]) {
      const answer = await phone.goto(page, { waitUntil: "commit" });
      await phone.locator("header a[href='tel:999']").waitFor();
      await phone.waitForFunction(() => performance.getEntriesByName("first-contentful-paint")[0]);
      expect(await waitedFor()).toEqual([]);
      // 400 kbit/s carry 50 kB a second: the page, with its style, takes an eighth of one.
      const size = gzipSync((await answer?.body()) ?? "").length;
      expect(size).toBeGreaterThan(1000);
      expect(size).toBeLessThan(6500);
    }
  }, 30_000);

  it("complains of nothing", () => expect(windows.complaints).toEqual([]));
});
