/** The desk's first page: what waits, the part of it that changes, and the stream that says "look again". */
import { Router } from "express";
import { after } from "../../calendar.js";
import { isTask } from "../../callouts/steps.js";
import { cardOf } from "../../hires/callouts/roadside.js";
import { type Book, regionOf } from "../../knowledge/book.js";
import { isChatLane, laneNamed, laneOf } from "../../lanes.js";
import { type Html, html } from "../../pages/html.js";
import { failedArrivals, failedShownMs } from "../../store/arrivals.js";
import { strangersInDanger } from "../../store/care/strangers.js";
import { duesOf } from "../../store/dues.js";
import { latestEvents, strangersSince } from "../../store/events.js";
import { openCallouts } from "../../store/hires.js";
import { notDelivered } from "../../store/sends.js";
import { dutyHtml } from "../duty.js";
import { bookNow, type DeskParts, type Entry, form, formId, newId, send } from "../entry.js";
import { deskPage, forWho, type Who, waitingWay } from "../frame.js";
import { text } from "../read-forms.js";
import { ringToday } from "../replies/page.js";
import { openTasks } from "../replies/routes.js";
import { nothingRings, ringingBanner } from "../ringing.js";
import { firmState } from "../roster/routes.js";
import { fileAndSee } from "../settle.js";
import { type Waiting, waitingCard } from "./card.js";
import {
  failedHtml,
  notDelivered as notDeliveredHtml,
  strangerCard,
  strangersHtml,
  telegramHtml,
} from "./others.js";

/** So many events of a lane are looked through for what was said and done about its open matters. */
const looked = 300;
/** An open page shows at the latest after so long that its session has ended. */
const heldMs = 20_000;

/** GET /desk, its parts and the stream. `fresh`: 401 in place of a sign-in page. */
export function waitRoutes(
  parts: DeskParts,
  { staff, fresh, stillIn }: Pick<Entry, "staff" | "fresh" | "stillIn">,
): Router {
  const router = Router();
  const { db } = parts;

  async function waiting(book: Book): Promise<Waiting[]> {
    const found: Waiting[] = [];
    for (const row of await openCallouts(db)) {
      // Tasks to ring have a list of their own.
      if (isTask(row)) continue;
      const lane = laneOf(row.hire);
      const state = await parts.laneState(lane);
      const hire = state?.kind === "hire" ? state.hire : undefined;
      const callout = hire?.callouts.find((c) => c.n === row.n);
      if (!hire || !callout) continue;
      const { type } = callout.van ?? hire.booking.van;
      const { region } = regionOf(book, hire.booking.region);
      found.push({
        callout,
        hire,
        vanName: book.vans.get(type)?.name ?? type,
        pending: await duesOf(db, lane),
        events: (await latestEvents(db, lane, looked)).reverse(),
        card: cardOf(book, hire, callout, parts.now()),
        welfare: `${region.police}; ${region.emergency} if a life may be in danger`,
      });
    }
    return found;
  }

  async function page(who: Who): Promise<Html> {
    const now = parts.now();
    const book = await bookNow(parts);
    const { firm } = book;
    const { reach } = await parts.firmNow();
    const open = await waiting(book);
    const view = { who, firm, now, id: newId };
    const cards = [
      ...(await strangersInDanger(db)).map((one) => strangerCard(one, view)),
      ...open.map((w) => waitingCard(w, view)),
    ];
    const lost = await notDelivered(db, undefined, 20);
    const failed = (await failedArrivals(db, 20)).filter((f) => now - f.receivedAt < failedShownMs);
    const strangers = await strangersSince(db, after(now, -48 * 60));
    const duty = dutyHtml({ ...view, state: await firmState(parts), open });
    return html`<h1>What waits for a person</h1>${duty}${ringingBanner(nothingRings(firm, reach.hook))}${telegramHtml(parts.telegramDoubts())}<div id="waits">${cards.length > 0 ? cards : html`<p class="quiet" data-key="quiet">Nothing waits.</p>`}</div><div id="others">${strangersHtml(strangers, now, firm.zone)}</div><div id="tasks">${ringToday(await openTasks(parts), who, book, now, newId)}</div><div id="failed">${failedHtml(failed, now, firm.zone)}</div><div id="lost">${notDeliveredHtml(lost, now, firm.zone)}</div>`;
  }

  router.get(
    "/desk",
    staff(async (_req, res, who) =>
      send(res, 200, deskPage("What waits", who, await page(who), "/desk/part")),
    ),
  );
  router.post(
    "/desk/seen",
    form,
    staff(async (req, res, who) => {
      const body = req.body as Record<string, unknown>;
      const lane = text(body, "lane");
      if (!isChatLane(lane)) return res.redirect(303, "/desk");
      await fileAndSee(parts, {
        key: `desk:${who.contact}:${formId(body["id"])}`,
        lane: laneNamed(lane),
        receivedAt: parts.now(),
        body: { kind: "desk", by: who.contact, act: { do: "seen" } },
      });
      return res.redirect(303, "/desk");
    }),
  );
  router.get(
    "/desk/part",
    fresh(async (_req, res, who) => send(res, 200, html`${forWho(who)}${await page(who)}`)),
  );
  router.get(
    "/desk/waiting",
    fresh(async (_req, res, who) => send(res, 200, html`${forWho(who)}${waitingWay(who.waits)}`)),
  );
  router.get(
    "/desk/stream",
    fresh(async (req, res) => {
      parts.streams.open(req, res, (push) => {
        push(0, "open");
        // One that was signed out, here or elsewhere, hears no more. What keeps its contact at the desk is the page's own look.
        const held = setInterval(() => {
          stillIn(req).then(
            (holds) => (holds ? undefined : res.end()),
            () => res.end(),
          );
        }, heldMs);
        const stop = parts.onEvents((_lane, last) => push(last, "more"));
        return () => {
          clearInterval(held);
          stop();
        };
      });
    }),
  );
  return router;
}
