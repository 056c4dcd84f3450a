/** The desk: sign-in, what waits, hires. Everything done here enters as an arrival in the hire's lane. */
import express, { type NextFunction, type Request, type Response, Router } from "express";
import { Fault } from "../faults.js";
import type { Hire } from "../hires/hire.js";
import { html } from "../pages/html.js";
import type { HireId, LaneId } from "../post.js";
import { eventsOf, fileOf } from "../store/events.js";
import { hiresBack, hiresOnRoad, hiresToCome } from "../store/hires.js";
import { newLink } from "../store/tokens.js";
import { type DeskParts, deskEntry, newId, send } from "./entry.js";
import { deskPage, unknownPage, type Who } from "./frame.js";
import { hirePage, newHirePage, roadPage } from "./hires.js";
import { hireIdOf, keptPage, linksShown } from "./links/made.js";
import { noticeRoutes } from "./notices/routes.js";
import { readAct, readNewHire } from "./read-forms.js";
import { recordRoutes } from "./records/routes.js";
import { replyRoutes } from "./replies/routes.js";
import { rosterRoutes } from "./roster/routes.js";
import { sheetRoutes } from "./sheet/sheet.js";
import { blockedVans, knownPlate } from "./vans/blocked.js";
import { blockedLine } from "./vans/blocks.js";
import { vanRoutes } from "./vans/routes.js";
import { waitRoutes } from "./waits/routes.js";
import { whyRoutes } from "./why.js";

const laneOf = (hire: string) => `hire:${hire}` as LaneId;

