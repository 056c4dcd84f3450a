/** The desk's routes about hires: the road, one hire with its trip log, adding one, new links. */
import { Router } from "express";
import { type Instant, sayTime } from "../../calendar.js";
import { plannedOf } from "../../hires/care/planned.js";
import type { Hire } from "../../hires/hire.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { laneOf } from "../../lanes.js";
import { html } from "../../pages/html.js";
import type { Arrival } from "../../post.js";
import { nameIn } from "../../roster/reach.js";
import { writtenSince } from "../../store/care/records.js";
import { openReplies } from "../../store/care/replies.js";
import { knownPlates } from "../../store/care/vans.js";
import { latestEvents } from "../../store/events.js";
import { refOfHire } from "../../store/firm/bookings.js";
import {
  type HireRow,
  hiresBack,
  hiresOnRoad,
  hiresToCome,
  openCallouts,
  relink,
} from "../../store/hires.js";
import type { Db } from "../../store/tables.js";
import {
  bookNow,
  type DeskParts,
  type Entry,
  form,
  formId,
  hireState,
  newId,
  send,
} from "../entry.js";
import { deskPage, unknownPage, type Who } from "../frame.js";
import { hireIdOf, keptPage, type PersonLink, shownOnce } from "../links/made.js";
import { readNewHire } from "../read-forms.js";
import type { Since } from "../records/links.js";
import { fileAndLearn } from "../settle.js";
import { blockedVans } from "../vans/blocked.js";
import { blockedLine } from "../vans/blocks.js";
import { newHirePage, type Wrong } from "./form.js";
import { hirePage, logPart } from "./page.js";
import { type RoadLine, roadPage } from "./road.js";
import { besidesHtml, typeAsked } from "./van.js";

/** The lists with what is open of each hire. */
async function roadLines(parts: DeskParts, now: Instant) {
  const { db } = parts;
  const book = await bookNow(parts);
  const replies = await openReplies(db);
  const open = await openCallouts(db);
  const title = (rule: string) => book.reminders.rules[rule]?.title ?? rule;
  const line = async (row: HireRow, isOut: boolean): Promise<RoadLine> => {
    const hire = isOut ? await hireState(parts, row.id) : undefined;
    const next = hire && plannedOf(hire, book, now).sort((a, b) => a.sendAt - b.sendAt)[0];
    const promises = open.flatMap(({ hire, promised_at: by, with_contact }) =>
      hire === row.id && by !== null
        ? [`${nameIn(book.firm, with_contact ?? "")} by ${sayTime(by as Instant, now, row.zone)}`]
        : [],
    );
    const checks = replies.filter((r) => r.hire === row.id).map((r) => title(r.rule));
    return { ...row, checks, promises, ...(next ? { reminder: next.title } : {}) };
  };
  const all = (rows: readonly HireRow[], isOut = false) =>
    Promise.all(rows.map((row) => line(row, isOut)));
  return {
    road: await all(await hiresOnRoad(db, now), true),
    coming: await all(await hiresToCome(db, now)),
    back: await all(await hiresBack(db)),
  };
}

/** What was written for the records of a hire after they were kept. */
async function sinceKept(db: Db, hire: Hire, firm: FirmFile): Promise<Since> {
  const since: Since = {};
  for (const kind of ["pickup", "return"] as const) {
    const { by, at } = (await writtenSince(db, hire, kind)) ?? {};
    if (by !== undefined && at !== undefined) since[kind] = { name: nameIn(firm, by), at };
  }
  return since;
}

/** Adds the routes under which a hire is added. */
function newHireRoutes(router: Router, parts: DeskParts, staff: Entry["staff"]): void {
  const { book, db } = parts;
  const linksOnce = shownOnce<PersonLink[]>(parts.now);
  router.get(
    "/desk/hires/new",
    staff(async (_req, res, who) =>
      send(res, 200, deskPage("Add a hire", who, newHirePage(book, who, formId()))),
    ),
  );
  router.post(
    "/desk/hires/new",
    form,
    staff(async (req, res, who) => {
      const body = req.body as Record<string, string>;
      const key = formId(body["id"]);
      const wrong = (fields: Wrong) =>
        send(res, 400, deskPage("Add a hire", who, newHirePage(book, who, formId(), body, fields)));
      const read = readNewHire(body, book, hireIdOf(who.contact, key));
      if ("wrong" in read) return wrong(read.wrong);
      const { booking } = read;
      const { van } = booking;
      van.registration = (await knownPlates(db))(van.registration);
      const asked = await typeAsked(db, book, van, body["sure"]);
      if (asked) return wrong(asked);
      const links = await linksOnce(JSON.stringify([who.contact, key, booking]), async () => {
        const made = await parts.makeHire(booking, `desk:${who.contact}:${key}`);
        return made.links;
      });
      // A form that is sent again after the links were forgotten leads to the hire, where new ones are made.
      if (links.length === 0) return res.redirect(303, `/desk/hires/${booking.hire}`);
      const besides = await besidesHtml(db, booking, parts.now());
      const page = keptPage(booking, links, parts.publicUrl, besides);
      return send(res, 201, deskPage("A new hire", who, page));
    }),
  );
}

