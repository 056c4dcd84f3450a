/** The API for booking programs: /api/hires/{reference}, by token, and its description at /api/openapi.json. */
import express, { type NextFunction, type Request, type Response, Router } from "express";
import { rateLimit } from "express-rate-limit";
import { type Content, clashesOf, contentOf } from "../bookings/change.js";
import {
  HireContent,
  type Problem,
  readContent,
  reference,
  sayContent,
  schemaProblems,
} from "../bookings/content.js";
import { type Instant, isoIn } from "../calendar.js";
import type { Hire } from "../hires/hire.js";
import type { Book } from "../knowledge/book.js";
import type { FirmFile } from "../knowledge/schema.js";
import { laneOf } from "../lanes.js";
import { faultFields, type Log } from "../log.js";
import type { HireId } from "../post.js";
import { hiresAround, knownPlates } from "../store/care/vans.js";
import { isOwnReference, type Push, type Pushed, refsOf } from "../store/firm/bookings.js";
import { programOf } from "../store/firm/program-tokens.js";
import { loadLane } from "../store/hires.js";
import type { Db } from "../store/tables.js";
import { bearerIn, statusOf } from "../web-requests.js";
import { describeApi } from "./describe.js";

type ApiParts = {
  book: Book;
  db: Db;
  log: Log;
  publicUrl: string;
  now(): Instant;
  firmNow(): Promise<{ firm: FirmFile }>;
  pushHires(pushes: readonly Push[], by: string): Promise<Pushed[]>;
};

const titles: Record<number, string> = {
  400: "Not understood",
  401: "Not signed in",
  404: "Not found",
  405: "Not done here",
  413: "Too large",
  415: "Not JSON",
  422: "Fields are wrong",
  429: "Too many calls",
  503: "Not possible just now",
};

/** An answer after RFC 9457. */
function refuse(res: Response, status: number, detail: string, problems?: readonly Problem[]) {
  return res
    .status(status)
    .type("application/problem+json")
    .send(
      JSON.stringify({
        ...{ type: "about:blank", title: titles[status] ?? "Not done", status, detail },
        ...(problems ? { problems } : {}),
      }),
    );
}

function stageOf(hire: Hire | undefined, now: Instant): string {
  if (!hire) return "waiting";
  if (hire.booking.status === "cancelled") return "cancelled";
  if (hire.returnRecordAt !== undefined) return "back";
  return hire.booking.pickupAt > now ? "to-come" : "on-the-road";
}

/** Of one call: the program's name, and the reference that it names. */
type Call = { by: string; ref: string };
/** Calls a minute of one address. Far more than a firm's hires need. */
const mostCalls = 300;

