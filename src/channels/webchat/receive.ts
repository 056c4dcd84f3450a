/** The hirer's web chat: what a hirer writes, taps, shares or photographs becomes an arrival of the hire's lane. */
import { createHash } from "node:crypto";
import express, { type NextFunction, type Request, type Response, Router } from "express";
import { z } from "zod";
import { type Instant, instantOf } from "../../calendar.js";
import { shownCopy } from "../../photo-copy.js";
import { type ArrivalBody, type FileRef, type LaneId, mostLetters } from "../../post.js";
import { canBeShown } from "../../wording/pictures.js";
import type { File } from "../door.js";
import { fileAndSee } from "../stream.js";
import { type CalendarLinks, calendarLinkRoutes } from "./calendar.js";
import { openCalm } from "./calm.js";
import { type FeedParts, feedRoutes } from "./feed.js";
import { type GuideParts, guideRoutes } from "./guide/routes.js";
import { type Photos, photoLimitBytes, pictureKind } from "./photos.js";
import { openVisit, type Visitor, type VisitParts } from "./visit.js";

/** What the web chat needs of the house; functions, so that it knows no store. */
type WebchatParts = VisitParts &
  FeedParts &
  CalendarLinks &
  GuideParts & {
    file: File;
    photos: Photos;
    /** A file that this person sent in the lane. */
    fileOf(lane: LaneId, person: string, id: string): Promise<FileRef | undefined>;
    /** Whether words may tell of a danger: they are never held back. */
    mayBeDanger(text: string): boolean;
  };

/** The same words from a page without script within this time are one message: a double tap. */
const doubleTapMs = 5000;

/** A photo may be so long on its way. */
const onTheWayMs = 120_000;

const clientId = z.string().regex(/^[A-Za-z0-9_-]{1,64}$/, "letters, digits, - and _");
/** `writtenAt` and `sentAt` by the phone's own clock. */
const own = {
  id: clientId.optional(),
  writtenAt: z.number().int().optional(),
  sentAt: z.number().int().optional(),
};
type Told = { [field in keyof typeof own]?: z.infer<(typeof own)[field]> };
const Said = z.object({ ...own, text: z.string().trim().min(1).max(mostLetters) });
const Tapped = z.object({ ...own, tap: z.string().min(1).max(200) });
const Placed = z.object({
  ...own,
  lat: z.number().min(-90).max(90),
  lon: z.number().min(-180).max(180),
  /** Metres. A browser may say anything; half the way round the world is no place. */
  accuracyM: z.number().min(0).max(20_000_000).optional(),
});

const said = (n: number): string => n.toLocaleString("en-GB");

/** What is wrong with a message, and what would be right. */
function wrongText(body: unknown, issue: z.core.$ZodIssue | undefined): string {
  const text = typeof body === "object" && body !== null && "text" in body ? String(body.text) : "";
  if (issue?.path[0] === "id") return "id: up to 64 letters, digits, - and _ are needed.";
  const letters = text.trim().length;
  if (letters > mostLetters)
    return `Your message has ${said(letters)} letters; at most ${said(mostLetters)} go into one. Please send it in parts.`;
  return "Your message is empty: write what you need or see.";
}

/**
 * When a message was written. A phone's clock that agrees with ours, but for the way here, is taken as it is; of
 * any other holds only how long the message waited before it was sent. Undefined where what it tells cannot be.
 */
function writtenIn({ writtenAt, sentAt }: Told, receivedAt: Instant): Instant | undefined {
  if (writtenAt === undefined) return undefined;
  const behind = receivedAt - (sentAt ?? receivedAt);
  const written = Math.abs(behind) <= onTheWayMs ? writtenAt : writtenAt + behind;
  return written > 0 && written <= receivedAt ? instantOf(written) : undefined;
}

/** An instant of the phone's clock in an address. */
function clockIn(text: unknown): number | undefined {
  const at = Number(text);
  return Number.isSafeInteger(at) && at > 0 ? at : undefined;
}

