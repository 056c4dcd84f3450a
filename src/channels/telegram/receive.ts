/** What Telegram sends, and the webhook: secret → JSON → zod → arrivals stored → 200. Nothing is answered here. */
import express, {
  type ErrorRequestHandler,
  type Request,
  type RequestHandler,
  type Response,
  type Router,
} from "express";
import { type Instant, minuteMs } from "../../calendar.js";
import { chatLane } from "../../lanes.js";
import { faultFields, type Log } from "../../log.js";
import type { Address, Arrival, ArrivalBody, LaneId, Sender } from "../../post.js";
import { sameSecret, statusOf } from "../../web-requests.js";
import type { File } from "../door.js";
import { besideLink, linkIn } from "../link.js";
import { staffTap } from "../staff-taps.js";
import { isShortened } from "./taps.js";
import { type Content, type Incoming, readUpdate } from "./updates.js";

export type ReceiveParts = {
  /** The number before the colon of the bot's token; stands in the path. */
  botId: string;
  /** Telegram sends it as X-Telegram-Bot-Api-Secret-Token (Bot API, setWebhook). A second one, after a space: see graceMs. */
  secret: string;
  file: File;
  /** Whose chat it is, once it has joined a hire. */
  whose(address: Address): Promise<{ lane: LaneId; person: string } | undefined>;
  /** Whose chat link a token is. */
  linkOf(token: string): Promise<{ lane: LaneId; person: string } | undefined>;
  /** The tap behind shortened callback data. */
  tapOf(lane: LaneId, data: string): Promise<string | undefined>;
  /** Which matter of theirs staff write about, and to whom. */
  staffTarget(
    via: Address,
    contacts: readonly string[],
    repliesTo: string | undefined,
  ): Promise<{ lane: LaneId; by: string; callout?: number; person?: string } | undefined>;
  /** The contact for whom a message to a chat was. */
  contactTold(via: Address, message: string): Promise<string | undefined>;
  /** The hire of which a message to a chat was, and who has joined it from there. */
  sentIn(via: Address, message: string): Promise<{ lane: LaneId; person: string } | undefined>;
  /** Contact id → chat id, as it holds now. */
  staff(): Promise<Readonly<Record<string, string>>>;
  /** Takes the waiting mark off a tapped button; never throws. */
  answerTap(query: string): void;
  clock: { now(): Instant };
  log: Log;
};

/** An update of the Bot API is a few kilobytes; longer bodies are nobody's. */
const mostBytes = 256 * 1024;
/** While a secret is changed both are good, the second for so long after the start. */
const graceMs = 60 * minuteMs;

/** 401 unless the secret header is right. */
function secretChecked({ secret, clock, log }: ReceiveParts): RequestHandler {
  const [first, second] = secret.split(" ") as [string, string?];
  const until = clock.now() + graceMs;
  return (request, response, next) => {
    const given = request.get("x-telegram-bot-api-secret-token");
    if (sameSecret(given, first)) return next();
    if (second && clock.now() < until && sameSecret(given, second)) return next();
    log.warn("webhook refused", { channel: "telegram", status: 401 });
    response.status(401).end();
  };
}

type Home = { lane: LaneId; person?: string };

/** The lane that a chat's words belong to, and the person who speaks, where known. */
async function homeOf(parts: ReceiveParts, via: Address): Promise<Home> {
  return (await parts.whose(via)) ?? { lane: chatLane(via) };
}

function bodyOf(
  content: Exclude<Content, { kind: "start" }>,
  from: Sender,
  edited: boolean,
): ArrivalBody {
  return content.kind !== "located" && edited ? { ...content, from, edited } : { ...content, from };
}

/** Contacts whose chat this is; of several the one first for whom the message was that has the button. */
async function contactsOf(parts: ReceiveParts, via: Address, under?: string): Promise<string[]> {
  const staff = Object.entries(await parts.staff());
  const theirs = staff.filter(([, chat]) => chat === via.to).map(([id]) => id);
  if (theirs.length < 2 || under === undefined) return theirs;
  const told = await parts.contactTold(via, under);
  return told !== undefined && theirs.includes(told) ? [told, ...theirs] : theirs;
}

/**
 * Words of a member of staff, in their own chat, for a hirer. What replies to one of our messages is of its
 * matter; anything else of the only one that they have, unless somebody else's stands last there or the chat is a hirer's too. What is changed
 * afterwards goes to no hirer: it stays in their own chat, where they are told so.
 */
async function staffReply(
  parts: ReceiveParts,
  incoming: Extract<Incoming, { kind: "message" }>,
  via: Address,
  contacts: readonly string[],
): Promise<Arrival | undefined> {
  const [content] = incoming.contents;
  if (content?.kind !== "said" || contacts.length === 0) return undefined;
  if (incoming.repliesTo === undefined && (await parts.whose(via))) return undefined;
  const target = await parts.staffTarget(via, contacts, incoming.repliesTo);
  if (!target) return undefined;
  const { lane, by, ...whom } = target;
  const came = {
    key: `tg:${parts.botId}:${incoming.update}`,
    receivedAt: parts.clock.now(),
    writtenAt: incoming.writtenAt,
  };
  if (incoming.edited)
    return { ...came, lane: chatLane(via), body: bodyOf(content, { via }, true) };
  const act = { do: "reply", text: content.text, via, ...whom } as const;
  return { ...came, lane, body: { kind: "desk", by, act } };
}

/**
 * Words with a link in them are a join, and what stands beside it. A link that is nobody's stays words; so does
 * one that staff write of a hirer, without its token: they join by `/start` alone.
 */
