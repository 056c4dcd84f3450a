/** The vans' and records' pages in Chromium: printed on one A4, read by a screen reader, on every screen. */
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { after as later } from "../../src/calendar.js";
import { laneOf } from "../../src/lanes.js";
import { cameraPhoto, type DeskVisitor, enterDesk } from "../kit/desk.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import { executablePath, openWindows, signIn, type Windows } from "./browser.js";

const axe = readFileSync("node_modules/axe-core/axe.min.js", "utf8");
const photoId = (n: number) => `photo${n}`.padEnd(22, "x");

describe.skipIf(!executablePath)("the pages of vans and records", () => {
  let windows: Windows;
  let service: WebHouse;
  let morag: DeskVisitor;
  /** A hire with much to tell: eight things reported, a full return record, twelve photos. */
  beforeAll(async () => {
    service = await openWebHouse("curlew");
    windows = await openWindows();
    morag = await enterDesk(service.url);
    const full = { unit: "miles", oil: "low", fuel: "4", fluid: "2", "gas-share": "1", keys: "1" };
    const path = "/desk/hires/h1";
    for (let i = 0; i < 12; i++)
      await morag.photo(
        `${path}/return/photo?id=${photoId(i)}&side=rear`,
        await cameraPhoto(undefined, { colour: `#${100 + 60 * i}` }),
      );
    const keep = async (kind: string, fields: Record<string, string>) => {
      const asked = await morag.post(`${path}/${kind}`, { ...fields, id: `asked-${kind}` });
      const sure = [...asked.text.matchAll(/name="(sure-[a-z-]+)" value="([^"]*)"/g)];
      const yes = Object.fromEntries(sure.map(([, k = "", v = ""]) => [k, v]));
      await morag.post(`${path}/${kind}`, { ...fields, ...yes, id: `sure-${kind}` });
    };
    await keep("pickup", {
      ...full,
      odometer: "57,340",
      fuel: "8",
      fluid: "8",
      keys: "2",
      "kit-all": "yes",
    });
    const reports = [
      "red oil can light came on",
      "the abs light is on, amber",
      "the awning is stuck out",
      "there is a strange noise when I drive",
      "cracked windscreen",
      "water is leaking inside the van",
      "nothing works in the back, no lights no pump",
      "the wipers stopped working",
    ];
    for (const [i, text] of reports.entries())
      await service.house.file({
        key: `said-${i}`,
        lane: laneOf("h1"),
        receivedAt: later(service.house.clock.now(), i),
        body: { kind: "said", from: { person: "p1", via: { channel: "web", to: "p1" } }, text },
      });
    const rows = () =>
      service.house.db
        .selectFrom("arrivals")
        .select("key")
        .where("state", "=", "waiting")
        .execute();
    for (let i = 0; i < 250 && (await rows()).length > 0; i++)
      await new Promise((r) => setTimeout(r, 20));
    const marks = Object.fromEntries(
      Array.from({ length: 12 }, (_, i) => [
        `mark-${photoId(i)}`,
        `scratch number ${i + 1}, rear door`,
      ]),
    );
    const short = Object.fromEntries(
      Array.from({ length: 14 }, (_, i) => [`kit-${i}`, i < 6 ? "0" : "9"]),
    );
    await keep("return", {
      ...full,
      ...marks,
      ...short,
      odometer: "57,912",
      remark: "Left mirror folded the wrong way. ".repeat(8),
      "hirer-remark": "A lovely time. ".repeat(12),
      "fault-1": "blind over the bed torn",
      "fault-1-severity": "note",
    });
    await morag.post("/desk/vans/SX26%20ABC", {
      do: "service",
      what: "oil and filter",
      "due-at": "58,500",
      unit: "miles",
    });
  }, 60_000);
  afterAll(async () => {
    await windows?.close();
    await service?.close();
  });
  const pages = [
    "/desk/vans",
    "/desk/vans/SX26%20ABC",
    "/desk/hires/h1",
    "/desk/hires/h1/sheet",
    "/desk/hires/h1/pickup",
    "/desk/hires/h1/return",
  ];

  it("fit on a phone and a desktop, light and dark, and axe finds nothing to mend", async () => {
    for (const dark of [false, true])
      for (const open of [windows.phone, windows.desktop]) {
        const page = await signIn(
          await open({ colorScheme: dark ? "dark" : "light" }),
          service.url,
        );
        for (const path of pages) {
          await page.goto(service.url + path);
          const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
          expect([path, over]).toEqual([path, expect.any(Number)]);
          expect(over, path).toBeLessThanOrEqual(0);
          await page.evaluate(axe);
          const found = await page.evaluate(async () => {
            const { axe: a } = window as unknown as {
              axe: { run(): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };
            };
            return (await a.run()).violations.map(
              (v) => `${v.id}: ${v.nodes[0]?.html.slice(0, 160)}`,
            );
          });
          expect([path, found]).toEqual([path, []]);
        }
        await page.context().close();
      }
    expect(windows.complaints).toEqual([]);
  }, 120_000);

  it("print the return sheet on one A4, even of a hire with much to tell", async () => {
    const page = await signIn(await windows.desktop(), service.url);
    await page.goto(`${service.url}/desk/hires/h1/sheet`);
    for (const said of [
      "Owed",
      "Refill: fuel",
      "Replace: camping chair",
      "Mend: Red oil can",
      "Left mirror",
    ])
      expect(await page.locator("main").textContent()).toContain(said);
    await page.emulateMedia({ media: "print" });
    await page.setViewportSize({ width: 710, height: 1000 });
    await page.setViewportSize({ width: 710, height: 1400 });
    await windows.shot(page, "sheet-print");
    const pdf = await page.pdf({ preferCSSPageSize: true });
    expect(pdf.toString("latin1").match(/\/Type \/Page\b(?!s)/g)).toHaveLength(1);
    expect(pdf.toString("latin1")).toMatch(/\/MediaBox \[0 0 59[45][.\d]* 84[12]/);
  }, 60_000);
});
