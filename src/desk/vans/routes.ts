/** The vans' routes: all of them, one van's record, and what staff do to a van. Acts enter as arrivals in the van's lane. */
import { type Response, Router } from "express";
import { dayOf } from "../../calendar.js";
import { regionOf } from "../../knowledge/book.js";
import { vanLane } from "../../lanes.js";
import { marksOf } from "../../store/care/records.js";
import { hiresOfVan, overdue, readingsOf, vanOf, vansCare } from "../../store/care/vans.js";
import { vansKnown } from "../../store/hires.js";
import { blocksOf, isOvertaken, openFaults } from "../../vans/blocks.js";
import { serviceDue } from "../../vans/due.js";
import { newVan, type Van } from "../../vans/van.js";
import { type DeskParts, type Entry, form, formId, newId, send } from "../entry.js";
import { deskPage, unknownPage, type Who } from "../frame.js";
import { fileAndSee } from "../settle.js";
import { type VanLine, type VanView, vanPage, vansPage } from "./page.js";
import { readVanAct } from "./read-act.js";

const again = "It was reported again since your page was made. Look at it, then do it once more.";

/** Routes under /desk/vans. */
export function vanRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  const { book, db } = parts;
  const unit = regionOf(book, book.firm.region).region.distanceUnit;
  const typeName = (type: string): string => book.vans.get(type)?.name ?? type;

  router.get(
    "/desk/vans",
    staff(async (_req, res, who) => {
      const now = parts.now();
      const { firm } = await parts.firmNow();
      const care = await vansCare(db);
      const missing = await overdue(db, now);
      const lines = (await vansKnown(db)).map((row): VanLine => {
        const van = care.get(row.registration) ?? newVan(row.registration, row.type);
        const odometerKm = row.odometer_km ?? undefined;
        const due = van.service.filter((s) =>
          ["over", "near"].includes(serviceDue(s, dayOf(now, firm.zone), odometerKm).state),
        );
        return {
          registration: row.registration,
          typeName: typeName(row.type),
          blocks: blocksOf(van, missing.get(row.registration) ?? []),
          faults: openFaults(van).length,
          due: due.map((s) => s.what).join(", "),
          ...(odometerKm === undefined ? {} : { odometerKm }),
        };
      });
      return send(res, 200, deskPage("Vans", who, vansPage(lines, unit)));
    }),
  );

  /** A van that a hire named or to which something happened. */
  async function known(registration: string): Promise<Van | undefined> {
    const van = await vanOf(db, registration);
    const row = (await vansKnown(db)).find((r) => r.registration === registration);
    return van ?? (row && newVan(row.registration, row.type));
  }
  const unknown = (res: Response, who: Who) => send(res, 404, unknownPage(who, "van"));
  const show = async (
    res: Response,
    who: Who,
    van: Van,
    status = 200,
    more: Pick<VanView, "wrong" | "typed"> = {},
  ) => {
    const now = parts.now();
    const { firm } = await parts.firmNow();
    const { registration } = van;
    const readings = await readingsOf(db, registration);
    const odometerKm = readings.findLast((r) => r.odometerKm !== undefined)?.odometerKm;
    const view = {
      ...{ van, readings, firm, unit, now, typeName: typeName(van.type) },
      blocks: blocksOf(van, (await overdue(db, now)).get(registration) ?? []),
      hires: await hiresOfVan(db, registration),
      marks: await marksOf(db, registration),
      ...(odometerKm === undefined ? {} : { odometerKm }),
      ...more,
    };
    return send(res, status, deskPage(registration, who, vanPage(view, who, newId)));
  };

  router.get(
    "/desk/vans/:registration",
    staff(async (req, res, who) => {
      const van = await known(String(req.params["registration"]));
      return van ? show(res, who, van) : unknown(res, who);
    }),
  );
  router.post(
    "/desk/vans/:registration",
    form,
    staff(async (req, res, who) => {
      const body = req.body as Record<string, unknown>;
      const van = await known(String(req.params["registration"]));
      if (!van) return unknown(res, who);
      const { registration, type } = van;
      const readings = await readingsOf(db, registration, 20);
      const odometerKm = readings.findLast((r) => r.odometerKm !== undefined)?.odometerKm;
      const act = readVanAct(body, odometerKm);
      if (typeof act === "string") return show(res, who, van, 400, { wrong: act, typed: body });
      if (isOvertaken(van, act)) return show(res, who, van, 409, { wrong: again, typed: body });
      await fileAndSee(parts, {
        key: `desk:${who.contact}:${formId(body["id"])}`,
        lane: vanLane(registration),
        receivedAt: parts.now(),
        body: { kind: "van", by: who.contact, registration, type, act },
      });
      const back = String(body["back"] ?? "");
      const isOurs = /^\/desk\/(today|hires\/[\w-]+\/pickup|vans\/[\w%.-]+)$/.test(back);
      return res.redirect(303, isOurs ? back : "/desk/vans");
    }),
  );
  return router;
}
