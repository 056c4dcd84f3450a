/** The whole service: house, doors and pages put together behind HTTP. The process, the demo and tests open the same one. */
import type { Server } from "node:http";
import type { AddressInfo } from "node:net";
import { dirname, join, resolve } from "node:path";
import compression from "compression";
import express, { type ErrorRequestHandler, type Express } from "express";
import helmet from "helmet";
import { apiRoutes } from "./api/routes.js";
import { instantOf } from "./calendar.js";
import { calendarRoutes } from "./channels/calendar/serve.js";
import { ownPagesOnly } from "./channels/own-pages.js";
import { Streams } from "./channels/stream.js";
import { startUpdates } from "./channels/telegram/mode.js";
import { openPictures } from "./channels/telegram/pictures.js";
import { type ReceiveParts, take, telegramRoutes } from "./channels/telegram/receive.js";
import { telegramDoor } from "./channels/telegram/send.js";
import { makeCard } from "./channels/webchat/guide/make-card.js";
import { openPhotos, type Photos, pictureKind } from "./channels/webchat/photos.js";
import { webchatRoutes } from "./channels/webchat/receive.js";
import { deskRoutes } from "./desk/routes.js";
import { openSealed, type SealedPhotos } from "./desk/sealed/sealed.js";
import { hashPassword } from "./desk/signin.js";
import { Fault } from "./faults.js";
import { entriesOf } from "./hires/care/calendar.js";
import { isOver } from "./hires/hire.js";
import { type House, type HouseParts, openHouse } from "./house.js";
import type { Book } from "./knowledge/book.js";
import { projectFolder } from "./knowledge/read.js";
import { faultFields, type Log } from "./log.js";
import { openSlices } from "./matcher-cache.js";
import type { Matcher } from "./matching/matcher.js";
import { ownStyle, pageFiles } from "./page-files.js";
import type { HireId } from "./post.js";
import { providerDoors, providerRoutes, telegramParts } from "./providers.js";
import { trustProxies } from "./proxies.js";
import { nobodySignsIn, ownUrl, type Settings } from "./settings.js";
import { revisePublished } from "./store/care/calendars.js";
import { eventsOfPerson, fileOf } from "./store/events.js";
import { accountsOf, contactsWithAccounts, seedAccounts } from "./store/staff/accounts.js";
import { makeLink, newCalendarLink, newCardLink, revokeLinks } from "./store/tokens.js";
import { readDanger } from "./triage/danger.js";
import { openTrial } from "./trial.js";
import { warnAtStart } from "./warn-at-start.js";
import { type Figures, openFigures } from "./watch/figures.js";
import { watchRoutes } from "./watch/routes.js";
import { statusOf } from "./web-requests.js";
import type { Trial } from "./wordings/changes.js";

export type Service = {
  house: House;
  /** With all its routes: tests ask it for their list. */
  app: Express;
  /** Where it listens, without a slash at the end. */
  url: string;
  /** Stops taking, ends streams, finishes what is under way; 5 s at most. */
  close(): Promise<void>;
};
/** What a caller may put in place of the real thing: the demo a quick clock, tests their own step. */
type ServiceParts = Partial<Pick<HouseParts, "clock" | "step" | "random">> & {
  book: Book;
  matcher: Matcher;
  log: Log;
  /** In place of the thread that tries new wordings. */
  trial?: Trial;
};

const systemClock = { now: () => instantOf(Date.now()) };
/** Streams and open requests get this long to end by themselves. */
const closeMs = 4_500;

/** Headers of every page: our own files only, no inline script, no inline style but the one of the hirer's pages, framed by nobody, no referrer to others. */
function headers(publicUrl: string): express.RequestHandler {
  const self = ["'self'"];
  return helmet({
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: self,
        styleSrc: [...self, ownStyle().source],
        imgSrc: ["'self'", "blob:", "data:"],
        connectSrc: self,
        manifestSrc: self,
        workerSrc: self,
        formAction: self,
        baseUri: ["'none'"],
        frameAncestors: ["'none'"],
      },
    },
    // Not "no-referrer": then forms would not say in Origin where they come from.
    referrerPolicy: { policy: "same-origin" },
    strictTransportSecurity: publicUrl.startsWith("https://"),
    crossOriginEmbedderPolicy: false,
  });
}

