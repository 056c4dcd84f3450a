/** Who is looking at the hirer's page: a link becomes a cookie, a cookie names a person of a hire. */
import { type NextFunction, type Request, type Response, Router } from "express";
import { type Instant, minuteMs } from "../../calendar.js";
import { Fault } from "../../faults.js";
import type { Hire, LaneState } from "../../hires/hire.js";
import { type Book, regionOf } from "../../knowledge/book.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { laneOf } from "../../lanes.js";
import { faultFields, type Log } from "../../log.js";
import { type LaneId, mostLetters } from "../../post.js";
import type { Link } from "../../store/tokens.js";
import { cookieIn, statusOf } from "../../web-requests.js";
import { voiceFor } from "../../wording/say.js";
import { openPage, sayPage } from "./page.js";

export type VisitParts = {
  book: Book;
  now(): Instant;
  log: Log;
  /** Cookies only over HTTPS. */
  secure: boolean;
  /** Whose link or printed card a token is. */
  findLink(token: string): Promise<Link | undefined>;
  /** Whose device. */
  findCookie(token: string): Promise<Link | undefined>;
  makeCookie(link: Link & { kind: "cookie" | "card-cookie" }): Promise<string>;
  laneState(lane: LaneId): Promise<LaneState | undefined>;
  /** The firm as it holds now: its contacts' numbers change at the desk. */
  firmNow(): Promise<{ firm: FirmFile }>;
};

export type Visitor = {
  hire: Hire;
  person: { id: string; name: string };
  lane: LaneId;
  /** Came by a printed card, as whoever finds one may. */
  byCard: boolean;
};
export type Visit = {
  router: Router;
  /** A page that nobody else keeps. */
  page(res: Response, status: number, body: { toString(): string }): Response;
  /** A clear no: JSON for scripts, a page for people. */
  refuse(req: Request, res: Response, status: number, heading: string, text: string): Response;
  /** Who this is; undefined for a stranger, or when the link was replaced since. */
  visitor(req: Request): Promise<Visitor | undefined>;
  /** Only for who came by a link, and only by a page of the same hire and person, where it says whose it is. */
  known(
    act: (req: Request, res: Response, who: Visitor) => Promise<unknown>,
  ): (req: Request, res: Response) => Promise<unknown>;
  /** The same, and not by a printed card: what makes links is for the person alone. */
  own: Visit["known"];
  /** The last handler: what broke becomes a clear answer; 503 where we could not show or store it. */
  broke(error: unknown, req: Request, res: Response, next: NextFunction): unknown;
};

const cookieName = "van";
const dayMs = 24 * 60 * minuteMs;
/** How long a device stays connected, ms: until the link of its hire ends, and 120 days at least, since hires are moved. */
const cookieMs = ({ book, now }: VisitParts, { returnAt }: Hire["booking"]): number =>
  Math.max(120 * dayMs, returnAt + book.keeping.link.days * dayMs - now());

/** Whether the page that asks says that it is of another hire or person than the one this device is connected to. */
function isOfAnother(req: Request, { hire, person }: Visitor): boolean {
  const of = req.query;
  return (
    (of["hire"] !== undefined && of["hire"] !== hire.booking.hire) ||
    (of["person"] !== undefined && of["person"] !== person.id)
  );
}

/** The words of a form that was refused, so that nobody has to write them again. */
function keptWords(req: Request): string {
  const body: unknown = req.body;
  return typeof body === "object" && body !== null && "text" in body && req.method === "POST"
    ? String(body.text).slice(0, mostLetters)
    : "";
}

