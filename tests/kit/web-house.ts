/** The whole service on loopback: house, loops and pages, on a store and a photo folder of its own. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Express } from "express";
import { after, instantOf } from "../../src/calendar.js";
import type { House } from "../../src/house.js";
import type { Book } from "../../src/knowledge/book.js";
import { type Log, quietLog } from "../../src/log.js";
import { openService } from "../../src/open-service.js";
import type { HireId, LaneId } from "../../src/post.js";
import type { Clock } from "../../src/rounds/turns.js";
import type { Settings } from "../../src/settings.js";
import type { Trial } from "../../src/wordings/changes.js";
import { bookingOf, peopleOf } from "./booking.js";
import { book, matcher } from "./hire.js";

export type WebHouse = {
  house: House;
  url: string;
  links: string[];
  lane: LaneId;
  app: Express;
  close(): Promise<void>;
};
export const deskPassword = "four-plain-words-together";

/** Opens it with one hire of a van type, under way since yesterday; `links` as hirers get them, booker first. */
export async function openWebHouse(
  van = "curlew",
  people = ["Ann", "Ben"],
  more: {
    book?: Book;
    clock?: Clock;
    databaseUrl?: string;
    hire?: string;
    log?: Log;
    metricsToken?: string;
    bot?: Settings["telegram"];
    trial?: Trial;
    settings?: Partial<Settings>;
    surname?: string;
    phone?: string;
  } = {},
): Promise<WebHouse> {
  const {
    databaseUrl,
    hire = "h1",
    metricsToken,
    bot,
    settings,
    surname = "Stone",
    ...rest
  } = more;
  const { phone = "07700 900500", ...parts } = rest;
  const folder = mkdtempSync(join(tmpdir(), "passing-place-web-"));
  const service = await openService(
    {
      port: 0,
      host: "127.0.0.1",
      publicUrl: "http://127.0.0.1",
      databaseFile: join(folder, "test.sqlite"),
      ...(databaseUrl === undefined ? {} : { databaseUrl }),
      ...(metricsToken === undefined ? {} : { metricsToken }),
      ...(bot === undefined ? {} : { telegram: bot }),
      logLevel: "silent",
      deskPasswords: { morag: deskPassword, callum: deskPassword },
      ...settings,
    },
    { book, matcher, log: quietLog, ...parts },
  );
  const { house, url } = service;
  const now = more.clock?.now() ?? instantOf(Date.now());
  const booking = bookingOf({
    hire: hire as HireId,
    van: { registration: "SX26 ABC", type: van },
    pickupAt: after(now, -24 * 60),
    returnAt: after(now, 6 * 24 * 60),
    surname,
    people: peopleOf(people, phone),
  });
  const made = await house.makeHire(booking);
  return {
    house,
    app: service.app,
    url,
    lane: made.lane,
    links: made.links.map((l) => `${url}/h/${l.token}`),
    async close() {
      await service.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
