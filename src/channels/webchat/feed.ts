/** What a hirer's page is told: the page itself, what came since, and a stream that goes on where it stopped. */

import { type Request, type Response, Router } from "express";
import type { Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import type { Book } from "../../knowledge/book.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { faultFields, type Log } from "../../log.js";
import type { LaneId } from "../../post.js";
import type { TripEvent } from "../../store/events.js";
import { voiceFor } from "../../wording/say.js";
import type { Streams } from "../stream.js";
import { dayWords, messageHtml, type View, viewOf } from "./message.js";
import { chatPage } from "./page.js";
import type { Visit, Visitor } from "./visit.js";

export type FeedParts = {
  book: Book;
  log: Log;
  /** The firm as it holds now: its contacts' numbers change at the desk. */
  firmNow(): Promise<{ firm: FirmFile }>;
  now(): Instant;
  /** Whether a hire is over, as the step has it. */
  isOver(hire: Hire): boolean;
  /** All after number `since`, in order. */
  eventsOfPerson(lane: LaneId, person: string, since: number): Promise<TripEvent[]>;
  onEvents(listener: (lane: LaneId, last: number) => void): () => void;
  streams: Streams;
};

/** A message on its way to the page; `key`: its arrival, by which the page knows its own. */
type Shown = { n: number; key: string; mine: boolean; day: string; html: string };

const shownFirst = 150;

const shown = (event: TripEvent, view: View): Shown => ({
  n: event.n,
  key: event.kind === "in" ? (event.more.arrival ?? "") : "",
  mine: event.kind === "in",
  day: dayWords(event.at, view.zone),
  html: messageHtml(event, view).toString(),
});

/** A whole number from 0, or undefined. */
function numberIn(text: unknown): number | undefined {
  const n = typeof text === "string" && /^\d{1,15}$/.test(text) ? Number(text) : Number.NaN;
  return Number.isSafeInteger(n) ? n : undefined;
}

/** GET /chat, /chat/messages and /chat/stream. */
export function feedRoutes(parts: FeedParts, visit: Visit): Router {
  const router = Router();
  const bookNow = async (): Promise<Book> => ({
    ...parts.book,
    firm: (await parts.firmNow()).firm,
  });
  const view = (who: Visitor, book: Book) =>
    viewOf(book, who.hire.booking.zone, who.hire.booking.region);

  const after = (who: Visitor, since: number) =>
    parts.eventsOfPerson(who.lane, who.person.id, since);

  /** What came after message `since`; `anew`: the talk holds no such message, as after a restore, so it is all of it. */
  async function news(
    who: Visitor,
    since: number,
  ): Promise<{ anew: boolean; events: TripEvent[] }> {
    if (since === 0) return { anew: false, events: await after(who, 0) };
    const [known, ...events] = await after(who, since - 1);
    if (known?.n === since) return { anew: false, events };
    return { anew: true, events: await after(who, 0) };
  }

  router.get(
    "/chat",
    visit.known(async (req, res, who) => {
      const { booking } = who.hire;
      const events = await after(who, 0);
      const book = await bookNow();
      const all = req.query["all"] === "1";
      return visit.page(
        res,
        200,
        chatPage({
          voice: voiceFor(book, booking.van.type, booking.region, booking.lang),
          view: view(who, book),
          booking,
          person: who.person,
          events: all ? events : events.slice(-shownFirst),
          more: !all && events.length > shownFirst,
          over: parts.isOver(who.hire),
        }),
      );
    }),
  );
  router.get(
    "/chat/messages",
    visit.known(async (req, res, who) => {
      const since = numberIn(req.query["since"] ?? "0");
      if (since === undefined)
        return res.status(400).json({ error: "since: a whole number from 0 is needed" });
      const { events } = await news(who, since);
      const seen = view(who, await bookNow());
      return res.set("Cache-Control", "no-store").json(events.map((e) => shown(e, seen)));
    }),
  );

  function follow(req: Request, res: Response, who: Visitor, since: number): void {
    let last = since;
    let busy = false;
    let again = false;
    parts.streams.open(req, res, (send) => {
      const push = async (): Promise<void> => {
        again = busy;
        if (busy) return;
        busy = true;
        try {
          do {
            again = false;
            // A link that was replaced while its page is open tells nothing any more.
            if (!(await visit.visitor(req))) {
              res.end();
              return;
            }
            const seen = view(who, await bookNow());
            const { anew, events } = await news(who, last);
            if (anew) {
              last = 0;
              send(0, JSON.stringify({ n: 0, anew }));
            }
            for (const event of events) {
              last = event.n;
              send(event.n, JSON.stringify(shown(event, seen)));
            }
          } while (again);
        } catch (error) {
          // The page connects again and asks for the rest.
          parts.log.error("page not followed", { lane: who.lane, ...faultFields(error) });
          res.end();
        } finally {
          busy = false;
        }
      };
      send(0, JSON.stringify({ n: 0 }));
      void push();
      return parts.onEvents((lane) => {
        if (lane === who.lane) void push();
      });
    });
  }
  router.get(
    "/chat/stream",
    visit.known(async (req, res, who) => {
      // The browser names the last message that it got; a page that opens a stream says it in the address.
      const resumed = numberIn(req.get("last-event-id"));
      follow(req, res, who, resumed ?? numberIn(req.query["since"]) ?? 0);
    }),
  );
  return router;
}
