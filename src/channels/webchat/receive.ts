/** The hirer's web chat: a link becomes a cookie, words become arrivals, a stream says when to look again. */
import express, { type NextFunction, type Request, type Response, Router } from "express";
import { z } from "zod";
import { type Instant, instantOf } from "../../calendar.js";
import { Fault } from "../../faults.js";
import type { Hire, LaneState } from "../../hires/hire.js";
import { type Book, regionOf } from "../../knowledge/book.js";
import type { Log } from "../../log.js";
import type { Arrival, ArrivalBody, HireId, LaneId } from "../../post.js";
import type { TripEvent } from "../../store/events.js";
import { voiceFor } from "../../wording/say.js";
import type { File } from "../door.js";
import type { Streams } from "../stream.js";
import { chatPage, messageHtml, openPage, sayPage } from "./page.js";
import { type Photos, photoLimitBytes, pictureKind } from "./photos.js";

/** What the web chat needs of the house; functions, so that it knows no store. */
export type WebchatParts = {
  book: Book;
  now(): Instant;
  log: Log;
  /** Cookies only over HTTPS. */
  secure: boolean;
  file: File;
  findLink(
    token: string,
    kind: "chat" | "cookie",
  ): Promise<{ hire: HireId; person: string } | undefined>;
  makeCookie(hire: HireId, person: string): Promise<string>;
  laneState(lane: LaneId): Promise<LaneState | undefined>;
  eventsOfPerson(lane: LaneId, person: string, since: number): Promise<TripEvent[]>;
  onEvents(listener: (lane: LaneId, last: number) => void): () => void;
  photos: Photos;
  streams: Streams;
};

const cookieName = "van";
const clientId = z.string().regex(/^[A-Za-z0-9_-]{1,64}$/, "letters, digits, - and _");
const Said = z.object({
  id: clientId.optional(),
  text: z.string().trim().min(1).max(4000),
  writtenAt: z.number().int().optional(),
});
const Tapped = z.object({
  id: clientId.optional(),
  tap: z.string().min(1).max(200),
  writtenAt: z.number().int().optional(),
});
const Placed = z.object({
  id: clientId.optional(),
  lat: z.number().min(-90).max(90),
  lon: z.number().min(-180).max(180),
  writtenAt: z.number().int().optional(),
});

type Visitor = { hire: Hire; person: { id: string; name: string }; lane: LaneId };

function cookieOf(req: Request): string | undefined {
  const found = (req.headers.cookie ?? "")
    .split(/;\s*/)
    .find((c) => c.startsWith(`${cookieName}=`));
  return found?.slice(cookieName.length + 1);
}

