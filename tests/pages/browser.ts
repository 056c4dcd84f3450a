/** Chromium for the tests of the pages: one browser a file, windows as phones and desktops have them. */
import { existsSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo, Socket } from "node:net";
import { type Browser, type BrowserContextOptions, chromium, type Page } from "playwright-core";
import { deskPassword, type WebHouse } from "../kit/web-house.js";

/** Debian's Chromium; undefined where none is installed. */
export const executablePath = ["/usr/bin/chromium", "/usr/bin/chromium-browser"].find((p) =>
  existsSync(p),
);
if (!executablePath) console.log("browser tests skipped: no Chromium at /usr/bin/chromium");

/** Where to keep screenshots, when somebody wants to look; a folder outside the project. */
const shots = process.env["SCREENSHOTS"];

export type Windows = {
  /** A phone, 360 by 740. */
  phone(more?: BrowserContextOptions): Promise<Page>;
  /** A desktop, 1440 by 900. */
  desktop(more?: BrowserContextOptions): Promise<Page>;
  shot(page: Page, name: string): Promise<void>;
  /** What pages threw or complained about; a cut connection and a refused request are no complaint. */
  complaints: string[];
  close(): Promise<void>;
};

/** Starts the browser. `close` ends it. */
export async function openWindows(): Promise<Windows> {
  const browser: Browser = await chromium.launch({
    executablePath: executablePath ?? "",
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
  const complaints: string[] = [];
  const open = async (more: BrowserContextOptions): Promise<Page> => {
    const context = await browser.newContext({
      permissions: ["geolocation"],
      geolocation: { latitude: 57.4778, longitude: -4.2247 },
      ...more,
    });
    const page = await context.newPage();
    page.on("pageerror", (e) => complaints.push(e.message));
    // What a page names of our own must be there; what it asks for as it runs may be refused.
    page.on("response", (got) => {
      const kind = got.request().resourceType();
      if (got.status() === 404 && ["script", "stylesheet", "font"].includes(kind))
        complaints.push(`404: ${got.url()}`);
    });
    page.on("console", (m) => {
      if (
        m.type() === "error" &&
        !/ERR_|Failed to load resource|error occurred when fetching the script/.test(m.text())
      )
        complaints.push(m.text());
    });
    return page;
  };
  return {
    phone: (more = {}) =>
      open({ viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true, ...more }),
    desktop: (more = {}) => open({ viewport: { width: 1440, height: 900 }, ...more }),
    async shot(page, name) {
      if (shots)
        await page.screenshot({
          path: `${shots}/${name}.png`,
          fullPage: name.startsWith("desk"),
        });
    },
    complaints,
    close: () => browser.close(),
  };
}

/** Signs a contact in at the desk of the service at `url`, up to what waits. Gives the page back. */
export async function signIn(page: Page, url: string, contact = "morag"): Promise<Page> {
  await page.goto(`${url}/desk`);
  await page.selectOption("select[name=contact]", contact);
  await page.fill("input[name=password]", deskPassword);
  await page.click("button.main");
  await page.waitForSelector("#waits");
  return page;
}

/** The network that hirers' phones have: the same service at an address of its own. */
export type Signal = {
  url: string;
  /** Opens a person's link, up to the talk; there is signal. */
  visit(page: Page, person: number): Promise<Page>;
  /** The same, until the pack of the hire is kept whole. */
  visited(page: Page, person: number): Promise<Page>;
  /**
   * Takes the signal from a phone, or gives it back. Chromium's own "offline" is lifted for a moment from a page
   * that is being left (it hears "online" and sends); so nothing gets through here either.
   */
  cut(page: Page, off: boolean): Promise<void>;
  close(): Promise<void>;
};

export async function openSignal({ app, url: from, links }: WebHouse): Promise<Signal> {
  let off = false;
  const open = new Set<Socket>();
  const server = createServer(app);
  server.on("connection", (socket) => {
    if (off) return socket.destroy();
    open.add(socket.on("close", () => open.delete(socket)));
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  const drop = () => {
    for (const socket of open) socket.destroy();
  };
  const visit = async (page: Page, person: number) => {
    off = false;
    await page.goto((links[person] ?? "").replace(from, url));
    await page.waitForURL("**/chat");
    return page;
  };
  return {
    url,
    visit,
    async visited(page, person) {
      await visit(page, person);
      await page.locator("#kept", { hasText: "works without signal" }).waitFor();
      return page;
    },
    async cut(page, gone) {
      off = gone;
      if (off) drop();
      await page.context().setOffline(off);
    },
    async close() {
      drop();
      await new Promise((done) => server.close(done));
    },
  };
}

/** Writes a message on the hirer's page. */
export async function write(page: Page, text: string): Promise<void> {
  await page.fill("#text", text);
  await page.click("#say > button");
}
