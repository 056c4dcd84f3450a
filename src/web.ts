/** The HTTP side of the house: headers, the hirer's page, the desk, pictures, health. */
import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import compression from "compression";
import express, { type Express, type Router } from "express";
import helmet from "helmet";
import { Streams } from "./channels/stream.js";
import { openPhotos } from "./channels/webchat/photos.js";
import { webchatRoutes } from "./channels/webchat/receive.js";
import { deskRoutes } from "./desk/routes.js";
import type { House } from "./house.js";
import { projectFolder } from "./knowledge/read.js";
import { eventsOfPerson } from "./store/events.js";
import { findLink, makeLink } from "./store/tokens.js";

export type WebParts = {
  house: House;
  publicUrl: string;
  deskPasswords: Readonly<Record<string, string>>;
  /** Folder of the photos that come in. */
  photoFolder: string;
  /** Routes of other channels, mounted first: they read their bodies themselves. */
  others?: readonly Router[];
};

/** The app, not yet listening, and its open streams. */
export function webApp(parts: WebParts): { app: Express; streams: Streams } {
  const { house } = parts;
  const { book, db, log } = house;
  const app = express();
  const streams = new Streams();
  const photos = openPhotos(parts.photoFolder);
  const secure = parts.publicUrl.startsWith("https:");
  const now = () => house.clock.now();
  const root = projectFolder();
  // Compiled beside this file; style sheets stay in the source folder.
  const scripts = join(dirname(fileURLToPath(import.meta.url)), "pages");

  app.disable("x-powered-by");
  // One proxy in front, as is usual; the sign-in limit then counts the right address.
  app.set("trust proxy", "loopback");
  app.use(
    helmet({
      contentSecurityPolicy: {
        useDefaults: false,
        directives: {
          defaultSrc: ["'none'"], scriptSrc: ["'self'"], styleSrc: ["'self'"], imgSrc: ["'self'", "blob:"], connectSrc: ["'self'"],
          formAction: ["'self'"], frameAncestors: ["'none'"], baseUri: ["'none'"], manifestSrc: ["'self'"],
        },
      },
      referrerPolicy: { policy: "no-referrer" },
      strictTransportSecurity: secure ? { maxAge: 15_552_000 } : false,
    }),
  );
  for (const router of parts.others ?? []) app.use(router);
  app.use(compression({ filter: (req, res) => !req.path.endsWith("/stream") && compression.filter(req, res) }));
  app.get("/healthz", (_req, res) => {
    res.json({ ok: true });
  });
  app.use("/pages", express.static(scripts, { extensions: ["js"], index: false, maxAge: "5m" }));
  app.get(/^\/pages\/(chat|desk)\.css$/, (req, res) => {
    res.set("Cache-Control", "public, max-age=300").sendFile(join(root, "src", req.path));
  });
  app.get("/pictures/:name", (req, res) => {
    const name = /^([a-z0-9-]+)\.svg$/.exec(String(req.params["name"]))?.[1];
    const file = name && book.pictures.has(name) ? join(root, "knowledge", "pictures", `${name}.svg`) : undefined;
    if (!file || !existsSync(file)) return res.status(404).type("text").send("no such picture");
    // A drawing opened by itself must not run anything.
    res.set({ "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'", "Cache-Control": "public, max-age=3600" });
    return res.type("image/svg+xml").sendFile(file);
  });
  app.use(
    webchatRoutes({
      book, log, secure, now, photos, streams,
      file: house.file,
      findLink: (token, kind) => findLink(db, token, kind),
      makeCookie: (hire, person) => makeLink(db, { hire, person, kind: "cookie" }, now()),
      laneState: house.laneState,
      eventsOfPerson: (lane, person, since) => eventsOfPerson(db, lane, person, since),
      onEvents: house.onEvents,
    }),
  );
  app.use(
    deskRoutes({
      book, db, log, secure, now, photos, streams,
      publicUrl: parts.publicUrl,
      passwords: parts.deskPasswords,
      file: house.file,
      makeHire: house.makeHire,
      laneState: house.laneState,
      onEvents: house.onEvents,
    }),
  );
  app.get("/", (_req, res) => res.redirect(303, "/chat"));
  app.use((_req, res) => {
    res.status(404).type("text").send(`There is no such page. Ring us: ${book.firm.phone}`);
  });
  return { app, streams };
}