/** The routes of the hirer's page. Bad input gets a clear 4xx, a store that cannot store 503. */
export function webchatRoutes(parts: WebchatParts): Router {
  const router = Router();
  const visit = openVisit(parts);
  const { known, refuse } = visit;
  const tooMuch = openCalm(parts.now);
  const slower = (req: Request, res: Response) => {
    res.set("Retry-After", "60");
    const text = "Many messages came at once. Please send it again in a minute, or ring us.";
    return refuse(req, res, 429, "Not sent", text);
  };
  const json = express.json({ limit: "64kb" });
  const form = express.urlencoded({ extended: false, limit: "64kb" });

  /** The key of what the page calls by this id. */
  const keyOf = (who: Visitor, id: string) => `web:${who.hire.id}:${who.person.id}:${id}`;
  /** Files what a hirer did. Without a client id (no script) the key is made of the moment and the words. */
  async function arrive(who: Visitor, told: Told, body: ArrivalBody): Promise<"new" | "known"> {
    const receivedAt = parts.now();
    const words = createHash("sha256").update(JSON.stringify(body)).digest("base64url");
    const id = told.id ?? `${Math.floor(receivedAt / doubleTapMs)}-${words.slice(0, 12)}`;
    const writtenAt = writtenIn(told, receivedAt);
    return parts.file({
      key: keyOf(who, id),
      lane: who.lane,
      receivedAt,
      body,
      ...(writtenAt === undefined ? {} : { writtenAt }),
    });
  }
  const from = (who: Visitor) => ({
    person: who.person.id,
    name: who.person.name,
    via: { channel: "web", to: who.person.id } as const,
  });
  /** Files it and answers: scripts at once, a page without script once there is something new to show. */
  async function take(req: Request, res: Response, who: Visitor, told: Told, body: ArrivalBody) {
    if (req.is("json")) {
      await arrive(who, told, body);
      return res.json({ ok: true });
    }
    await fileAndSee(parts.onEvents, who.lane, () => arrive(who, told, body));
    return res.redirect(303, "/chat#latest");
  }

  router.use(visit.router);
  router.use(feedRoutes(parts, visit));
  router.use(calendarLinkRoutes(parts, visit));
  router.use(guideRoutes(parts, visit));
  router.post(
    "/chat/say",
    json,
    form,
    known(async (req, res, who) => {
      const read = Said.safeParse(req.body);
      if (!read.success)
        return refuse(req, res, 400, "Not sent", wrongText(req.body, read.error.issues[0]));
      const { text } = read.data;
      if (tooMuch(`${who.lane} ${who.person.id}`, "words") && !parts.mayBeDanger(text))
        return slower(req, res);
      return take(req, res, who, read.data, {
        kind: "said",
        from: from(who),
        text,
      });
    }),
  );
  router.post(
    "/chat/tap",
    json,
    form,
    known(async (req, res, who) => {
      const read = Tapped.safeParse(req.body);
      if (!read.success)
        return refuse(req, res, 400, "Not sent", "That button is not known. Please write instead.");
      return take(req, res, who, read.data, {
        kind: "tapped",
        from: from(who),
        tap: read.data.tap,
      });
    }),
  );
  router.post(
    "/chat/place",
    json,
    known(async (req, res, who) => {
      const read = Placed.safeParse(req.body);
      if (!read.success)
        return refuse(
          req,
          res,
          400,
          "Not sent",
          "lat from -90 to 90 and lon from -180 to 180 are needed; accuracyM is metres, from 0.",
        );
      const { lat, lon, accuracyM } = read.data;
      const vague = accuracyM === undefined ? {} : { accuracyM };
      return take(req, res, who, read.data, {
        kind: "located",
        from: from(who),
        lat,
        lon,
        ...vague,
      });
    }),
  );

  const bytes = express.raw({ type: () => true, limit: photoLimitBytes });
  const photoBody = (req: Request, res: Response) =>
    new Promise<Buffer>((resolve, reject) =>
      bytes(req, res, (error?: unknown) => {
        if (error) reject(error);
        else resolve(Buffer.isBuffer(req.body) ? req.body : Buffer.alloc(0));
      }),
    );
  router.post(
    "/chat/photo",
    // The guard comes first: nobody unknown sends us 8 MB.
    known(async (req, res, who) => {
      if (tooMuch(`${who.lane} ${who.person.id}`, "photos")) return slower(req, res);
      const body = await photoBody(req, res);
      const id = clientId.safeParse(req.query["id"]);
      if (!id.success)
        return refuse(
          req,
          res,
          400,
          "Not sent",
          "id: up to 64 letters, digits, - and _ are needed.",
        );
      const kind = pictureKind(body);
      if (!kind)
        return refuse(
          req,
          res,
          415,
          "Not sent",
          "That is no photo that can be kept here: a JPEG, PNG, WebP or HEIC photo is needed.",
        );
      const { at, sent } = req.query;
      const told = { id: id.data, writtenAt: clockIn(at), sentAt: clockIn(sent) };
      const saved = await parts.photos.save(body, keyOf(who, id.data));
      const file = { id: saved, kind, bytes: body.length };
      await arrive(who, told, { kind: "photo", from: from(who), file });
      return res.json({ ok: true });
    }),
  );
  router.get(
    "/chat/photo/:id",
    known(async (req, res, who) => {
      const id = String(req.params["id"]);
      const file = await parts.fileOf(who.lane, who.person.id, id);
      const photo = file && (await parts.photos.load(id));
      if (!photo) return refuse(req, res, 404, "No such photo", "There is no such photo of yours.");
      const copy = await shownCopy(photo);
      return res
        .set({
          "Content-Disposition": canBeShown(file.kind)
            ? "inline"
            : `attachment; filename="photo-${id}.heic"`,
          "Cache-Control": "private, max-age=86400",
          "X-Content-Type-Options": "nosniff",
        })
        .type(copy ? "jpeg" : file.kind)
        .send(copy ?? photo);
    }),
  );
  router.use((error: unknown, req: Request, res: Response, next: NextFunction) =>
    visit.broke(error, req, res, next),
  );
  return router;
}
