/** The message gateway in: text messages of hirers, stored before they are acknowledged. */
import { Router } from "express";
import { z } from "zod";
import { type Instant, instantOf, minuteMs } from "../../calendar.js";
import { Fault } from "../../faults.js";
import { chatLane } from "../../lanes.js";
import type { Log } from "../../log.js";
import { e164, waysToWrite } from "../../phone.js";
import {
  type Address,
  type Arrival,
  type ArrivalBody,
  type FileRef,
  type LaneId,
  type Message,
  mostLetters,
  type Sender,
} from "../../post.js";
import type { File } from "../door.js";
import { Failure, type ReportFailure, whyFailed } from "../failures.js";
import type { Fetched } from "../fetch-file.js";
import { besideLink, linkIn } from "../link.js";
import { type Answer, type InParts, signedRoute } from "../post-in.js";
import { outsideIdOf } from "../post-out.js";
import { replyIn } from "./render.js";

export type TextParts = {
  clock: { now(): Instant };
  file: File;
  /** What was filed under a key; undefined where nothing was, or it is no longer kept. */
  filedAs(key: string): Promise<Arrival | undefined>;
  log: Log;
  /** Calling code of the firm's country: "44". */
  homeCode: string;
  /** Whose number it is, in any of the ways in which a booking may have it. */
  whose(
    address: Address,
    ways: readonly string[],
  ): Promise<{ lane: LaneId; person: string } | undefined>;
  /** Whose chat link a token is. */
  linkOf(token: string): Promise<{ lane: LaneId; person: string } | undefined>;
  /** What an address had before it at an instant, newest first. */
  readAt(lane: LaneId, address: Address, at: Instant): Promise<Message[]>;
  /** Keeps the picture of an arrival with this key; undefined where the bytes are none that people can open. */
  keepPicture(bytes: Buffer, key: string): Promise<FileRef | undefined>;
  /** Fetches a file of the provider's. */
  fetchMedia(url: string): Promise<Fetched>;
};
type ReceiveParts = TextParts & Omit<InParts, "channel"> & { failed: ReportFailure };

/** Words and a photo of 8 MB in base64. */
const mostBytes = 12 * 1024 * 1024;
const mostMedia = 4;

const Media = z.union([
  z.strictObject({ url: z.url({ protocol: /^https?$/ }).max(2_000) }),
  z.strictObject({ base64: z.base64().min(1) }),
]);
const Text = z.object({
  /** Of printable letters without spaces: what comes again with the same id, number and words is dropped. */
  id: z.string().regex(/^[\x21-\x7e]{1,200}$/, "1 to 200 printable letters without spaces"),
  from: z.string().max(40),
  text: z.string().default(""),
  writtenAt: z.iso.datetime({ offset: true }).optional(),
  media: z.array(Media).max(mostMedia).default([]),
});
type TextIn = z.output<typeof Text>;

const FailedText = z.object({
  id: z.string().regex(/^[\w-]{1,100}$/),
  to: z.string().max(40),
  why: Failure.default("other"),
});

const wrong = (error: z.ZodError, shape: string): Answer => {
  const [issue] = error.issues;
  const where = issue?.path.join(".") || "body";
  return { status: 400, error: `${where}: ${issue?.message ?? "unreadable"}. ${shape} is needed` };
};
const notE164 = (field: string): Answer => ({
  status: 400,
  error: `${field}: a telephone number in international form is needed, such as +447700900500`,
});

type Home = { lane: LaneId; from: Sender };

async function homeOf(parts: TextParts, number: string): Promise<Home> {
  const via: Address = { channel: "gateway", to: number };
  const owner = await parts.whose(via, waysToWrite(number, parts.homeCode));
  return owner
    ? { lane: owner.lane, from: { via, person: owner.person } }
    : { lane: chatLane(via), from: { via } };
}

