/** The desk: sign-in, what waits, hires. Everything done here enters as an arrival in the hire's lane. */
import { type NextFunction, type Request, type Response, Router } from "express";
import { laneOf } from "../lanes.js";
import { faultFields } from "../log.js";
import { html } from "../pages/html.js";
import { shownCopy } from "../photo-copy.js";
import { fileOf } from "../store/events.js";
import { statusOf } from "../web-requests.js";
import { canBeShown } from "../wording/pictures.js";
import { accountRoutes } from "./accounts/routes.js";
import { bookingRoutes } from "./bookings/routes.js";
import { type DeskParts, deskEntry, form, formId, hireState, newId, send } from "./entry.js";
import { findRoutes } from "./find/routes.js";
import { deskPage, unknownPage, type Who } from "./frame.js";
import { changeRoutes } from "./hires/change-routes.js";
import { hireRoutes } from "./hires/routes.js";
import { noticeRoutes } from "./notices/routes.js";
import { numberRoutes } from "./numbers/routes.js";
import { privacyRoutes } from "./privacy/routes.js";
import { readAct } from "./read-forms.js";
import { recordRoutes } from "./records/routes.js";
import { replyRoutes } from "./replies/routes.js";
import { rosterRoutes } from "./roster/routes.js";
import { fileFormAndSee } from "./settle.js";
import { sheetRoutes } from "./sheet/sheet.js";
import { todayRoutes } from "./today/routes.js";
import { vanRoutes } from "./vans/routes.js";
import { waitRoutes } from "./waits/routes.js";
import { whyRoutes } from "./why.js";
import { wordingRoutes } from "./wordings/routes.js";

/** The routes under /desk. */
export function deskRoutes(parts: DeskParts): Router {
  const router = Router();
  const { db } = parts;
  const { firm } = parts.book;
  const { router: entry, fresh, stillIn, staff, onHire } = deskEntry(parts);
  router.use(entry);
  router.use(recordRoutes(parts, { staff, onHire }));
  router.use(sheetRoutes(parts, { staff }));
  router.use(vanRoutes(parts, { staff }));
  router.use(whyRoutes(parts, { staff }));
  router.use(privacyRoutes(parts, { onHire }));
  router.use(noticeRoutes(parts, { staff }));
  router.use(replyRoutes(parts, { staff }));
  router.use(accountRoutes(parts, { staff }));
  router.use(wordingRoutes(parts, { staff }));
  router.use(numberRoutes(parts, { staff }));
  const unknownHire = (res: Response, who: Who) => send(res, 404, unknownPage(who, "hire"));

  router.use(waitRoutes(parts, { staff, fresh, stillIn }));
  router.use(findRoutes(parts, { staff, onHire }));
  router.use(bookingRoutes(parts, { staff }));
  router.use(changeRoutes(parts, { onHire }));
  router.use(hireRoutes(parts, { staff, onHire }));
  router.use(todayRoutes(parts, { staff, fresh }));
  router.post(
    "/desk/act",
    form,
    staff(async (req, res, who) => {
      const body = req.body as Record<string, unknown>;
      const id = String(body["hire"] ?? "");
      const hire = await hireState(parts, id);
      if (!hire) return unknownHire(res, who);
      const act = readAct(body, parts.now(), firm.zone);
      if (typeof act === "string")
        return send(
          res,
          400,
          deskPage(
            "Desk",
            who,
            html`<h1>Not done</h1><p class="wrong">${act}</p><p><a href="/desk">Back</a></p>`,
          ),
        );
      await fileFormAndSee(parts, {
        key: `desk:${who.contact}:${formId(body["id"])}`,
        lane: laneOf(id),
        receivedAt: parts.now(),
        body: { kind: "desk", by: who.contact, act },
      });
      const back = String(body["back"] ?? "");
      return res.redirect(303, /^\/desk(\/[\w-]+)*$/.test(back) ? back : "/desk");
    }),
  );

  router.get(
    "/desk/photo/:id",
    staff(async (req, res, who) => {
      const id = String(req.params["id"]);
      const file = await fileOf(db, laneOf(String(req.query["hire"] ?? "")), id);
      const bytes = file && (await parts.photos.load(id));
      if (!bytes) return send(res, 404, deskPage("Desk", who, html`<h1>No such photo</h1>`));
      // A picture that we can decode is shown as a copy without what cameras write into it.
      const copy = file.kind.startsWith("image/") ? await shownCopy(bytes) : undefined;
      // What a browser only shows or plays is opened here; anything else is kept as a file.
      const opens = /^(image\/(jpeg|png|webp)|(audio|video)\/[\w.+-]+)$/.test(file.kind);
      const shown = copy !== undefined || opens;
      const name = canBeShown(file.kind) ? "" : `; filename="photo-${id}.heic"`;
      return res
        .set({
          "Content-Disposition": shown ? "inline" : `attachment${name}`,
          "Cache-Control": "private",
          "X-Content-Type-Options": "nosniff",
        })
        .type(copy ? "jpeg" : shown || name ? file.kind : "application/octet-stream")
        .send(copy ?? bytes);
    }),
  );

  router.use(rosterRoutes(parts, staff, newId));

  router.use("/desk", (error: unknown, req: Request, res: Response, next: NextFunction) => {
    if (res.headersSent) return next(error);
    const status = statusOf(error);
    if (status !== undefined)
      return send(
        res,
        status === 413 ? 413 : 400,
        deskPage(
          "Desk",
          undefined,
          html`<h1>Not done</h1><p>That could not be read${status === 413 ? ": it is too large" : ""}.</p><p><a href="/desk">Back</a></p>`,
        ),
      );
    parts.log.error("request failed", {
      ...faultFields(error),
      route: req.path.split("/")[1] || "desk",
    });
    const text =
      req.method === "GET"
        ? "That page could not be shown just now. Please try again."
        : "It could not be kept just now. Please go back and try again.";
    return send(res, 503, deskPage("Desk", undefined, html`<h1>Not done</h1><p>${text}</p>`));
  });
  return router;
}