/** The routes of the hirer's page. Bad input gets a clear 4xx, a store that cannot store 503. */
export function webchatRoutes(parts: WebchatParts): Router {
  const router = Router();
  const { book, log } = parts;
  const { firm } = book;
  const json = express.json({ limit: "64kb" });
  const form = express.urlencoded({ extended: false, limit: "64kb" });
  const wantsJson = (req: Request) => req.is("json") || req.accepts(["html", "json"]) === "json";
  const page = (res: Response, status: number, body: { toString(): string }) =>
    res.status(status).set("Cache-Control", "no-store").type("html").send(body.toString());
  const refuse = (req: Request, res: Response, status: number, heading: string, text: string) =>
    wantsJson(req)
      ? res.status(status).json({ error: text })
      : page(res, status, sayPage(firm.name, heading, [text, `Ring us: ${firm.phone}`]));
  const laneOf = (hire: HireId) => `hire:${hire}` as LaneId;

  async function visitor(req: Request): Promise<Visitor | undefined> {
    const token = cookieOf(req);
    const link = token ? await parts.findLink(token, "cookie") : undefined;
    if (!link) return undefined;
    const state = await parts.laneState(laneOf(link.hire));
    const hire = state?.kind === "hire" ? state.hire : undefined;
    const person = hire?.people.find((p) => p.id === link.person);
    return hire && person ? { hire, person, lane: laneOf(link.hire) } : undefined;
  }
  const known =
    (act: (req: Request, res: Response, who: Visitor) => Promise<unknown>) =>
    async (req: Request, res: Response) => {
      const who = await visitor(req);
      if (!who)
        return refuse(
          req,
          res,
          401,
          "Please open your link again",
          "This device is not connected to a hire. Open the link in your booking message.",
        );
      return act(req, res, who);
    };
  /** Files what a hirer did. Without a client id (no script) the key is made of the instant and the words. */
  async function arrive(
    who: Visitor,
    id: string | undefined,
    writtenAt: number | undefined,
    body: ArrivalBody,
  ): Promise<void> {
    const receivedAt = parts.now();
    const own = id ?? `${receivedAt}`;
    // A clock that runs ahead is no time of writing.
    const written =
      writtenAt !== undefined && writtenAt <= receivedAt ? instantOf(writtenAt) : undefined;
    const arrival: Arrival = {
      key: `web:${who.hire.id}:${who.person.id}:${own}`,
      lane: who.lane,
      receivedAt,
      body,
      ...(written === undefined ? {} : { writtenAt: written }),
    };
    await parts.file(arrival);
  }
  const from = (who: Visitor) => ({
    person: who.person.id,
    name: who.person.name,
    via: { channel: "web", to: who.person.id } as const,
  });
  const done = (req: Request, res: Response) =>
    req.is("json") ? res.json({ ok: true }) : res.redirect(303, "/chat");

  router.get("/h/:token", async (req, res) => {
    const token = String(req.params["token"]);
    const link = await parts.findLink(token, "chat");
    if (!link)
      return page(
        res,
        404,
        sayPage(firm.name, "This link does not open a hire", [
          "It may be an old one: we send a new link when something changes.",
          `Ring us: ${firm.phone}`,
        ]),
      );
    return page(res, 200, openPage(firm.name, token));
  });
  router.post("/h/:token", async (req, res) => {
    const link = await parts.findLink(String(req.params["token"]), "chat");
    if (!link)
      return refuse(
        req,
        res,
        404,
        "This link does not open a hire",
        "It may be an old one: we send a new link when something changes.",
      );
    const token = await parts.makeCookie(link.hire, link.person);
    res.cookie(cookieName, token, {
      httpOnly: true,
      sameSite: "lax",
      secure: parts.secure,
      path: "/",
      maxAge: 120 * 24 * 3600 * 1000,
    });
    return res.redirect(303, "/chat");
  });

  router.get(
    "/chat",
    known(async (_req, res, who) => {
      const { booking } = who.hire;
      const voice = voiceFor(book, booking.van.type, booking.region, booking.lang);
      const events = await parts.eventsOfPerson(who.lane, who.person.id, 0);
      return page(
        res,
        200,
        chatPage(voice, booking, who.person, events, regionOf(book, booking.region).region.numbers),
      );
    }),
  );
  router.get(
    "/chat/messages",
    known(async (req, res, who) => {
      const since = Number(req.query["since"] ?? 0);
      if (!Number.isSafeInteger(since) || since < 0)
        return res.status(400).json({ error: "since: a whole number from 0 is needed" });
      const events = await parts.eventsOfPerson(who.lane, who.person.id, since);
      const { zone } = who.hire.booking;
      return res.set("Cache-Control", "no-store").json(
        events.map((e) => ({
          n: e.n,
          key: e.more.arrival ?? "",
          mine: e.kind === "in",
          html: messageHtml(e, zone).toString(),
        })),
      );
    }),
  );
  router.get(
    "/chat/stream",
    known(async (req, res, who) => {
      parts.streams.open(req, res, (send) => {
        send(0, "open");
        return parts.onEvents((lane, last) => {
          if (lane === who.lane) send(last, "more");
        });
      });
    }),
  );
  router.post(
    "/chat/say",
    json,
    form,
    known(async (req, res, who) => {
      const read = Said.safeParse(req.body);
      if (!read.success)
        return refuse(
          req,
          res,
          400,
          "Nothing was sent",
          `${read.error.issues[0]?.path.join(".") || "message"}: up to 4,000 letters are needed`,
        );
      await arrive(who, read.data.id, read.data.writtenAt, {
        kind: "said",
        from: from(who),
        text: read.data.text,
      });
      return done(req, res);
    }),
  );
  router.post(
    "/chat/tap",
    json,
    form,
    known(async (req, res, who) => {
      const read = Tapped.safeParse(req.body);
      if (!read.success)
        return refuse(req, res, 400, "Nothing was sent", "That button is not known");
      await arrive(who, read.data.id, read.data.writtenAt, {
        kind: "tapped",
        from: from(who),
        tap: read.data.tap,
      });
      return done(req, res);
    }),
  );
  router.post(
    "/chat/place",
    json,
    known(async (req, res, who) => {
      const read = Placed.safeParse(req.body);
      if (!read.success)
        return res
          .status(400)
          .json({ error: "lat from -90 to 90 and lon from -180 to 180 are needed" });
      await arrive(who, read.data.id, read.data.writtenAt, {
        kind: "located",
        from: from(who),
        lat: read.data.lat,
        lon: read.data.lon,
      });
      return res.json({ ok: true });
    }),
  );
  const bytes = express.raw({ type: () => true, limit: photoLimitBytes });
  router.post(
    "/chat/photo",
    known(async (req, res, who) => {
      await new Promise<void>((resolve, reject) =>
        bytes(req, res, (error?: unknown) => (error ? reject(error) : resolve())),
      );
      const id = clientId.safeParse(req.query["id"]);
      if (!id.success)
        return res.status(400).json({ error: "id: letters, digits, - and _ are needed" });
      const kind = Buffer.isBuffer(req.body) ? pictureKind(req.body) : undefined;
      if (!kind)
        return res.status(415).json({
          error: "That is no picture that we can show: a JPEG, PNG, WebP or HEIC photo is needed.",
        });
      const file = {
        id: await parts.photos.save(req.body),
        kind,
        bytes: (req.body as Buffer).length,
      };
      await arrive(who, id.data, undefined, { kind: "photo", from: from(who), file });
      return res.json({ ok: true });
    }),
  );
  router.get(
    "/chat/photo/:id",
    known(async (req, res, who) => {
      const id = String(req.params["id"]);
      const events = await parts.eventsOfPerson(who.lane, who.person.id, 0);
      const mine = events.find((e) => e.more.file?.id === id);
      const photo = mine ? await parts.photos.load(id) : undefined;
      if (!photo) return res.status(404).json({ error: "no such photo" });
      return res
        .set({
          "Content-Disposition": "inline",
          "Cache-Control": "private, max-age=86400",
          "X-Content-Type-Options": "nosniff",
        })
        .type(mine?.more.file?.kind ?? "image/jpeg")
        .send(photo);
    }),
  );

  router.use((error: unknown, req: Request, res: Response, next: NextFunction) => {
    if (res.headersSent) return next(error);
    const status =
      typeof error === "object" &&
      error !== null &&
      "status" in error &&
      typeof error.status === "number"
        ? error.status
        : 500;
    if (error instanceof Fault || status >= 500) {
      log.error("web chat could not store", {
        code: error instanceof Fault ? error.code : "unknown",
        route: req.path.split("/")[1] ?? "",
      });
      return refuse(
        req,
        res,
        503,
        "Not sent",
        "We could not keep that just now. Please send it again in a moment.",
      );
    }
    if (status === 413)
      return refuse(
        req,
        res,
        413,
        "Too large",
        "At most 8 MB for a photo and 4,000 letters for a message.",
      );
    return refuse(req, res, 400, "Not understood", "That could not be read.");
  });
  return router;
}