/** What the words of a text are: a link to join by, a reply by number or label, or words. */
async function wordsOf(
  parts: TextParts,
  text: string,
  home: Home,
  at: Instant,
): Promise<Home & { body: ArrivalBody }> {
  const { lane, from } = home;
  const token = linkIn(text);
  const linked = token === undefined ? undefined : await parts.linkOf(token);
  if (linked) {
    const joined = { via: from.via, person: linked.person };
    return { lane: linked.lane, from: joined, body: { kind: "joined", from: joined } };
  }
  const reply = replyIn(text, await parts.readAt(lane, from.via, at));
  const said = { kind: "said", from, text: text.slice(0, mostLetters) } as const;
  if (reply === undefined) return { ...home, body: said };
  const body: ArrivalBody =
    "tap" in reply
      ? { kind: "tapped", from, ...reply }
      : { ...said, text: reply.words, typed: said.text };
  return { ...home, body };
}

/** Whether this is what became of such a text of that number: by what was typed, since a number may mean another button by now. */
function cameOf({ body }: Arrival, number: string, text: string): boolean {
  if (!("from" in body) || body.from.via.to !== number) return false;
  if (body.kind === "joined") return linkIn(text) !== undefined;
  const typed =
    body.kind === "said" ? (body.typed ?? body.text) : body.kind === "tapped" ? body.typed : "";
  return typed?.trim() === text.slice(0, mostLetters).trim();
}

/** The first photo that was filed under a key of a text. */
const photoOf = async ({ filedAs }: TextParts, key: string): Promise<Arrival | undefined> =>
  (await filedAs(`${key} 1`)) ?? (await filedAs(`${key} 1 not had`));

/** Whether a key is free for a text or has it already; undefined where another text has it. */
type Found = "new" | "known" | undefined;

/** Looks for photos without words: another's are those beside words, and of another number. */
async function findPhotos(parts: TextParts, key: string, number: string): Promise<Found> {
  if (await parts.filedAs(key)) return undefined;
  const photo = (await photoOf(parts, key))?.body;
  if (photo === undefined) return "new";
  return "from" in photo && photo.from.via.to === number ? "known" : undefined;
}

/** Files words. They come before their photos: what stands there without words is another's. */
async function fileWords(
  parts: TextParts,
  key: string,
  number: string,
  { text, media }: TextIn,
  file: (key: string) => Promise<"new" | "known">,
): Promise<Found> {
  if (media.length > 0 && !(await parts.filedAs(key)) && (await photoOf(parts, key)))
    return undefined;
  if ((await file(key)) === "new") return "new";
  const before = await parts.filedAs(key);
  return before && cameOf(before, number, text) ? "known" : undefined;
}

/**
 * The key of a text, the first that is free or has it already. An id that another text had, as of a modem that
 * counts from 1 again, gets a key of its own: nothing is dropped for it.
 */
async function keyOfText(
  { log }: TextParts,
  id: string,
  look: (key: string) => Promise<Found>,
): Promise<string> {
  for (let n = 1; ; n++) {
    const key = n === 1 ? `gw:${id}` : `gw:${id} again ${n}`;
    const found = await look(key);
    if (found === "new" && n > 1)
      log.warn("a text's id came again with other words", { channel: "gateway", arrival: key });
    if (found) return key;
  }
}

/** A photo, or that one came which nobody can open; `isLate`: it may be had when it is sent again. */
async function mediumOf(
  parts: TextParts,
  medium: TextIn["media"][number],
  from: Sender,
  key: string,
): Promise<{ body: ArrivalBody; isLate: boolean }> {
  const fetched =
    "url" in medium ? await parts.fetchMedia(medium.url) : Buffer.from(medium.base64, "base64");
  const file = Buffer.isBuffer(fetched) ? await parts.keepPicture(fetched, key) : undefined;
  return {
    body: file ? { kind: "photo", from, file } : { kind: "unreadable", from, what: "file" },
    isLate: fetched === "not-now",
  };
}

/** A sender's clock may differ by this, ms, from ours: whole seconds, and the way here. */
const clocksMs = 5_000;
/** Nothing is so long on its way, ms: such a time is no time of writing. */
const oldestMs = 7 * 24 * 60 * minuteMs;

/**
 * When a text was written, by our clock: a sender's clock that is off, as `sentAt` tells, is put right; one that
 * runs ahead is no time of writing. Undefined where none was told, or none that can be.
 */
