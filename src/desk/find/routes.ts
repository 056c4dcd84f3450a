/** Finding a hire at /desk/find, and writing down a telephone call at /desk/hires/:id/call. */
import express, { Router } from "express";
import { hiresToFind } from "../../store/care/find.js";
import { laneOf } from "../../store/hires.js";
import { type DeskParts, type Entry, formId, hireState, send } from "../entry.js";
import { deskPage, unknownPage } from "../frame.js";
import { fileAndSee } from "../settle.js";
import { find } from "./find.js";
import { callPage, foundList, foundPage } from "./page.js";
import { readCall } from "./read-call.js";

export function findRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  const form = express.urlencoded({ extended: false, limit: "64kb" });

  router.get(
    "/desk/find",
    staff(async (req, res, who) => {
      const asked = String(req.query["q"] ?? "").slice(0, 60);
      const now = parts.now();
      const found = find(await hiresToFind(parts.db, now), asked, now);
      if (req.query["part"] !== undefined) return send(res, 200, foundList(found, asked, now));
      return send(res, 200, deskPage("Found", who, foundPage(found, asked, now)));
    }),
  );
  router.get(
    "/desk/hires/:id/call",
    staff(async (req, res, who) => {
      const hire = await hireState(parts, String(req.params["id"]));
      if (!hire) return send(res, 404, unknownPage(who, "hire"));
      const page = callPage(hire, who, formId(), { person: req.query["person"] });
      return send(res, 200, deskPage("A telephone call", who, page));
    }),
  );
  router.post(
    "/desk/hires/:id/call",
    form,
    staff(async (req, res, who) => {
      const hire = await hireState(parts, String(req.params["id"]));
      if (!hire) return send(res, 404, unknownPage(who, "hire"));
      const body = req.body as Record<string, unknown>;
      const act = readCall(body, hire, parts.now(), parts.book.firm.zone);
      if (typeof act === "string") {
        const page = callPage(hire, who, formId(), body, act);
        return send(res, 400, deskPage("A telephone call", who, page));
      }
      await fileAndSee(parts, {
        key: `desk:${who.contact}:${formId(body["id"])}`,
        lane: laneOf(hire.id),
        receivedAt: parts.now(),
        body: { kind: "desk", by: who.contact, act },
      });
      return res.redirect(303, act.opens ? "/desk" : `/desk/hires/${hire.id}`);
    }),
  );
  return router;
}
