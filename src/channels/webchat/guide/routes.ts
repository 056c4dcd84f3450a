/** The guide of a hire's van, and what the phone needs to keep it: pages, words, the pack, worker, manifest. */
import { type Response, Router } from "express";
import qrcode from "qrcode";
import type { Instant } from "../../../calendar.js";
import type { Book } from "../../../knowledge/book.js";
import type { FirmFile } from "../../../knowledge/schema.js";
import type { Slice } from "../../../matching/scoring/slice.js";
import { addressOf } from "../../../page-files.js";
import type { HireId } from "../../../post.js";
import { type Voice, voiceFor } from "../../../wording/say.js";
import { viewOf } from "../message.js";
import { isOver, type Visit, type Visitor } from "../visit.js";
import { cardOffer, cardPage } from "./card.js";
import type { Shown } from "./frame.js";
import { guidePage } from "./guide-page.js";
import { packOf, phoneWords } from "./pack.js";
import { stepsPage } from "./steps-page.js";

export type GuideParts = {
  book: Book;
  firmNow(): Promise<{ firm: FirmFile }>;
  now(): Instant;
  /** The words of a van type for the search on a phone. */
  wordsOf(vanType: string): Slice | undefined;
  /** Where people open this service, without a slash at the end. */
  publicUrl: string;
  /** A fresh token for a person's printed card; the one before stops working. */
  makeCardLink(hire: HireId, person: string): Promise<string>;
};

/** The app as a phone installs it; the colours are those of chat.css. */
const manifest = (firm: string) => ({
  id: "/chat",
  name: `${firm}: my van`,
  short_name: "My van",
  start_url: "/chat",
  scope: "/chat",
  display: "standalone",
  background_color: "#f2efe7",
  theme_color: "#1a444e",
  icons: [
    { src: addressOf("/pages/icon.svg"), sizes: "any", type: "image/svg+xml" },
    { src: "/pages/icon-192.png", sizes: "192x192", type: "image/png" },
    { src: "/pages/icon-512.png", sizes: "512x512", type: "image/png", purpose: "any" },
    { src: "/pages/icon-512.png", sizes: "512x512", type: "image/png", purpose: "maskable" },
  ],
});

export function guideRoutes(parts: GuideParts, visit: Visit): Router {
  const router = Router();
  const { known, page } = visit;
  async function voiceOf({ hire }: Visitor): Promise<Voice> {
    const { firm } = await parts.firmNow();
    const { van, region, lang } = hire.booking;
    return voiceFor({ ...parts.book, firm }, van.type, region, lang);
  }
  async function shownTo(who: Visitor): Promise<Shown> {
    const voice = await voiceOf(who);
    const { booking } = who.hire;
    return { voice, booking, view: viewOf(voice.book, booking.zone, booking.region) };
  }
  const keptApart = (res: Response) => res.set("Cache-Control", "no-store");

  router.get(
    "/chat/guide",
    known(async (req, res, who) =>
      page(res, 200, guidePage(await shownTo(who), req.query["whole"] === "1")),
    ),
  );
  router.get(
    "/chat/steps",
    known(async (_req, res, who) => page(res, 200, stepsPage(await shownTo(who)))),
  );
  router.get(
    "/chat/words",
    known(async (_req, res, who) => {
      const slice = parts.wordsOf(who.hire.booking.van.type);
      return slice
        ? keptApart(res).json(phoneWords(await voiceOf(who), slice))
        : keptApart(res).status(404).json({ error: "There is no guide for this van type." });
    }),
  );
  router.get(
    "/chat/pack",
    known(async (_req, res, who) =>
      keptApart(res).json(
        isOver(who.hire, parts.now())
          ? { over: true }
          : packOf(await voiceOf(who), who.hire.booking),
      ),
    ),
  );
  router.get(
    "/chat/card",
    known(async (_req, res, who) => page(res, 200, cardOffer(await shownTo(who)))),
  );
  router.post(
    "/chat/card",
    known(async (_req, res, who) => {
      const token = await parts.makeCardLink(who.hire.id, who.person.id);
      const address = `${parts.publicUrl}/h/${token}`;
      // Level Q of ISO/IEC 18004: a quarter of the code may be scratched or wet.
      const qr = await qrcode.toString(address, {
        type: "svg",
        errorCorrectionLevel: "Q",
        margin: 4,
      });
      return page(res, 201, cardPage(await shownTo(who), qr, address));
    }),
  );
  router.get("/app.webmanifest", async (_req, res) => {
    const { firm } = await parts.firmNow();
    res.type("application/manifest+json").send(JSON.stringify(manifest(firm.name)));
  });
  return router;
}