export function apiRoutes(parts: ApiParts): Router {
  const router = Router();
  const { book, db } = parts;
  const calls = rateLimit({
    ...{ windowMs: 60_000, limit: mostCalls, standardHeaders: "draft-8", legacyHeaders: false },
    handler: (_req, res) => void refuse(res, 429, `at most ${mostCalls} calls a minute`),
  });

  /** Lets a call with a living token and a reference through; both stand in `res.locals`. */
  async function enter(req: Request, res: Response, next: NextFunction): Promise<void> {
    res.set("Cache-Control", "no-store");
    const token = bearerIn(req);
    const known = token && (await programOf(db, token, parts.now()));
    const named = reference.safeParse(req.params["reference"]);
    if (!known) {
      res.set("WWW-Authenticate", 'Bearer realm="hires"');
      refuse(res, 401, "a token made at the desk is needed: Authorization: Bearer pp_…");
    } else if (!named.success)
      refuse(res, 400, "a reference has 1 to 64 letters, digits or . : / _ - (the / as %2F)");
    else if (isOwnReference(named.data)) unknown(res, named.data);
    else {
      Object.assign(res.locals, { by: known.name, ref: named.data } satisfies Call);
      next();
    }
  }
  const callOf = (res: Response): Call => res.locals as Call;
  /** With the plate as the van that is known spells it. */
  const plated = async (content: Content): Promise<Content> => {
    const { registration, type } = content.van;
    return { ...content, van: { registration: (await knownPlates(db))(registration), type } };
  };
  const hireNow = async (id: HireId): Promise<Hire | undefined> => {
    const { state } = await loadLane(db, laneOf(id));
    return state?.kind === "hire" ? state.hire : undefined;
  };
  const unknown = (res: Response, ref: string) => refuse(res, 404, `no hire has "${ref}"`);

  /** Stores it, and answers with what came of it. */
  async function push(res: Response, { reference: ref, content }: Push, by: string) {
    const [done] = await parts.pushHires([{ reference: ref, content }], by);
    if (!done) return refuse(res, 503, "try again later");
    const { pickupAt, returnAt, van, people, zone } = content;
    const around = await hiresAround(db, van.registration, pickupAt, returnAt);
    const clashes = clashesOf({ hire: done.hire, ...content }, around);
    return res.status(done.result === "made" ? 201 : 200).json({
      ...{ reference: ref, hire: done.hire, result: done.result },
      clashes: clashes.map((c) => ({
        ...{ hire: c.id, surname: c.surname, how: c.how },
        ...{ pickup: isoIn(c.pickupAt, zone), return: isoIn(c.returnAt, zone) },
      })),
      links: done.links.map(({ token }, i) => ({
        name: people[i]?.name ?? "",
        url: `${parts.publicUrl}/h/${token}`,
      })),
    });
  }

  router.get("/api/openapi.json", async (_req, res) =>
    res.json(describeApi((await parts.firmNow()).firm.name, parts.publicUrl)),
  );
  router
    .route("/api/hires/:reference")
    .all(calls, enter)
    .get(async (_req, res) => {
      const { ref } = callOf(res);
      const known = (await refsOf(db, [ref])).get(ref);
      if (!known) return unknown(res, ref);
      const hire = await hireNow(known.hire);
      const content = sayContent(hire ? contentOf(hire.booking) : known.content);
      const stage = stageOf(hire, parts.now());
      return res.json({ reference: ref, hire: known.hire, content, stage });
    })
    .put(express.json({ limit: "64kb" }), async (req, res) => {
      const { by, ref } = callOf(res);
      if (!req.is("application/json")) return refuse(res, 415, "Content-Type: application/json");
      const parsed = HireContent.safeParse(req.body);
      const { firm } = await parts.firmNow();
      const content = parsed.success
        ? readContent(parsed.data, { ...book, firm })
        : schemaProblems(parsed.error);
      return Array.isArray(content)
        ? refuse(res, 422, "nothing was kept: see problems", content)
        : push(res, { reference: ref, content: await plated(content) }, by);
    })
    .delete(async (_req, res) => {
      const { by, ref } = callOf(res);
      const known = (await refsOf(db, [ref])).get(ref);
      return known
        ? push(res, { reference: ref, content: { ...known.content, status: "cancelled" } }, by)
        : unknown(res, ref);
    })
    .all((_req, res) => {
      res.set("Allow", "GET, PUT, DELETE");
      refuse(res, 405, "GET, PUT or DELETE");
    });
  router.use("/api", (_req, res) => void refuse(res, 404, "see /api/openapi.json"));
  router.use("/api", (error: unknown, req: Request, res: Response, next: NextFunction) => {
    if (res.headersSent) return next(error);
    const status = statusOf(error);
    if (status === 413) return refuse(res, 413, "at most 64 kB");
    if (status !== undefined) return refuse(res, 400, "the body is no JSON");
    parts.log.error("request failed", { ...faultFields(error), route: "api" });
    return req.method === "GET"
      ? refuse(res, 503, "it could not be read: ask again later")
      : refuse(res, 503, "it could not be stored: push it again later");
  });
  return router;
}
