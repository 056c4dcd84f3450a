/** Bookings at the desk: import with a dry run, export, and the tokens of booking programs. */
import express, { Router } from "express";
import { contentOf } from "../../bookings/change.js";
import { hireRows, readHires } from "../../bookings/csv.js";
import { dayOf } from "../../calendar.js";
import { html } from "../../pages/html.js";
import { knownPlates } from "../../store/care/vans.js";
import { ownReference, referencesOf } from "../../store/firm/bookings.js";
import {
  makeProgramToken,
  programTokens,
  revokeProgramToken,
} from "../../store/firm/program-tokens.js";
import { allHires } from "../../store/hires.js";
import {
  bookNow,
  type DeskParts,
  type Entry,
  form,
  formId,
  hireState,
  send,
  sendCsv,
} from "../entry.js";
import { deskPage, type Who } from "../frame.js";
import { shownOnce } from "../links/made.js";
import { typed } from "../read-forms.js";
import { csv } from "../sheet/csv.js";
import { bookingsPage, dryRunPage, problemsPage } from "./page.js";
import { planImport } from "./plan.js";

export function bookingRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  const { db } = parts;
  const pushOnce = shownOnce<Awaited<ReturnType<DeskParts["pushHires"]>>>(parts.now);
  const tokenOnce = shownOnce<string>(parts.now);
  const file = express.urlencoded({ extended: false, limit: "4mb" });
  const show = async (
    who: Who,
    more: { made?: { name: string; token: string }; wrong?: string } = {},
  ) =>
    deskPage(
      "Bookings",
      who,
      bookingsPage({
        ...{ who, now: parts.now(), id: formId, apiUrl: `${parts.publicUrl}/api` },
        ...{ firm: (await parts.firmNow()).firm, tokens: await programTokens(db) },
        ...more,
      }),
    );

  router.get(
    "/desk/bookings",
    staff(async (_req, res, who) => send(res, 200, await show(who))),
  );
  router.post(
    "/desk/bookings/import",
    file,
    staff(async (req, res, who) => {
      const pasted = typed(req.body, "csv");
      const { lines, problems } = readHires(pasted, await bookNow(parts));
      if (problems.length > 0) {
        const page = problemsPage(problems, who, formId(), pasted);
        return send(res, 400, deskPage("Nothing was kept", who, page));
      }
      const plates = await knownPlates(db);
      for (const { content } of lines) content.van.registration = plates(content.van.registration);
      if (typed(req.body, "keep") === "") {
        const fates = await planImport(parts, lines);
        const page = dryRunPage(fates, who, formId(), pasted, parts.now());
        return send(res, 200, deskPage("What the file would do", who, page));
      }
      const key = JSON.stringify([who.contact, formId(req.body["id"]), pasted]);
      const done = await pushOnce(key, () => parts.pushHires(lines, who.contact));
      const made = done.filter((d) => d.result === "made");
      const named = new Map(lines.map((l) => [l.reference, l.content]));
      const links = made.flatMap((d) =>
        d.links.map(
          ({ token }, i) =>
            html`<li><span class="plate">${named.get(d.reference)?.van.registration}</span> <b>${named.get(d.reference)?.people[i]?.name}</b> <code>${parts.publicUrl}/h/${token}</code></li>`,
        ),
      );
      const page = html`<h1>All ${lines.length} are kept</h1><p>${made.length} new, ${done.filter((d) => d.result === "changed").length} changed.</p>${links.length > 0 ? html`<section><h2>Links of the new hires</h2><p>Each opens the page of the hire for one person. They are shown once.</p><ul class="made">${links}</ul></section>` : ""}<p><a href="/desk/hires">Vans on the road</a></p>`;
      return send(res, 200, deskPage("Kept", who, page));
    }),
  );
  router.get(
    "/desk/bookings/hires.csv",
    staff(async (_req, res) => {
      const refs = await referencesOf(db);
      const hires: Parameters<typeof hireRows>[0][number][] = [];
      for (const { id } of await allHires(db)) {
        const hire = await hireState(parts, id);
        // One whose names were erased is no hire that can be brought in again.
        if (hire && hire.booking.surname !== "")
          hires.push({
            reference: refs.get(id) ?? ownReference(id),
            content: contentOf(hire.booking),
          });
      }
      const day = dayOf(parts.now(), parts.book.firm.zone);
      // With a byte order mark table programs read it as UTF-8.
      return sendCsv(res, `hires-${day}.csv`, `\ufeff${csv(hireRows(hires))}`);
    }),
  );
  router.post(
    "/desk/bookings/tokens",
    form,
    staff(async (req, res, who) => {
      const name = typed(req.body, "name").trim().slice(0, 60);
      if (name === "") return send(res, 400, await show(who, { wrong: "Name the program." }));
      const key = JSON.stringify([who.contact, formId(req.body["id"]), name]);
      const program = { name, contact: who.contact };
      const token = await tokenOnce(key, () => makeProgramToken(db, program, parts.now()));
      return send(res, 201, await show(who, { made: { name, token } }));
    }),
  );
  router.post(
    "/desk/bookings/tokens/revoke",
    form,
    staff(async (req, res, who) => {
      await revokeProgramToken(db, typed(req.body, "token"), who.contact, parts.now());
      return res.redirect(303, "/desk/bookings");
    }),
  );
  return router;
}
