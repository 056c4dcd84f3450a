/** Coming in and going out at the desk: sign-in, the session's cookie, and the guard before every page. */
import { randomBytes } from "node:crypto";
import express, { type Request, type Response, Router } from "express";
import { after, type Instant } from "../calendar.js";
import { isTask } from "../callouts/steps.js";
import type { Streams } from "../channels/stream.js";
import type { Photos } from "../channels/webchat/photos.js";
import type { Hire, LaneState } from "../hires/hire.js";
import type { Book } from "../knowledge/book.js";
import type { FirmFile } from "../knowledge/schema.js";
import { hireIn, laneOf } from "../lanes.js";
import { faultFields, type Log } from "../log.js";
import type { Matcher } from "../matching/matcher.js";
import { type Html, html } from "../pages/html.js";
import { passwordLetters } from "../password.js";
import type { Arrival, Booking, LaneId } from "../post.js";
import { nameIn, type StaffReach } from "../roster/reach.js";
import { lastRung, toldAtDesk } from "../store/addresses/sends-to.js";
import type { NewNotice } from "../store/care/notices.js";
import { strangersInDanger } from "../store/care/strangers.js";
import type { Push, Pushed } from "../store/firm/bookings.js";
import { openCallouts } from "../store/hires.js";
import { accountOf, accountsOf } from "../store/staff/accounts.js";
import { addTrace } from "../store/staff/trail.js";
import type { Db } from "../store/tables.js";
import {
  closeDeskSession,
  findDeskSession,
  openDeskSession,
  seeDeskSession,
} from "../store/tokens.js";
import { cookieIn, sameSecret } from "../web-requests.js";
import type { Trial } from "../wordings/changes.js";
import { may, neededFor, type Right } from "./accounts/rights.js";
import { isTraced, traceOf } from "./accounts/trace.js";
import { trySignIn } from "./accounts/tries.js";
import { typedBack } from "./accounts/typed-back.js";
import { deskPage, unknownPage, type Who } from "./frame.js";
import { text } from "./read-forms.js";
import type { SealedPhotos } from "./sealed/sealed.js";
import { toldBeside, toldHtml, toldMin } from "./told.js";

export type DeskParts = {
  book: Book;
  /** The matcher with the wordings that were kept here. */
  matcherNow(): Promise<Matcher>;
  /** Tries a wording on asks that the model has not seen. */
  trial: Trial;
  /** What stands in the way of what hirers write by Telegram, in words. */
  telegramDoubts(): readonly string[];
  db: Db;
  now(): Instant;
  log: Log;
  secure: boolean;
  /** For links that hirers open, without a slash at the end. */
  publicUrl: string;
  file(arrival: Arrival): Promise<"new" | "known">;
  makeHire(booking: Booking, key?: string): Promise<{ links: { person: string; token: string }[] }>;
  /** A person's card for the visor, as a page to print; the code on the card before ends. */
  visorCard(hire: Hire, person: string): Promise<Html>;
  /** Sends a notice to many hires; the same id once. */
  makeNotice(
    notice: NewNotice,
    hires: { chosen: readonly string[]; shown: readonly string[] },
  ): Promise<"new" | "known">;
  /** Ends a notice; false where it is unknown or over. */
  endNotice(id: string, by: string): Promise<boolean>;
  pushHires(pushes: readonly Push[], by: string): Promise<Pushed[]>;
  laneState(lane: LaneId): Promise<LaneState | undefined>;
  /** The firm as it holds now, with the version of what was changed here, and how staff are reached. */
  firmNow(): Promise<{ firm: FirmFile; version: number; reach: StaffReach }>;
  onEvents(listener: (lane: LaneId, last: number) => void): () => void;
  streams: Streams;
  photos: Photos;
  /** Photos of records. */
  sealed: SealedPhotos;
};

/** A fresh id for a form, a hire or an arrival's key. */
export const newId = (): string => randomBytes(12).toString("base64url");
/** The id of a form that was sent, or a fresh one where it has none: it makes a double click act once. */
export const formId = (given?: unknown): string =>
  typeof given === "string" && /^[A-Za-z0-9_-]{8,40}$/.test(given) ? given : newId();
/** A photo by chat; undefined where it cannot be had just now, which the log tells. Never throws. */
export const photoNow = (
  { photos, log }: Pick<DeskParts, "photos" | "log">,
  id: string,
): Promise<Buffer | undefined> =>
  photos.load(id).catch((error: unknown) => {
    log.error("photo not read", faultFields(error));
    return undefined;
  });

