/** The routes under /desk/notices: written, looked at with those whom it reaches, sent once, and seen or not. */
import express, { type Response, Router } from "express";
import { concernsHire } from "../../bookings/audience.js";
import type { Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { type Html, html } from "../../pages/html.js";
import { noticeHires, noticeRow, noticesMade } from "../../store/care/notices.js";
import { type HireRow, hiresOnRoad, hiresToCome } from "../../store/hires.js";
import { firstTrace } from "../../store/staff/trail.js";
import { phrase, voiceFor } from "../../wording/say.js";
import { type DeskParts, type Entry, formId, hireState, newId, send } from "../entry.js";
import { deskPage, type Who } from "../frame.js";
import { type Form, texts } from "../read-forms.js";
import { lookPage, noticeEnd, noticePage, noticesPage, type Reached, writePage } from "./pages.js";
import { type Draft, readDraft } from "./read.js";

/** More hires than a firm of this kind has ahead of it. */
const mostToCome = 5000;

export function noticeRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  const { book, db } = parts;
  const { zone } = book.firm;
  // A list of many hires is long.
  const form = express.urlencoded({ extended: false, limit: "1mb", parameterLimit: 20_000 });
  const page = (
    res: Response,
    who: Who,
    status: number,
    title: string,
    body: ReturnType<typeof html>,
  ) => send(res, status, deskPage(title, who, body));
  const phoneOf = (hire: Hire | undefined): string =>
    (hire?.people.find((p) => p.booker) ?? hire?.people[0])?.phone ?? "";

  async function reachedBy(draft: Draft, now: Instant): Promise<Reached[]> {
    const fits = (row: HireRow) => concernsHire(draft.to, row);
    const road = (await hiresOnRoad(db, now)).filter(fits);
    const until = draft.until ?? 0;
    const coming = draft.joiners
      ? (await hiresToCome(db, now, mostToCome)).filter((r) => fits(r) && r.pickup_at < until)
      : [];
    const rows: Reached[] = [];
    for (const row of [...road, ...coming]) {
      const hire = await hireState(parts, row.id);
      const channels = hire?.people.flatMap((p) => p.reached.map((a) => a.channel)) ?? [];
      rows.push({
        id: row.id,
        registration: row.registration,
        vanType: row.van_type,
        surname: row.surname,
        phone: phoneOf(hire),
        channels: [...new Set<string>(channels)],
        ...(row.pickup_at > now ? { pickupAt: row.pickup_at as Instant } : {}),
      });
    }
    return rows;
  }
  /** The words as a hirer reads them. */
  function shown(draft: Draft, who: Who): string {
    const voice = voiceFor(book, "", book.firm.region, "en");
    const from = phrase(voice, "notice", { name: who.name });
    return `${from}\n${draft.title}\n${draft.text}\n${phrase(voice, "notice-seen")}`;
  }

  /** Whom it reaches now, with what was typed. */
  async function looked(who: Who, typed: Form, draft: Draft): Promise<Html> {
    const now = parts.now();
    const reached = await reachedBy(draft, now);
    return lookPage(book, who, newId(), typed, draft, shown(draft, who), reached, now, zone);
  }

  router.get(
    "/desk/notices",
    staff(async (_req, res, who) =>
      page(res, who, 200, "Notices", noticesPage(await noticesMade(db), book, parts.now(), zone)),
    ),
  );
  router.get(
    "/desk/notices/new",
    staff(async (_req, res, who) => page(res, who, 200, "Notice", writePage(book, who, newId()))),
  );
  router.post(
    "/desk/notices/change",
    form,
    staff(async (req, res, who) =>
      page(res, who, 200, "Notice", writePage(book, who, newId(), req.body as Form)),
    ),
  );
  router.post(
    "/desk/notices/look",
    form,
    staff(async (req, res, who) => {
      const typed = req.body as Form;
      const now = parts.now();
      const read = readDraft(typed, book, now, zone);
      if ("wrong" in read)
        return page(res, who, 400, "Notice", writePage(book, who, newId(), typed, read.wrong));
      return page(res, who, 200, "Notice", await looked(who, typed, read.draft));
    }),
  );
  router.post(
    "/desk/notices",
    form,
    staff(async (req, res, who) => {
      const typed = req.body as Form;
      const read = readDraft(typed, book, parts.now(), zone);
      if ("wrong" in read)
        return page(res, who, 400, "Notice", writePage(book, who, newId(), typed, read.wrong));
      const id = formId(typed["id"]);
      const [chosen, seen] = [texts(typed, "hire"), texts(typed, "shown")];
      if (chosen.length === 0 && !read.draft.joiners)
        return page(
          res,
          who,
          400,
          "Notice",
          html`<p class="wrong" role="alert">Not sent. Nobody is ticked: tick at least one hire.</p>${await looked(who, typed, read.draft)}`,
        );
      const { title, text, to, joiners, until } = read.draft;
      const notice = { id, title, text, ...(until === undefined ? {} : { until }) };
      await parts.makeNotice(
        { ...notice, by: who.contact, to, joiners },
        // Only what was on the page can be ticked.
        { chosen: chosen.filter((h) => seen.includes(h)), shown: seen },
      );
      return res.redirect(303, `/desk/notices/${id}`);
    }),
  );
  router.post(
    "/desk/notices/:id/end",
    express.urlencoded({ extended: false, limit: "64kb" }),
    staff(async (req, res, who) => {
      const id = String(req.params["id"]);
      await parts.endNotice(id, who.contact);
      return res.redirect(303, `/desk/notices/${encodeURIComponent(id)}`);
    }),
  );
  router.get(
    "/desk/notices/:id",
    staff(async (req, res, who) => {
      const id = String(req.params["id"]);
      const notice = await noticeRow(db, id);
      if (!notice)
        return page(
          res,
          who,
          404,
          "Notice",
          html`<h1>This notice is not known</h1><p><a href="/desk/notices">All notices</a></p>`,
        );
      const hires = [];
      for (const row of await noticeHires(db, id))
        hires.push({ ...row, phone: phoneOf(await hireState(parts, row.hire)) });
      const ended = await firstTrace(db, "notices end", id);
      const shown = noticePage(notice, hires, book, parts.now(), zone);
      // One that was over by itself was ended by nobody.
      const by = ended && ended.at <= (notice.until_at ?? 0) ? ended.contact : undefined;
      const end = noticeEnd(notice, by, who, newId(), book, parts.now(), zone);
      return page(res, who, 200, notice.title, html`${shown}${end}`);
    }),
  );
  return router;
}