/** The routes under /desk. */
export function deskRoutes(parts: DeskParts): Router {
  const router = Router();
  const { book, db } = parts;
  const { firm } = book;
  const form = express.urlencoded({ extended: false, limit: "64kb" });
  const { router: entry, fresh, signedIn, staff } = deskEntry(parts);
  router.use(entry);
  router.use(recordRoutes(parts, { staff }));
  router.use(sheetRoutes(parts, { staff }));
  router.use(vanRoutes(parts, { staff }));
  router.use(whyRoutes(parts, { staff }));
  router.use(noticeRoutes(parts, { staff }));
  router.use(replyRoutes(parts, { staff }));
  const linksOnce = linksShown(parts.now);
  const hireState = async (id: string): Promise<Hire | undefined> => {
    const state = await parts.laneState(laneOf(id));
    return state?.kind === "hire" ? state.hire : undefined;
  };
  const unknownHire = (res: Response, who: Who) => send(res, 404, unknownPage(who, "hire"));

  router.use(waitRoutes(parts, { staff, fresh, signedIn }));
  router.post(
    "/desk/act",
    form,
    staff(async (req, res, who) => {
      const body = req.body as Record<string, unknown>;
      const id = String(body["hire"] ?? "");
      const hire = await hireState(id);
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
      const key = /^[A-Za-z0-9_-]{8,40}$/.test(String(body["id"] ?? ""))
        ? String(body["id"])
        : newId();
      await parts.file({
        key: `desk:${who.contact}:${key}`,
        lane: laneOf(id),
        receivedAt: parts.now(),
        body: { kind: "desk", by: who.contact, act },
      });
      const back = String(body["back"] ?? "");
      return res.redirect(303, /^\/desk(\/[\w-]+)*$/.test(back) ? back : "/desk");
    }),
  );

  router.get(
    "/desk/hires",
    staff(async (_req, res, who) => {
      const now = parts.now();
      return send(
        res,
        200,
        deskPage(
          "Vans on the road",
          who,
          roadPage(
            await hiresOnRoad(db, now),
            await hiresToCome(db, now),
            await hiresBack(db),
            now,
            await blockedVans(db, now),
          ),
        ),
      );
    }),
  );
  router.get(
    "/desk/hires/new",
    staff(async (_req, res, who) =>
      send(res, 200, deskPage("Add a hire", who, newHirePage(book, who, newId()))),
    ),
  );
  router.post(
    "/desk/hires/new",
    form,
    staff(async (req, res, who) => {
      const body = req.body as Record<string, string>;
      const key = /^[A-Za-z0-9_-]{8,40}$/.test(body["id"] ?? "") ? String(body["id"]) : newId();
      const read = readNewHire(body, book, hireIdOf(who.contact, key));
      if ("wrong" in read)
        return send(
          res,
          400,
          deskPage("Add a hire", who, newHirePage(book, who, newId(), body, read.wrong)),
        );
      const links = await linksOnce(JSON.stringify([who.contact, key, read.booking]), async () => {
        // The same van however its plate is spelt: its faults would else not follow it.
        const { van } = read.booking;
        van.registration = (await knownPlate(db, van.registration)) ?? van.registration;
        const made = await parts.makeHire(read.booking, `desk:${who.contact}:${key}`);
        return made.links;
      });
      // A form that is sent again after the links were forgotten leads to the hire, where new ones are made.
      if (links.length === 0) return res.redirect(303, `/desk/hires/${read.booking.hire}`);
      return send(
        res,
        201,
        deskPage("A new hire", who, keptPage(read.booking, links, parts.publicUrl)),
      );
    }),
  );
  router.get(
    "/desk/hires/:id",
    staff(async (req, res, who) => {
      const hire = await hireState(String(req.params["id"]));
      if (!hire) return unknownHire(res, who);
      const now = parts.now();
      const { registration } = hire.booking.van;
      const blocks = (await blockedVans(db, now)).get(registration) ?? [];
      const events = await eventsOf(db, laneOf(hire.id));
      const page = hirePage(
        hire,
        events,
        who,
        now,
        newId,
        new Map(),
        blockedLine(blocks, registration),
      );
      return send(res, 200, deskPage(registration, who, page));
    }),
  );
  router.post(
    "/desk/hires/:id/link",
    form,
    staff(async (req, res, who) => {
      const hire = await hireState(String(req.params["id"]));
      const person = hire?.people.find(
        (p) => p.id === (req.body as Record<string, unknown>)["person"],
      );
      if (!hire || !person) return unknownHire(res, who);
      const token = await newLink(db, hire.id as HireId, person.id, parts.now());
      return send(
        res,
        201,
        deskPage(
          hire.booking.van.registration,
          who,
          hirePage(
            hire,
            await eventsOf(db, laneOf(hire.id)),
            who,
            parts.now(),
            newId,
            new Map([[person.id, `${parts.publicUrl}/h/${token}`]]),
          ),
        ),
      );
    }),
  );
  router.get(
    "/desk/photo/:id",
    staff(async (req, res, who) => {
      const id = String(req.params["id"]);
      const file = await fileOf(db, laneOf(String(req.query["hire"] ?? "")), id);
      const bytes = file && (await parts.photos.load(id));
      if (!bytes) return send(res, 404, deskPage("Desk", who, html`<h1>No such photo</h1>`));
      // What a browser only shows or plays is opened here; anything else is kept as a file.
      const shown = /^(image\/(jpeg|png|webp|heic)|(audio|video)\/[\w.+-]+)$/.test(file.kind);
      return res
        .set({
          "Content-Disposition": shown ? "inline" : "attachment",
          "Cache-Control": "private",
          "X-Content-Type-Options": "nosniff",
        })
        .type(shown ? file.kind : "application/octet-stream")
        .send(bytes);
    }),
  );

  router.use(rosterRoutes(parts, staff, newId));

  router.use("/desk", (error: unknown, req: Request, res: Response, next: NextFunction) => {
    if (res.headersSent) return next(error);
    const status =
      typeof error === "object" &&
      error !== null &&
      "status" in error &&
      typeof error.status === "number"
        ? error.status
        : 500;
    if (status < 500)
      return send(
        res,
        status === 413 ? 413 : 400,
        deskPage(
          "Desk",
          undefined,
          html`<h1>Not done</h1><p>That could not be read${status === 413 ? ": it is too large" : ""}.</p><p><a href="/desk">Back</a></p>`,
        ),
      );
    parts.log.error("desk could not store", {
      code: error instanceof Fault ? error.code : "unknown",
      route: req.path.split("/")[2] ?? "desk",
    });
    return send(
      res,
      503,
      deskPage(
        "Desk",
        undefined,
        html`<h1>Not done</h1><p>It could not be kept just now. Please go back and try again.</p>`,
      ),
    );
  });
  return router;
}