/** What is known of a hire; undefined where there is none of this id. */
export async function hireState(
  parts: Pick<DeskParts, "laneState">,
  id: string,
): Promise<Hire | undefined> {
  const state = await parts.laneState(laneOf(id));
  return state?.kind === "hire" ? state.hire : undefined;
}
/** The book with the firm as it stands now: contacts may have been changed at the desk. */
export const bookNow = async (parts: Pick<DeskParts, "book" | "firmNow">): Promise<Book> => ({
  ...parts.book,
  firm: (await parts.firmNow()).firm,
});
const cookieName = "desk";
const sessionHours = 14;

/** Reads a form of some fields. */
export const form = express.urlencoded({ extended: false, limit: "64kb" });

/** Answers with a page that nobody else keeps. */
export const send = (res: Response, status: number, page: Html): Response =>
  res.status(status).set("Cache-Control", "no-store").type("html").send(page.toString());

/** Answers with a table file to keep, under this name. */
export const sendCsv = (res: Response, name: string, file: string): Response =>
  res
    .set({
      "Cache-Control": "no-store",
      "Content-Disposition": `attachment; filename="${name}"`,
    })
    .type("text/csv")
    .send(file);

/** What rang last for a contact; loud unless it is about a van that may move. */
async function rungFor(db: Db, contact: string): Promise<Who["rung"]> {
  const rung = await lastRung(db, contact);
  if (!rung) return undefined;
  const { severity, callout } = rung.send;
  return {
    n: rung.seq,
    loud: severity !== "soon" && severity !== "note",
    of: callout === undefined ? rung.lane : `${hireIn(rung.lane) ?? rung.lane}:${callout}`,
  };
}

type Act = (req: Request, res: Response, who: Who) => Promise<unknown>;
type ActOnHire = (req: Request, res: Response, who: Who, hire: Hire) => unknown;
export type Entry = {
  router: Router;
  /** Whether the session still holds with which this was asked. No sign of life: nobody may be looking. */
  stillIn(req: Request): Promise<boolean>;
  /** Only for who is signed in; anybody else gets 401 and no page: for what an open page asks by itself. */
  fresh(act: Act): (req: Request, res: Response) => Promise<unknown>;
  /** Only for who is signed in, and for a form only with the page's own token. */
  staff(act: Act): (req: Request, res: Response) => Promise<unknown>;
  /** The same, and only on a hire that is known: the one that the path names. */
  onHire(act: ActOnHire): (req: Request, res: Response) => Promise<unknown>;
};