function writtenIn({ writtenAt }: TextIn, sentAt: Instant, now: Instant): Instant | undefined {
  if (writtenAt === undefined) return undefined;
  const behind = now - sentAt;
  const written = Date.parse(writtenAt) + (Math.abs(behind) > clocksMs ? behind : 0);
  return written < now - oldestMs ? undefined : instantOf(Math.min(now, written));
}

/**
 * Files a text message: its words first, since a danger must not wait for a photo; of a chat link with words both.
 * That a photo could not be had is told once, however often it is sent again; it is filed under a key of its own if
 * it comes after all. `sentAt`: when it was posted to us, by the sender's clock.
 * @throws what the store throws · SEND_UNREACHABLE where a photo is to be sent again
 */
export async function fileText(
  parts: TextParts,
  number: string,
  text: TextIn,
  sentAt: Instant,
): Promise<void> {
  const now = parts.clock.now();
  const writtenAt = writtenIn(text, sentAt, now);
  const file = (lane: LaneId, key: string, body: ArrivalBody) =>
    parts.file({
      key,
      lane,
      receivedAt: now,
      ...(writtenAt === undefined ? {} : { writtenAt }),
      body,
    });
  let home = await homeOf(parts, number);
  let own: string;
  if (text.text.trim() !== "" || text.media.length === 0) {
    const { body, ...told } = await wordsOf(parts, text.text, home, writtenAt ?? now);
    home = told;
    const filed = (of: TextIn, words: ArrivalBody) =>
      keyOfText(parts, of.id, (key) =>
        fileWords(parts, key, number, of, (free) => file(told.lane, free, words)),
      );
    own = await filed(text, body);
    const rest = body.kind === "joined" ? besideLink(text.text).slice(0, mostLetters) : "";
    const beside = { ...text, id: `${text.id} words`, text: rest, media: [] };
    if (rest !== "") await filed(beside, { kind: "said", from: told.from, text: rest });
  } else own = await keyOfText(parts, text.id, (key) => findPhotos(parts, key, number));
  const keyOf = (i: number) => `${own} ${i + 1}`;
  const media = await Promise.all(
    text.media.map((medium, i) => mediumOf(parts, medium, home.from, keyOf(i))),
  );
  for (const [i, { body }] of media.entries())
    await file(home.lane, body.kind === "photo" ? keyOf(i) : `${keyOf(i)} not had`, body);
  if (media.some((medium) => medium.isLate))
    throw new Fault("SEND_UNREACHABLE", "a photo cannot be fetched just now");
}

async function take(parts: ReceiveParts, body: unknown, sentAt: Instant): Promise<Answer> {
  const read = Text.safeParse(body);
  if (!read.success) return wrong(read.error, '{"id","from","text","writtenAt"?,"media"?}');
  const number = e164(read.data.from, parts.homeCode);
  if (number === undefined) return notE164("from");
  await fileText(parts, number, read.data, sentAt);
  return { status: 200 };
}

async function takeFailure(parts: ReceiveParts, body: unknown): Promise<Answer> {
  const read = FailedText.safeParse(body);
  if (!read.success) return wrong(read.error, '{"id","to","why"?}');
  const { id, why } = read.data;
  const number = e164(read.data.to, parts.homeCode);
  if (number === undefined) return notE164("to");
  const found = await parts.failed(
    { channel: "gateway", to: number },
    (key) => outsideIdOf(key) === id,
    whyFailed(why),
  );
  return found
    ? { status: 200 }
    : { status: 404, error: "id: no message to this number has this id" };
}

/** `POST /gateway/messages` and `/gateway/failures`: 401 not signed, 400 unreadable, 404, 413, 503 not stored, else 200. */
export function gatewayRoutes(parts: ReceiveParts): Router {
  const router = Router();
  const signedParts = { ...parts, channel: "gateway" as const };
  router.post(
    "/gateway/messages",
    ...signedRoute(signedParts, mostBytes, (body, sentAt) => take(parts, body, sentAt)),
  );
  router.post(
    "/gateway/failures",
    ...signedRoute(signedParts, 16 * 1024, (body) => takeFailure(parts, body)),
  );
  return router;
}