/** The last resort: a status and a plain word; never a stack, which may name a token. */
const lastResort =
  (log: Log): ErrorRequestHandler =>
  (error: unknown, _request, response, _next) => {
    const status = statusOf(error) ?? 500;
    if (status === 500) log.error("request failed", faultFields(error));
    if (response.headersSent) response.destroy();
    else
      response
        .status(status)
        .type("text")
        .send(status === 500 ? "Something went wrong here." : "That could not be read.");
  };

type WebParts = {
  house: House;
  settings: Settings;
  /** Where Telegram posts to us. */
  telegram: ReceiveParts | undefined;
  streams: Streams;
  photos: Photos;
  sealed: SealedPhotos;
  figures: Figures;
  trial: Trial;
  telegramDoubts(): readonly string[];
};

function webApp({
  house,
  settings,
  telegram,
  streams,
  photos,
  sealed,
  figures,
  trial,
  telegramDoubts,
}: WebParts): Express {
  const { book, db, clock, log } = house;
  const app = express();
  app.disable("x-powered-by");
  trustProxies(app, settings.trustedProxies ?? [], log);
  if (telegram) app.use(telegramRoutes(telegram));
  app.use(providerRoutes(house, settings, photos));
  app.use(headers(settings.publicUrl));
  app.use(ownPagesOnly(settings.publicUrl));
  app.use(
    watchRoutes({
      db,
      figures,
      now: () => clock.now(),
      roundsIdleMs: house.roundsIdleMs,
      token: settings.metricsToken,
    }),
  );
  app.use(
    compression({
      filter: (request, response) =>
        !request.path.endsWith("/stream") && compression.filter(request, response),
    }),
  );
  app.get("/", (_request, response) => response.redirect(302, "/chat"));
  app.use(pageFiles());
  const { publicUrl } = settings;
  const shared = {
    book,
    log,
    streams,
    photos,
    sealed,
    now: () => clock.now(),
    secure: settings.publicUrl.startsWith("https://"),
    file: house.file,
    laneState: house.laneState,
    firmNow: house.firmNow,
    onEvents: house.onEvents,
  };
  const makeCardLink = (hire: HireId, person: string) => newCardLink(db, hire, person, clock.now());
  app.use(
    deskRoutes({
      ...shared,
      visorCard: (hire, person) =>
        makeCard({ ...shared, publicUrl, makeCardLink }, hire, person, `/desk/hires/${hire.id}`),
      matcherNow: house.matcherNow,
      ...{ trial, telegramDoubts },
      db,
      publicUrl,
      makeHire: house.makeHire,
      makeNotice: house.makeNotice,
      endNotice: house.endNotice,
      pushHires: house.pushHires,
    }),
  );
  const { pushHires, firmNow } = house;
  app.use(apiRoutes({ book, db, log, publicUrl, now: () => clock.now(), pushHires, firmNow }));
  app.use(
    calendarRoutes({
      ...shared,
      hireOf: async (token) => (await house.findLink(token, "calendar"))?.hire,
      entriesOf: (hire) => entriesOf(hire, book),
      revisePublished: (hire, revise) => revisePublished(db, hire, revise),
    }),
  );
  const slices = openSlices(house.matcher);
  app.use(
    webchatRoutes({
      ...shared,
      findLink: (token) => house.findLink(token, "chat", "card"),
      findCookie: (token) => house.findLink(token, "cookie", "card-cookie"),
      isOver: (hire) => isOver(hire, clock.now(), book.keeping),
      mayBeDanger: (text) => readDanger(text, book).verdict !== "none",
      makeCookie: (link) => makeLink(db, link, clock.now()),
      eventsOfPerson: (lane, person, since) => eventsOfPerson(db, lane, person, since),
      fileOf: (lane, person, id) => fileOf(db, lane, id, person),
      publicUrl,
      wordsOf: (vanType) => slices.get(vanType),
      makeCardLink,
      makeCalendarLink: (hire, person) => newCalendarLink(db, hire, person, clock.now()),
      stopCalendarLinks: (hire, person) =>
        revokeLinks(db, { hire, person, kinds: ["calendar"] }, clock.now()),
    }),
  );
  app.use(
    (_request, response) => void response.status(404).type("text").send("There is nothing here."),
  );
  app.use(lastResort(log));
  return app;
}

