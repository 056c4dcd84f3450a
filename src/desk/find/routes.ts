/** Finding a hire at /desk/find, and writing down a telephone call at /desk/hires/:id/call. */
import { Router } from "express";
import { laneOf } from "../../lanes.js";
import { hiresToFind } from "../../store/care/find.js";
import { type DeskParts, type Entry, form, formId, send } from "../entry.js";
import { deskPage } from "../frame.js";
import { fileAndSee } from "../settle.js";
import { find } from "./find.js";
import { callPage, foundList, foundPage } from "./page.js";
import { readCall } from "./read-call.js";

export function findRoutes(
  parts: DeskParts,
  { staff, onHire }: Pick<Entry, "staff" | "onHire">,
): Router {
  const router = Router();

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
    onHire(async (req, res, who, hire) => {
      const page = callPage(hire, who, formId(), { person: req.query["person"] });
      return send(res, 200, deskPage("A telephone call", who, page));
    }),
  );
  router.post(
    "/desk/hires/:id/call",
    form,
    onHire(async (req, res, who, hire) => {
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
