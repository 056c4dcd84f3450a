/** The page at the desk that tells why a message was understood as it was, over HTTP. */
import request from "supertest";
import { afterAll, beforeAll, expect, it } from "vitest";
import { understand } from "../../src/hires/understand.js";
import { nearestAsk } from "../../src/matching/why.js";
import { eventsOf } from "../../src/store/events.js";
import { type DeskVisitor, enterDesk } from "../kit/desk.js";
import { book, matcher } from "../kit/hire.js";
import { deskPassword, openWebHouse, type WebHouse } from "../kit/web-house.js";
import { executablePath, openWindows } from "../pages/browser.js";

const asked = "how do i emptie the toielt <b>casette</b>?";
let service: WebHouse;
let desk: DeskVisitor;
let n = 0;

beforeAll(async () => {
  service = await openWebHouse("curlew");
  desk = await enterDesk(service.url);
  const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
  const { house, lane } = service;
  const receivedAt = house.clock.now();
  await house.file({ key: "w1", lane, receivedAt, body: { kind: "said", from, text: asked } });
  await house.file({ key: "w2", lane, receivedAt, body: { kind: "tapped", from, tap: "ok" } });
  for (let i = 0; i < 250 && (await events()).filter((e) => e.kind === "in").length < 2; i++)
    await new Promise((resolve) => setTimeout(resolve, 20));
  n = (await events()).find((e) => e.text === asked)?.n ?? 0;
});
afterAll(() => service?.close());
const events = () => eventsOf(service.house.db, service.lane);
const path = (event: number | string = n) => `/desk/hires/h1/why?n=${event}`;

it("each message in a hirer's words has a link to its why, and nothing else has", async () => {
  const { text } = await desk.get("/desk/hires/h1");
  expect(text.match(/\/why\?n=\d+/g)).toEqual([`/why?n=${n}`]);
});

it("the page tells the choice, the entries, the words, the costs and what spoke of danger", async () => {
  const van = book.vans.get("curlew");
  if (!van) throw new Error("the book has no curlew");
  const { why, outcome, entries } = understand(matcher, { text: asked, van, lang: "en" });
  expect(outcome).toBe("answer");
  expect(why.corrected).toContain("toielt → toilet");
  const { status, text } = await desk.get(path());
  expect(status).toBe(200);
  expect(text).toContain(book.entries.get(entries[0]?.id ?? "")?.title);
  for (const { id, p } of why.entries) {
    expect(text).toContain(`<code>${id}</code>`);
    expect(text).toContain(`${(p * 100).toFixed(1)} %`);
  }
  for (const cost of Object.values(why.costs)) expect(text).toContain(`: ${cost.toFixed(2)}`);
  const nearest = nearestAsk(matcher, why) ?? "no ask is near";
  expect(book.entries.get(entries[0]?.id ?? "")?.asks).toContain(nearest);
  for (const part of [...why.corrected, ...why.because, why.words.join(" "), nearest])
    expect(text).toContain(part);
  expect(text).toContain("without the talk before it");
  expect(text).toContain("&lt;b&gt;casette");
});

it("only who is signed in at the desk sees it", async () => {
  const stranger = await request(service.url).get(path()).set("Accept", "text/html");
  expect(stranger.text).toContain("Password");
  expect(stranger.text).not.toContain("casette");
});

it("a number that is no message of a hirer, or a hire that is not known, is told so", async () => {
  const out = (await events()).find((e) => e.kind === "out")?.n ?? 0;
  for (const wrong of [path(out), path(""), path("x"), path(99_999), "/desk/hires/none/why?n=1"]) {
    const { status, text } = await desk.get(wrong);
    expect(status, wrong).toBe(404);
    expect(text).not.toContain("casette");
  }
});

it.skipIf(!executablePath)(
  "the page is no wider than a phone or a desktop",
  { timeout: 60_000 },
  async () => {
    const windows = await openWindows();
    try {
      for (const [name, open] of Object.entries({
        phone: windows.phone,
        desktop: windows.desktop,
      })) {
        const page = await open();
        await page.goto(`${service.url}/desk`);
        await page.selectOption("[name=contact]", "morag");
        await page.fill("[name=password]", deskPassword);
        await page.click("button.main");
        await page.goto(service.url + path());
        await windows.shot(page, `why-${name}`);
        const wide = "document.documentElement.scrollWidth - document.documentElement.clientWidth";
        expect(await page.evaluate(wide)).toBeLessThanOrEqual(0);
      }
      expect(windows.complaints).toEqual([]);
    } finally {
      await windows.close();
    }
  },
);