/** Listens. @throws SETTING_WRONG where the port is taken or not allowed */
function listen(app: Express, { port, host }: Settings): Promise<Server> {
  return new Promise((done, fail) => {
    const server = app.listen(port, host, (error?: Error) => {
      if (!error) return done(server);
      const code = "code" in error ? String(error.code) : "unknown";
      const what =
        code === "EADDRINUSE"
          ? "something else listens there"
          : `it cannot be listened on (${code})`;
      fail(
        new Fault(
          "SETTING_WRONG",
          `PORT is ${port} on HOST ${host}: ${what}; for example: PORT=${port === 3001 ? 3002 : 3001}`,
        ),
      );
    });
  });
}

/** Managers' accounts of the settings, for contacts that never had one. @throws SETTING_WRONG where nobody could sign in */
async function firstAccounts(
  { book, db, clock, log }: House,
  passwords: Settings["deskPasswords"],
): Promise<void> {
  const hashes: Record<string, string> = {};
  const had = await contactsWithAccounts(db);
  for (const [contact, password] of Object.entries(passwords))
    if (!had.has(contact)) hashes[contact] = await hashPassword(password);
  const made = await seedAccounts(db, hashes, clock.now());
  if (made.length > 0) log.info("accounts made from the settings", { count: made.length });
  if ((await accountsOf(db)).length > 0) return;
  const [first = "NAME"] = Object.entries(book.firm.contacts).flatMap(([id, c]) =>
    c.desk ? id : [],
  );
  throw nobodySignsIn(first);
}

/** Opens the whole service. @throws SETTING_WRONG, STORE_BUSY, STORE_WRONG */
export async function openService(settings: Settings, parts: ServiceParts): Promise<Service> {
  const { log } = parts;
  const bot = settings.telegram;
  const pictures = openPictures(join(projectFolder(), "knowledge", "pictures"), log);
  const photoFolder = resolve(
    settings.photoFolder ?? join(dirname(settings.databaseFile), "photos"),
  );
  const own = openPhotos(photoFolder);
  const sealed = openSealed(join(photoFolder, "records"), pictureKind);
  const door = bot && telegramDoor({ ...bot, pictures, loadPhoto: own.load, log });
  // A photo that came by Telegram is kept there.
  const photos: Photos = { ...own, load: async (id) => (await own.load(id)) ?? door?.load(id) };
  const clock = parts.clock ?? systemClock;
  const firm = async () => (await house.firmNow()).firm;
  const figures = openFigures();
  const house: House = await openHouse({
    ...parts,
    watcher: figures.watcher,
    clock,
    dbFile: settings.databaseUrl ?? settings.databaseFile,
    doors: [...(door ? [door] : []), ...providerDoors(settings, { ...parts, clock }, firm)],
    telegramStaff: bot?.staff ?? {},
    shifts: true,
    dropFile: ({ of, id }) => (of === "chat" ? own.drop(id) : sealed.drop(id)),
  });
  const streams = new Streams();
  // Pages connect again by themselves and ask for what they missed.
  house.onGap(() => streams.end());
  const trial = parts.trial ?? openTrial();
  const updates = bot && door && telegramParts(house, bot, door);
  const telegram = bot?.secret === undefined ? undefined : updates;
  let doubts: readonly string[] = [];
  const tell = (found: readonly string[]): void => {
    doubts = found;
    figures.telegramDoubts(found.length);
  };
  let server: Server;
  let app: Express;
  try {
    await firstAccounts(house, settings.deskPasswords);
    const telegramDoubts = () => doubts;
    app = webApp({
      ...{ house, settings, telegram, streams, photos, sealed, figures, trial },
      telegramDoubts,
    });
    server = await listen(app, settings);
  } catch (error) {
    await house.close();
    throw error;
  }
  house.start();
  const { publicUrl } = settings;
  const endUpdates =
    bot && updates
      ? startUpdates({ bot, publicUrl, take: (one) => take(updates, one), log, clock, tell })
      : async () => {};
  const { port } = server.address() as AddressInfo;
  log.info("opened", { port });
  await warnAtStart(house, settings.hook !== undefined).catch((error: unknown) =>
    log.warn("the start was not looked over", faultFields(error)),
  );
  return {
    house,
    app,
    url: ownUrl(settings.host, port),
    async close() {
      const closed = new Promise<void>((done) => server.close(() => done()));
      streams.end();
      server.closeIdleConnections();
      const late = setTimeout(() => server.closeAllConnections(), closeMs);
      await Promise.all([closed, endUpdates(), house.stop()]);
      clearTimeout(late);
      await trial.close();
      await house.close();
      log.info("closed");
    },
  };
}
