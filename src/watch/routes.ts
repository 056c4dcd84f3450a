/** For whoever watches the service: /healthz (it answers), /readyz (it can work), /metrics (its figures). */
import { setTimeout as pause } from "node:timers/promises";
import { type Request, Router } from "express";
import type { Instant } from "../calendar.js";
import { codeOf, sayCode } from "../store/engines/why.js";
import type { Db } from "../store/tables.js";
import { type Standing, standingOf, tryWriting } from "../store/watch/health.js";
import { bearerIn, sameSecret } from "../web-requests.js";
import type { Figures } from "./figures.js";

type WatchParts = {
  db: Db;
  now(): Instant;
  /** Since when the slower of the two loops has not got through, in ms; undefined: they do not run. */
  roundsIdleMs(): number | undefined;
  figures: Figures;
  /** Lets in whoever bears it. */
  token: string | undefined;
};

/** The loops look at least every 5 s; a pass takes longer than this only where something hangs. */
const idleMostMs = 30_000;
const answerMs = 2_000;
/** An answer is good for so long: however often it is asked, the database is tried once a second. */
const keptMs = 1_000;

/** What the store answers in time. @throws what it throws, or that it did not answer */
async function inTime<T>(work: Promise<T>): Promise<T> {
  const late = new AbortController();
  const { signal } = late;
  try {
    return await Promise.race([
      work,
      pause(answerMs, undefined, { signal }).then(() => Promise.reject(new Error("late"))),
    ]);
  } finally {
    late.abort();
  }
}

/** Why it cannot work now, in plain words; undefined: it can. */
async function notReady({ db, roundsIdleMs }: WatchParts): Promise<string | undefined> {
  const idle = roundsIdleMs();
  if (idle === undefined) return "the rounds do not run";
  if (idle > idleMostMs) return `the rounds have not got through for ${Math.round(idle / 1_000)} s`;
  try {
    await inTime(tryWriting(db));
    return undefined;
  } catch (error) {
    if (error instanceof Error && error.message === "late")
      return `the database has not answered within ${answerMs / 1_000} s`;
    return `the database cannot be written and read (${sayCode(codeOf(error))})`;
  }
}

/** Asks again only after a while; whoever comes meanwhile gets the same answer. */
function keeping<T>(ask: () => Promise<T>): () => Promise<T> {
  let last: { answer: Promise<T>; at: number } | undefined;
  return () => {
    if (!last || performance.now() - last.at > keptMs)
      last = { answer: ask(), at: performance.now() };
    return last.answer;
  };
}

/**
 * Who may read the figures: whoever bears the token; without one, a program of this machine that no proxy
 * speaks for.
 */
function mayRead(request: Request, token: string | undefined): boolean {
  const given = bearerIn(request);
  if (given !== undefined) return token !== undefined && sameSecret(given, token);
  const passedOn = ["x-forwarded-for", "forwarded", "via"].some((name) => request.get(name));
  return !passedOn && /^(::ffff:)?127\.|^::1$/.test(request.socket.remoteAddress ?? "");
}

/** The three routes. */
export function watchRoutes(parts: WatchParts): Router {
  const router = Router();
  const { figures, token } = parts;
  const whyNot = keeping(() => notReady(parts));
  router.use(["/healthz", "/readyz", "/metrics"], (_request, response, next) => {
    response.set("Cache-Control", "no-store").type("text");
    next();
  });
  router.get("/healthz", (_request, response) => void response.send("It answers.\n"));
  router.get("/readyz", async (_request, response) => {
    const why = await whyNot();
    response.status(why === undefined ? 200 : 503).send(`${why ?? "It can work."}\n`);
  });
  router.get("/metrics", async (request, response, next) => {
    if (!mayRead(request, token)) {
      if (token === undefined) return next();
      return void response
        .status(401)
        .set("WWW-Authenticate", "Bearer")
        .send("The token is needed.\n");
    }
    // Without the store the rest is still told.
    const standing: Standing | undefined = await inTime(standingOf(parts.db, parts.now())).catch(
      () => undefined,
    );
    response.type(figures.type).send(await figures.text(standing, parts.now()));
  });
  return router;
}