/** Sign-in at /desk/enter and /desk/leave, and the guard for everything else. */
export function deskEntry(parts: DeskParts): Entry {
  const router = Router();
  const { db } = parts;
  const { firm } = parts.book;
  const tokenOf = (req: Request) => cookieIn(req, cookieName);

  /** Who was taken out of the firm, or has the desk no more, does not come in by an account of before. */
  const hasDesk = (contact: string): boolean => firm.contacts[contact]?.desk === true;

  /** `chosen`: the contact of the form that was refused. */
  async function signInPage(wrong = "", below = html``, chosen = ""): Promise<Html> {
    const accounts = (await accountsOf(db)).filter(({ contact }) => hasDesk(contact));
    return deskPage(
      "Desk",
      undefined,
      html`<h1>${firm.name}: desk</h1>${wrong ? html`<p class="wrong" role="alert">${wrong}</p>` : ""}
<form method="post" action="/desk/enter" class="fields"><label>Who are you <select name="contact" required>${accounts.length > 1 ? html`<option value="">choose</option>` : ""}${accounts.map(({ contact }) => html`<option value="${contact}"${contact === chosen ? html` selected` : ""}>${nameIn(firm, contact)}</option>`)}</select></label>
<label>Password <input type="password" name="password" autocomplete="current-password" required></label><button class="main">Sign in</button></form>${below}`,
    );
  }

  /** A session ends so long after signing in, as its cookie does. */
  const notBefore = () => after(parts.now(), -sessionHours * 60);
  async function stillIn(req: Request): Promise<boolean> {
    const token = tokenOf(req);
    const session = token && (await findDeskSession(db, token, notBefore()));
    return session ? hasDesk(session.contact) : false;
  }
  /** Who is signed in; seen now. */
  async function signedIn(req: Request): Promise<Who | undefined> {
    const token = tokenOf(req);
    if (!token) return undefined;
    const session = await seeDeskSession(db, token, parts.now(), notBefore());
    // An account that ended has no session any more; asked all the same, since everything hangs on it.
    const account = session && (await accountOf(db, session.contact));
    if (!session || !account || !hasDesk(session.contact)) return undefined;
    const { contact, csrf } = session;
    const name = nameIn(firm, contact);
    const rights = (right: Right) => may(firm, account.role, right);
    const now = parts.now();
    const callouts = await openCallouts(db);
    const lately = await toldAtDesk(db, contact, after(now, -toldMin));
    const told = toldHtml(toldBeside(lately, callouts, now), now, firm.zone);
    const open = callouts.filter((row) => !isTask(row));
    const strangers = await strangersInDanger(db);
    const waits = [...strangers.map(() => "danger" as const), ...open.map((row) => row.severity)];
    const rung = await rungFor(db, contact);
    const who = { contact, csrf, name, role: account.role, may: rights, waits, told };
    return { ...who, ...(rung ? { rung } : {}) };
  }
  /** A page that is asked for waits behind the sign-in; a form is lost, and says so. */
  async function signInFirst(req: Request, res: Response): Promise<Response> {
    if (req.method !== "POST") return send(res, 200, await signInPage());
    const isForm = req.is("application/x-www-form-urlencoded");
    const typed = typedBack(isForm ? ((req.body ?? {}) as Record<string, unknown>) : {});
    const why = "Not done: you were signed out. What you sent was not kept.";
    return send(res, 401, await signInPage(why, typed));
  }
  const refused = (res: Response, who: Who, why: string) =>
    send(res, 403, deskPage("Desk", who, html`<h1>Not done</h1><p>${why}</p>`));
  const staff =
    (act: (req: Request, res: Response, who: Who) => Promise<unknown>) =>
    async (req: Request, res: Response) => {
      const who = await signedIn(req);
      if (!who)
        return req.accepts(["html", "json"]) === "json"
          ? res.status(401).json({ error: "sign in" })
          : signInFirst(req, res);
      const body = (req.body ?? {}) as Record<string, unknown>;
      if (req.method === "POST" && !sameSecret(body["csrf"] ?? req.get("x-csrf"), who.csrf))
        return refused(
          res,
          who,
          "That page was an old one. Please go back, load it again and try once more.",
        );
      const route = String(req.route.path);
      const right = neededFor(req.method, route, text(body, "do"));
      if (right && !who.may(right))
        return refused(res, who, "Only a manager may do that here. Ask one, or the owner.");
      // Written down before it is done: what cannot be written down is not done.
      const traced = isTraced(req.method, route);
      const trace = traced ? traceOf(route, req.params, body) : undefined;
      if (trace) await addTrace(db, { at: parts.now(), contact: who.contact, ...trace });
      // A kind of body that the route does not read is an empty form.
      req.body ??= {};
      return act(req, res, who);
    };
  const fresh = (act: Act) => async (req: Request, res: Response) => {
    const who = await signedIn(req);
    return who ? act(req, res, who) : res.status(401).type("text").send("You are signed out.");
  };
  const onHire = (act: ActOnHire) =>
    staff(async (req, res, who) => {
      const hire = await hireState(parts, String(req.params["id"]));
      return hire ? act(req, res, who, hire) : send(res, 404, unknownPage(who, "hire"));
    });
  router.post("/desk/enter", form, async (req, res) => {
    const body = (req.body ?? {}) as Record<string, unknown>;
    const given = typeof body["contact"] === "string" ? body["contact"] : "";
    const contact = hasDesk(given) ? given : "";
    const typed = typeof body["password"] === "string" ? body["password"] : "";
    const password = typed.slice(0, passwordLetters.most);
    const tried = await trySignIn(db, req, { contact, password }, parts.now());
    if (tried.kind === "wait") {
      const minutes = Math.ceil(tried.ms / 60_000);
      const when = minutes === 1 ? "a minute" : `${minutes} minutes`;
      res.set("Retry-After", String(Math.ceil(tried.ms / 1000)));
      const why = `Too many wrong passwords from here. Wait ${when}, or ask a manager for a new one.`;
      return send(res, 429, await signInPage(why, html``, contact));
    }
    if (tried.kind === "wrong") {
      parts.log.warn("desk sign-in refused", { route: "desk" });
      return send(res, 401, await signInPage("That password is not right.", html``, contact));
    }
    const { token } = await openDeskSession(db, contact, parts.now());
    res.cookie(cookieName, token, {
      httpOnly: true,
      sameSite: "strict",
      secure: parts.secure,
      path: "/desk",
      maxAge: sessionHours * 3_600_000,
    });
    return res.redirect(303, "/desk");
  });
  router.post(
    "/desk/leave",
    form,
    staff(async (req, res) => {
      const token = tokenOf(req);
      if (token) await closeDeskSession(db, token);
      return res.clearCookie(cookieName, { path: "/desk" }).redirect(303, "/desk");
    }),
  );

  return { router, stillIn, fresh, staff, onHire };
}