/** The link pages at /h/<token>. */
function linkRoutes(
  parts: VisitParts,
  { page, refuse, visitor }: Pick<Visit, "page" | "refuse" | "visitor">,
): Router {
  const { book } = parts;
  const router = Router();
  const noLink = (req: Request, res: Response) =>
    refuse(
      req,
      res,
      404,
      "This link opens no hire",
      "It may be an old one: when a new link is made, the one before stops working. Ring us and we send you the right one.",
    );

  router.get("/h/:token", async (req, res) => {
    const token = String(req.params["token"]);
    const link = await parts.findLink(token);
    const state = link && (await parts.laneState(laneOf(link.hire)));
    if (state?.kind !== "hire") return noLink(req, res);
    const { van, region, lang } = state.hire.booking;
    const voice = voiceFor({ ...book, firm: (await parts.firmNow()).firm }, van.type, region, lang);
    return page(res, 200, openPage(voice, regionOf(book, region).region.numbers, token));
  });
  router.post("/h/:token", async (req, res) => {
    const link = await parts.findLink(String(req.params["token"]));
    const state = link && (await parts.laneState(laneOf(link.hire)));
    if (!link || state?.kind !== "hire") return noLink(req, res);
    const { hire, person } = link;
    if (link.kind === "card") {
      // A device that is somebody's own of this hire stays it.
      const who = await visitor(req);
      if (who?.hire.id === hire && !who.byCard) return res.redirect(303, "/chat");
    }
    const kind = link.kind === "card" ? "card-cookie" : "cookie";
    const token = await parts.makeCookie({ hire, person, kind });
    res.cookie(cookieName, token, {
      httpOnly: true,
      sameSite: "lax",
      secure: parts.secure,
      path: "/",
      maxAge: cookieMs(parts, state.hire.booking),
    });
    return res.redirect(303, "/chat");
  });
  return router;
}

/** The link pages at /h/<token>, and the guard for everything else. */
export function openVisit(parts: VisitParts): Visit {
  const { book, log } = parts;
  const { firm } = book;
  const { numbers } = regionOf(book, firm.region).region;
  const page: Visit["page"] = (res, status, body) =>
    res.status(status).set("Cache-Control", "no-store").type("html").send(body.toString());
  const wantsJson = (req: Request) =>
    Boolean(req.is("json")) || req.accepts(["html", "json"]) === "json";
  const refuse: Visit["refuse"] = (req, res, status, heading, text) =>
    wantsJson(req)
      ? res.status(status).json({ error: text })
      : page(res, status, sayPage(firm, numbers, heading, text, keptWords(req)));

  async function visitor(req: Request): Promise<Visitor | undefined> {
    const token = cookieIn(req, cookieName);
    const link = token ? await parts.findCookie(token) : undefined;
    if (!link) return undefined;
    const state = await parts.laneState(laneOf(link.hire));
    const hire = state?.kind === "hire" ? state.hire : undefined;
    const person = hire?.people.find((p) => p.id === link.person);
    const byCard = link.kind === "card-cookie";
    return hire && person ? { hire, person, lane: laneOf(link.hire), byCard } : undefined;
  }

  const known: Visit["known"] = (act) => async (req, res) => {
    const who = await visitor(req);
    if (who && isOfAnother(req, who))
      return refuse(
        req,
        res,
        409,
        "Please open your link again",
        "Another link was opened on this device since. Open the link in your own booking message again.",
      );
    if (who) return act(req, res, who);
    return refuse(
      req,
      res,
      401,
      "Please open your link again",
      "This device is not connected to a hire. Open the link in your booking message.",
    );
  };

  return {
    router: linkRoutes(parts, { page, refuse, visitor }),
    page,
    refuse,
    visitor,
    known,
    own: (act) =>
      known(async (req, res, who) =>
        who.byCard
          ? refuse(
              req,
              res,
              403,
              "Only by your own link",
              "This device came here by the card in the van. Open the link in your booking message for this.",
            )
          : act(req, res, who),
      ),
    broke(error, req, res, next) {
      if (res.headersSent) return next(error);
      const status = statusOf(error) ?? 500;
      if (status === 413)
        return refuse(
          req,
          res,
          413,
          "Too large",
          `A photo may have 8 MB and a message ${mostLetters.toLocaleString("en-GB")} letters.`,
        );
      if (status < 500 && !(error instanceof Fault))
        return refuse(req, res, 400, "Not understood", "What came could not be read.");
      log.error("request failed", {
        ...faultFields(error),
        route: req.path.split("/")[1] ?? "",
      });
      if (req.method === "GET")
        return refuse(
          req,
          res,
          503,
          "Not shown",
          "That page could not be shown just now. Please try again in a moment, or ring us.",
        );
      return refuse(
        req,
        res,
        503,
        "Not sent",
        "We could not keep that just now. Please send it again in a moment, or ring us.",
      );
    },
  };
}
