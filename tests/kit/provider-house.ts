/** A house with the staff hook and the message gateway on a script clock and the small step; its routes as an app. */
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import express from "express";
import { openPhotos } from "../../src/channels/webchat/photos.js";
import { type House, openHouse } from "../../src/house.js";
import { readBook } from "../../src/knowledge/read.js";
import { openLog } from "../../src/log.js";
import type { Arrival, Booking, Send } from "../../src/post.js";
import { providerDoors, providerRoutes } from "../../src/providers.js";
import type { StepFunction } from "../../src/rounds/turns.js";
import { providerSecret } from "./provider.js";
import { booking, houseParts, scriptClock, smallStep } from "./small-house.js";

const { book } = readBook();

/** The small step, whose alerts can be taken. */
const alerting: StepFunction = (state, arrival, facts) => {
  const made = smallStep(state, arrival, facts);
  const buttons = [{ tap: "take:h1:1", label: "I take it" }];
  const withButtons = (s: Send): Send =>
    s.contact === undefined ? s : { ...s, callout: 1, message: { ...s.message, buttons } };
  return { ...made, sends: made.sends.map(withButtons) };
};

export type ProviderHouse = {
  house: House;
  app: express.Express;
  clock: ReturnType<typeof scriptClock>;
  /** Lines of the log. */
  lines: string[];
  /** What was filed, in order, but for bookings and dues. */
  filed(): Promise<Arrival[]>;
  /** Makes the store fail from now on, or work again. */
  breakStore(fails?: boolean): void;
  photos: ReturnType<typeof openPhotos>;
  /** Names of what is in the folder of photos. */
  files(): string[];
  close(): Promise<void>;
};

/** Opens it with one hire, "h1", of the given people. `url`: where both providers listen. */
export async function openProviderHouse(
  url: string,
  people: Booking["people"] = [{ id: "p1", name: "Ann", booker: true, phone: "07700 900500" }],
): Promise<ProviderHouse> {
  const clock = scriptClock();
  const lines: string[] = [];
  const target = { url, secret: providerSecret, allowInternal: true };
  const settings = { hook: target, gateway: target, publicUrl: "https://trips.example.org" };
  const folder = mkdtempSync(join(tmpdir(), "passing-place-provider-"));
  const photos = openPhotos(join(folder, "photos"));
  const log = openLog("debug", { write: (line: string) => void lines.push(line) });
  const house = await openHouse({
    ...houseParts,
    ...{ book, clock, log },
    dbFile: ":memory:",
    step: alerting,
    doors: providerDoors(settings, { book, clock, log }, () => Promise.resolve(book.firm)),
  });
  await house.makeHire(booking("h1", { people }));
  await house.runUntilIdle();
  let broken = false;
  const guarded: House = {
    ...house,
    file: (arrival) =>
      broken ? Promise.reject(new Error("disk full: MARKED")) : house.file(arrival),
    failed: (...of) => (broken ? Promise.reject(new Error("disk full")) : house.failed(...of)),
  };
  return {
    house,
    app: express().use(providerRoutes(guarded, settings, photos)),
    clock,
    lines,
    photos,
    async filed() {
      const rows = await house.db.selectFrom("arrivals").select("body").orderBy("seq").execute();
      return rows
        .map((row) => JSON.parse(row.body) as Arrival)
        .filter(({ body }) => body.kind !== "booked" && body.kind !== "due");
    },
    breakStore(fails = true) {
      broken = fails;
    },
    files: () => readdirSync(join(folder, "photos")),
    async close() {
      await house.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
