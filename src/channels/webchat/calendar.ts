/** Where a hirer gets the link of their calendar, and stops it. */
import { Router } from "express";
import { type Html, html } from "../../pages/html.js";
import type { HireId } from "../../post.js";
import { guideShell, type Shown } from "./guide/frame.js";
import { type ShownParts, shownFor } from "./guide/make-card.js";
import type { Visit, Visitor } from "./visit.js";

export type CalendarLinks = {
  /** Where people open this service, without a slash at the end. */
  publicUrl: string;
  /** A fresh token for a person's calendar. */
  makeCalendarLink(hire: HireId, person: string): Promise<string>;
  /** Closes all calendar links of a person. */
  stopCalendarLinks(hire: HireId, person: string): Promise<number>;
};

const page = (shown: Shown, body: Html): Html =>
  guideShell(
    shown,
    "/chat/calendar",
    "Reminders in my calendar",
    html`<div class="calendar"><h1>Reminders in my calendar</h1>${body}</div>`,
  );

const offer = html`<p>Your calendar program can show the reminders of this hire: checks, water, return. It looks again every hour, so a changed hire changes there too.</p>
<form method="post" action="/chat/calendar"><button class="big">Make my calendar link</button></form>
<form method="post" action="/chat/calendar/stop"><button>Stop all my calendar links</button></form>`;

function linked(url: string): Html {
  return html`<p>This link is yours alone. Whoever has it sees your reminders, and nothing else.</p>
<p><a class="big" href="${url.replace(/^https?:/, "webcal:")}">Add it to the calendar on this device</a></p>
<p>Or copy it into a calendar program, as a calendar by its address:</p>
<p><code>${url}</code></p>
<p>Only once, without later changes: <a href="${url}" download="reminders.ics">take the file</a>.</p>`;
}

/** The page at /chat/calendar. */
export function calendarLinkRoutes(
  parts: CalendarLinks & ShownParts,
  { own, page: send }: Visit,
): Router {
  const router = Router();
  const pageFor = async ({ hire }: Visitor, body: Html) => page(await shownFor(parts, hire), body);
  router.get(
    "/chat/calendar",
    own(async (_req, res, who) => send(res, 200, await pageFor(who, offer))),
  );
  router.post(
    "/chat/calendar",
    own(async (_req, res, who) => {
      const token = await parts.makeCalendarLink(who.hire.id, who.person.id);
      const url = `${parts.publicUrl}/calendar/${token}.ics`;
      return send(res, 201, await pageFor(who, linked(url)));
    }),
  );
  router.post(
    "/chat/calendar/stop",
    own(async (_req, res, who) => {
      const stopped = await parts.stopCalendarLinks(who.hire.id, who.person.id);
      const says =
        stopped === 0
          ? "There was no link to stop."
          : "Done: your calendar links give nothing any more.";
      return send(res, 200, await pageFor(who, html`<p>${says}</p>${offer}`));
    }),
  );
  return router;
}
