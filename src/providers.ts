/** What the house gives to providers: the staff hook and the message gateway, out and in, and what comes in by Telegram. */
import { Router } from "express";
import type { Door } from "./channels/door.js";
import { fetchFile } from "./channels/fetch-file.js";
import { gatewayRoutes, type TextParts } from "./channels/gateway/receive.js";
import { gatewayDoor } from "./channels/gateway/send.js";
import { hookRoutes } from "./channels/hook/receive.js";
import { hookDoor } from "./channels/hook/send.js";
import type { ReceiveParts } from "./channels/telegram/receive.js";
import type { TelegramDoor } from "./channels/telegram/send.js";
import { carried } from "./channels/telegram/taps.js";
import { type Photos, photoLimitBytes, pictureKind } from "./channels/webchat/photos.js";
import type { House } from "./house.js";
import { homeCode } from "./knowledge/book.js";
import type { FirmFile } from "./knowledge/schema.js";
import { laneOf } from "./lanes.js";
import type { Settings } from "./settings.js";
import { contactTold, sentIn, staffTarget } from "./store/addresses/answers.js";
import { whoseChat, whoseNumber } from "./store/addresses/phones.js";
import { readAt, sendsTo } from "./store/addresses/sends-to.js";
import { arrivalOf } from "./store/arrivals.js";
import { findButton } from "./store/events.js";

/** The doors of the providers that are set up. `firm`: as it holds now. */
export function providerDoors(
  settings: Pick<Settings, "hook" | "gateway" | "publicUrl">,
  { book, clock, log }: Pick<House, "book" | "clock" | "log">,
  firm: () => Promise<FirmFile>,
): Door[] {
  const { hook, gateway, publicUrl } = settings;
  const shared = { now: () => clock.now(), book, publicUrl };
  return [
    ...(hook ? [hookDoor({ ...shared, log, firm, target: hook })] : []),
    ...(gateway ? [gatewayDoor({ ...shared, target: gateway })] : []),
  ];
}

/** What reading a text message asks of the house. */
export const textParts = (house: House, photos: Photos, allowInternal: boolean): TextParts => ({
  clock: house.clock,
  file: (arrival) => house.file(arrival),
  filedAs: (key) => arrivalOf(house.db, key),
  log: house.log,
  homeCode: homeCode(house.book),
  whose: (address, ways) => whoseNumber(house.db, address, ways, house.clock.now()),
  linkOf: async (token) => {
    const link = await house.findLink(token, "chat");
    return link && { lane: laneOf(link.hire), person: link.person };
  },
  readAt: (lane, address, at) => readAt(house.db, lane, address, at),
  keepPicture: async (bytes, key) => {
    const kind = bytes.length > photoLimitBytes ? undefined : pictureKind(bytes);
    return kind === undefined
      ? undefined
      : { id: await photos.save(bytes, key), kind, bytes: bytes.length };
  },
  fetchMedia: (url) => fetchFile(url, { allowInternal, limitBytes: photoLimitBytes }),
});

/** Where the providers answer: /hook/answers, /gateway/messages, /gateway/failures; those that are set up. */
export function providerRoutes(
  house: House,
  settings: Pick<Settings, "hook" | "gateway">,
  photos: Photos,
): Router {
  const router = Router();
  const { hook, gateway } = settings;
  const { clock, log } = house;
  if (hook)
    router.use(
      hookRoutes({
        secret: hook.secret,
        clock,
        log,
        file: house.file,
        sent: async (to, fits) => (await sendsTo(house.db, to)).find((row) => fits(row.key)),
        failed: house.failed,
      }),
    );
  if (gateway)
    router.use(
      gatewayRoutes({
        ...textParts(house, photos, gateway.allowInternal),
        secret: gateway.secret,
        log,
        failed: house.failed,
      }),
    );
  return router;
}

/** What reading an update asks of the house. */
export function telegramParts(
  house: House,
  settings: NonNullable<Settings["telegram"]>,
  door: TelegramDoor,
): ReceiveParts {
  const { db, clock, log } = house;
  return {
    botId: settings.botId,
    secret: settings.secret ?? "",
    staff: async () => (await house.firmNow()).reach.telegram,
    file: (arrival) => house.file(arrival),
    staffTarget: (via, contacts, repliesTo) => staffTarget(db, via, contacts, repliesTo),
    contactTold: (via, message) => contactTold(db, via, message),
    sentIn: (via, message) => sentIn(db, via, message),
    whose: (address) => whoseChat(db, address, clock.now()),
    linkOf: async (token) => {
      const link = await house.findLink(token, "chat");
      return link && { lane: laneOf(link.hire), person: link.person };
    },
    tapOf: async (lane, data) =>
      (await findButton(db, lane, (button) => carried(button.tap) === data))?.tap,
    answerTap: (query) => door.answerTap(query),
    clock,
    log,
  };
}
