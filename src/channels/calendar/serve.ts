/** The reminders of a hire as a calendar that programs read again and again: GET /calendar/<token>.ics. */
import { createHash } from "node:crypto";
import { type NextFunction, type Request, type Response, Router } from "express";
import { rateLimit } from "express-rate-limit";
import { type Instant, instantOf } from "../../calendar.js";
import type { Hire, LaneState } from "../../hires/hire.js";
import type { Book } from "../../knowledge/book.js";
import { laneOf } from "../../lanes.js";
import { faultFields, type Log } from "../../log.js";
import type { HireId, LaneId } from "../../post.js";
import { type Published, revise } from "../../reminders/calendar/changes.js";
import { calendarFile, type Entry } from "../../reminders/calendar/file.js";
import { voiceFor } from "../../wording/say.js";

type CalendarParts = {
  book: Book;
  log: Log;
  now(): Instant;
  /** Whose calendar a token is; undefined when unknown or revoked. */
  hireOf(token: string): Promise<HireId | undefined>;
  laneState(lane: LaneId): Promise<LaneState | undefined>;
  /** What the hire's calendar holds now. */
  entriesOf(hire: Hire): Entry[];
  /** Revises what was published of the hire, and keeps it. */
  revisePublished(
    hire: HireId,
    revise: (known: Published[]) => Published[],
  ): Promise<readonly Published[]>;
};

/** Programs are asked to look so often. */
const refreshMin = 60;
/** More requests a minute from one address than all phones of a hire make. */
const mostPerMinute = 60;

/** The hire in UIDs: lasting, without a date, and no way back to the hire's id. */
const uidOf = (hire: string): string =>
  createHash("sha256").update(hire).digest("hex").slice(0, 16);

function fileOf(parts: CalendarParts, hire: Hire, entries: readonly Published[]): string {
  const { booking } = hire;
  const { van, book } = voiceFor(parts.book, booking.van.type, booking.region, "en");
  return calendarFile(entries, {
    id: uidOf(hire.id),
    name: `Your ${van.name} from ${book.firm.name}`,
    firm: book.firm.name,
    zone: booking.zone,
    stampAt: instantOf(Math.max(booking.pickupAt, ...entries.map((e) => e.changedAt))),
    refreshMin,
  });
}

/** The one route. 404 for what no link opens, 503 where it cannot be read just now. */
export function calendarRoutes(parts: CalendarParts): Router {
  const router = Router();
  const calm = rateLimit({
    windowMs: 60_000,
    limit: mostPerMinute,
    standardHeaders: "draft-8",
    legacyHeaders: false,
  });
  const none = (res: Response) => res.status(404).type("text").send("There is no such calendar.");
  router.get("/calendar/:file", calm, async (req: Request, res: Response) => {
    const token = /^([\w-]{22})\.ics$/.exec(String(req.params["file"]))?.[1];
    const id = token && (await parts.hireOf(token));
    const state = id ? await parts.laneState(laneOf(id)) : undefined;
    if (!id || state?.kind !== "hire") return none(res);
    const { hire } = state;
    const entries = await parts.revisePublished(id, (known) =>
      revise(known, parts.entriesOf(hire), parts.now()),
    );
    return res
      .set({
        "Cache-Control": "private, no-cache",
        "Content-Disposition": 'inline; filename="reminders.ics"',
        "X-Content-Type-Options": "nosniff",
      })
      .type("text/calendar; charset=utf-8")
      .send(fileOf(parts, hire, entries));
  });
  router.use("/calendar", (error: unknown, _req: Request, res: Response, next: NextFunction) => {
    if (res.headersSent) return next(error);
    // The path holds the token: it goes into no log.
    parts.log.error("calendar could not be read", faultFields(error));
    return res.status(503).type("text").send("Please try again in a moment.");
  });
  return router;
}