async function linkRead(
  parts: ReceiveParts,
  content: Content,
  isStaff: boolean,
): Promise<Content[]> {
  const token = content.kind === "said" ? linkIn(content.text) : undefined;
  if (content.kind !== "said" || token === undefined || !(await parts.linkOf(token)))
    return [content];
  if (isStaff && !content.text.startsWith("/start"))
    return [{ ...content, text: besideLink(content.text) || "(a link)" }];
  const rest = besideLink(content.text.replace(/^\/start\S*/, ""));
  return [{ kind: "start", token }, ...(rest === "" ? [] : [{ ...content, text: rest }])];
}

async function messageArrivals(
  parts: ReceiveParts,
  incoming: Extract<Incoming, { kind: "message" }>,
): Promise<Arrival[]> {
  const via: Address = { channel: "telegram", to: incoming.chat };
  const contacts = await contactsOf(parts, via);
  const reply = await staffReply(parts, incoming, via, contacts);
  if (reply) return [reply];
  const arrivals: Arrival[] = [];
  const contents = await Promise.all(
    incoming.contents.map((c) => linkRead(parts, c, contacts.length > 0)),
  );
  let joined: Home | undefined;
  for (const [i, content] of contents.flat().entries()) {
    const linked =
      content.kind === "start" && content.token !== undefined
        ? await parts.linkOf(content.token)
        : undefined;
    if (content.kind === "start" && content.token !== undefined && !linked)
      parts.log.info("link unknown", { channel: "telegram" });
    joined = linked ?? joined;
    const home: Home = joined ?? (await homeOf(parts, via));
    const from: Sender = {
      via,
      ...(home.person === undefined ? {} : { person: home.person }),
      ...(incoming.name === undefined ? {} : { name: incoming.name }),
    };
    arrivals.push({
      key: `tg:${parts.botId}:${incoming.update}${i > 0 ? `:${i + 1}` : ""}`,
      lane: home.lane,
      receivedAt: parts.clock.now(),
      writtenAt: incoming.writtenAt,
      body:
        content.kind === "start"
          ? { kind: "joined", from }
          : bodyOf(content, from, incoming.edited),
    });
  }
  return arrivals;
}

async function tapArrival(
  parts: ReceiveParts,
  incoming: Extract<Incoming, { kind: "tap" }>,
): Promise<Arrival> {
  const key = `tg:${parts.botId}:${incoming.update}`;
  const receivedAt = parts.clock.now();
  const via: Address = { channel: "telegram", to: incoming.chat };
  const act = staffTap(incoming.data, await contactsOf(parts, via, incoming.under), receivedAt);
  if (act) return { key, receivedAt, ...act };
  // A chat may be of several hires: a button is of the one whose message it stands under.
  const sent = incoming.under === undefined ? undefined : await parts.sentIn(via, incoming.under);
  const home: Home = sent ?? (await homeOf(parts, via));
  const tap = isShortened(incoming.data)
    ? ((await parts.tapOf(home.lane, incoming.data)) ?? incoming.data)
    : incoming.data;
  const from: Sender = {
    via,
    ...(home.person === undefined ? {} : { person: home.person }),
    ...(incoming.name === undefined ? {} : { name: incoming.name }),
  };
  return { key, lane: home.lane, receivedAt, body: { kind: "tapped", from, tap } };
}

/** Stores what an update says, however it came; gives the status to answer with. @throws what the store throws */
export async function take(parts: ReceiveParts, body: unknown): Promise<number> {
  const incoming = readUpdate(body);
  if (!incoming) {
    parts.log.warn("no update", { channel: "telegram", status: 400 });
    return 400;
  }
  if (incoming.kind === "unknown") {
    const kind = incoming.what;
    const say = kind === "unreadable" ? parts.log.warn : parts.log.info;
    say("update ignored", { channel: "telegram", kind });
    // Posted again it would be the same, and hold back what comes after it.
    return 200;
  }
  const arrivals =
    incoming.kind === "tap"
      ? [await tapArrival(parts, incoming)]
      : await messageArrivals(parts, incoming);
  for (const arrival of arrivals) {
    const filed = await parts.file(arrival);
    parts.log.info("filed", {
      channel: "telegram",
      arrival: arrival.key,
      lane: arrival.lane,
      kind: arrival.body.kind,
      outcome: filed,
    });
  }
  if (incoming.kind === "tap") parts.answerTap(incoming.query);
  return 200;
}

/** What the body parser refuses: too large, broken, cut off. Its own message may hold the body. */
const refused =
  (log: Log): ErrorRequestHandler =>
  (error: unknown, _request, response, _next) => {
    const status = statusOf(error) ?? 400;
    log.warn("webhook body refused", { channel: "telegram", status });
    if (!response.headersSent) response.status(status).end();
  };

/** The route `POST /telegram/<bot id>`: 401 wrong secret, 400 no update, 413 too large, 503 not stored, else 200. */
export function telegramRoutes(parts: ReceiveParts): Router {
  const router = express.Router();
  router.post(
    `/telegram/${parts.botId}`,
    secretChecked(parts),
    express.json({ limit: mostBytes, type: () => true, strict: true }),
    (request: Request, response: Response) => {
      take(parts, request.body).then(
        (status) => response.status(status).end(),
        (error: unknown) => {
          // Telegram posts it again later, in order, until it is stored.
          parts.log.error("not stored", {
            channel: "telegram",
            status: 503,
            ...faultFields(error),
          });
          response.status(503).set("Retry-After", "1").end();
        },
      );
    },
    refused(parts.log),
  );
  return router;
}