/** Routes under /desk/hires. */
export function hireRoutes(
  parts: DeskParts,
  { staff, onHire }: Pick<Entry, "staff" | "onHire">,
): Router {
  const router = Router();
  const { db } = parts;
  newHireRoutes(router, parts, staff);

  router.get(
    "/desk/hires",
    staff(async (_req, res, who) => {
      const now = parts.now();
      const page = roadPage(await roadLines(parts, now), now, await blockedVans(db, now));
      return send(res, 200, deskPage("Vans on the road", who, page));
    }),
  );
  /** The page of a hire; `before`: the part of its trip log before this number. */
  async function show(id: string, who: Who, before?: number, made?: ReadonlyMap<string, string>) {
    const hire = await hireState(parts, id);
    if (!hire) return undefined;
    const now = parts.now();
    const { registration } = hire.booking.van;
    const blocks = (await blockedVans(db, now)).get(registration) ?? [];
    const events = (await latestEvents(db, laneOf(id), logPart, before)).reverse();
    const pushed = await refOfHire(db, id);
    const book = await bookNow(parts);
    const by = pushed && nameIn(book.firm, pushed.pushed_by);
    const page = hirePage(hire, events, {
      ref: pushed && by ? { reference: pushed.reference, by } : undefined,
      ...{ who, book, now, id: formId },
      since: await sinceKept(db, hire, book.firm),
      blocked: blockedLine(blocks, registration, hire.pickup !== undefined),
      made: made ?? new Map(),
      isLatest: before === undefined,
    });
    return deskPage(registration, who, page);
  }
  router.get(
    "/desk/hires/:id",
    staff(async (req, res, who) => {
      const before = /^\d{1,9}$/.exec(String(req.query["before"] ?? ""))?.[0];
      const page = await show(
        String(req.params["id"]),
        who,
        before === undefined ? undefined : Number(before),
      );
      return page ? send(res, 200, page) : send(res, 404, unknownPage(who, "hire"));
    }),
  );
  router.post(
    "/desk/hires/:id/link",
    form,
    staff(async (req, res, who) => {
      const id = String(req.params["id"]);
      const hire = await hireState(parts, id);
      const { person } = req.body as Record<string, unknown>;
      const of = hire?.people.find((p) => p.id === person);
      if (!hire || !of) return send(res, 404, unknownPage(who, "hire"));
      // Each press makes a link, so each is an arrival of its own.
      const told: Arrival = {
        key: `desk:${who.contact}:${newId()}`,
        lane: laneOf(id),
        receivedAt: parts.now(),
        body: { kind: "desk", by: who.contact, act: { do: "new-link", person: of.id } },
      };
      const token = await relink(db, { hire: hire.id, person: of.id }, told, parts.now());
      // It is stored with the link; this waits for its turn, so that the page shows how they are reached now.
      await fileAndLearn(parts, told);
      const made = new Map([[of.id, `${parts.publicUrl}/h/${token}`]]);
      return send(res, 201, (await show(id, who, undefined, made)) ?? html``);
    }),
  );
  router.post(
    "/desk/hires/:id/card",
    form,
    onHire(async (req, res, who, hire) => {
      const of = hire.people.find((p) => p.id === (req.body as Record<string, unknown>)["person"]);
      // Of a van that the book does not have there are no measures to print.
      return of && parts.book.vans.has(hire.booking.van.type)
        ? send(res, 201, await parts.visorCard(hire, of.id))
        : send(res, 404, unknownPage(who, of ? "van" : "hire"));
    }),
  );
  return router;
}
