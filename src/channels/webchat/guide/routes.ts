/** The guide of a hire's van, and what the phone needs to keep it: pages, words, the pack, worker, manifest. */

import { type Request, type Response, Router } from "express";
import type { Instant } from "../../../calendar.js";
import type { Hire } from "../../../hires/hire.js";
import type { Slice } from "../../../matching/scoring/slice.js";
import { addressOf } from "../../../page-files.js";
import type { Visit, Visitor } from "../visit.js";
import { cardOffer } from "./card.js";
import { noGuide } from "./frame.js";
import { guidePage } from "./guide-page.js";
import { type CardParts, makeCard, shownFor } from "./make-card.js";
import { packOf, phoneWords } from "./pack.js";
import { stepsPage } from "./steps-page.js";

export type GuideParts = CardParts & {
  now(): Instant;
  /** Whether a hire is over, as the step has it. */
  isOver(hire: Hire): boolean;
  /** The words of a van type for the search on a phone. */
  wordsOf(vanType: string): Slice | undefined;
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

const noVan = { error: "There is no guide for this van type." };

export function guideRoutes(parts: GuideParts, visit: Visit): Router {
  const router = Router();
  const { known, own, page } = visit;
  const shownTo = (who: Visitor) => shownFor(parts, who.hire);
  const voiceOf = async (who: Visitor) => (await shownTo(who)).voice;
  /** Pages that tell of the van. */
  const ofVan = (
    act: (req: Request, res: Response, who: Visitor) => Promise<unknown>,
    guard = known,
  ) =>
    guard(async (req, res, who) =>
      parts.book.vans.has(who.hire.booking.van.type)
        ? act(req, res, who)
        : page(res, 404, noGuide(await shownTo(who))),
    );
  const keptApart = (res: Response) => res.set("Cache-Control", "no-store");

  router.get(
    "/chat/guide",
    ofVan(async (req, res, who) =>
      page(res, 200, guidePage(await shownTo(who), req.query["whole"] === "1")),
    ),
  );
  router.get(
    "/chat/steps",
    ofVan(async (_req, res, who) => page(res, 200, stepsPage(await shownTo(who)))),
  );
  router.get(
    "/chat/words",
    known(async (_req, res, who) => {
      const slice = parts.wordsOf(who.hire.booking.van.type);
      return slice
        ? keptApart(res).json(phoneWords(await voiceOf(who), slice))
        : keptApart(res).status(404).json(noVan);
    }),
  );
  router.get(
    "/chat/pack",
    known(async (_req, res, who) => {
      const { booking } = who.hire;
      if (parts.isOver(who.hire)) return keptApart(res).json({ over: true });
      return parts.book.vans.has(booking.van.type)
        ? keptApart(res).json(packOf(await voiceOf(who), booking, who.person.id))
        : keptApart(res).status(404).json(noVan);
    }),
  );
  router.get(
    "/chat/card",
    ofVan(async (_req, res, who) => page(res, 200, cardOffer(await shownTo(who))), own),
  );
  router.post(
    "/chat/card",
    ofVan(
      async (_req, res, who) => page(res, 201, await makeCard(parts, who.hire, who.person.id)),
      own,
    ),
  );
  router.get("/app.webmanifest", async (_req, res) => {
    const { firm } = await parts.firmNow();
    res.type("application/manifest+json").send(JSON.stringify(manifest(firm.name)));
  });
  return router;
}
