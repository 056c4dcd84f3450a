/** What Telegram posts to the webhook, read by zod and put into our words. Pure. */
import { z } from "zod";
import { type Instant, instantOf } from "../../calendar.js";
import { type ArrivalBody, type FileRef, mostLetters, type TelegramFile } from "../../post.js";
import { linkIn } from "../link.js";

const text = z.string();
/** Unix seconds, bounded so that milliseconds stay whole. */
const seconds = z.int().min(0).max(100_000_000_000);
const File = z.object({ file_id: text, file_size: z.int().optional(), mime_type: text.optional() });
const Place = z.object({
  latitude: z.number().min(-90).max(90),
  longitude: z.number().min(-180).max(180),
  /** Metres (Bot API, Location: 0-1500). */
  horizontal_accuracy: z.number().min(0).optional(),
  /** Seconds for which the phone sends its place again as it moves. */
  live_period: z.number().optional(),
});
const Chat = z.object({ id: z.int(), type: text });
const User = z.object({ id: z.int(), first_name: text.optional(), is_bot: z.boolean().optional() });

const Message = z.object({
  message_id: z.int(),
  date: seconds,
  edit_date: seconds.optional(),
  chat: Chat,
  from: User.optional(),
  text: text.optional(),
  caption: text.optional(),
  photo: z.array(File).min(1).optional(),
  location: Place.optional(),
  venue: z.object({ location: Place, title: text.optional(), address: text.optional() }).optional(),
  voice: File.optional(),
  audio: File.optional(),
  video: File.optional(),
  video_note: File.optional(),
  animation: File.optional(),
  document: File.optional(),
  sticker: File.optional(),
  contact: z.object({}).optional(),
  reply_to_message: z.object({ message_id: z.int() }).optional(),
  poll: z.object({}).optional(),
  dice: z.object({}).optional(),
  story: z.object({}).optional(),
});
type Message = z.output<typeof Message>;

const Update = z.object({
  update_id: z.int().min(0),
  message: Message.optional(),
  edited_message: Message.optional(),
  callback_query: z
    .object({
      id: text,
      from: User,
      data: text.optional(),
      message: z.object({ message_id: z.int(), chat: Chat }).optional(),
    })
    .optional(),
});

/** Something that one update says. A token of "/start" is a secret: it is used up and never stored. */
export type Content =
  | { kind: "said"; text: string }
  | { kind: "start"; token?: string }
  | { kind: "photo"; file: FileRef; caption?: string }
  | Omit<Extract<ArrivalBody, { kind: "located" }>, "from">
  | { kind: "unreadable"; what: string; file?: FileRef };

export type Incoming =
  | {
      kind: "message";
      update: number;
      chat: string;
      name?: string;
      writtenAt: Instant;
      edited: boolean;
      /** The message that it replies to, as Telegram numbers it in this chat. */
      repliesTo?: string;
      contents: Content[];
    }
  | {
      kind: "tap";
      update: number;
      chat: string;
      name?: string;
      query: string;
      data: string;
      /** The message that it stands under, as Telegram numbers it in this chat. */
      under?: string;
    }
  /** `what` is "unreadable" where the update is not as the Bot API describes it. */
  | { kind: "unknown"; update: number; what: string };

/** What is longer is no hirer's. */
const short = (s: string): string => s.slice(0, mostLetters);

/** Kinds of pictures that phones and computers make of what is before them. */
const pictures = /^image\/(?:jpeg|png|webp|avif|hei[cf])$/;

/** Kinds of messages that we keep but cannot read, with the word by which people know them. */
const unreadable = [
  ["voice", "voice message"],
  ["audio", "sound file"],
  ["video", "video"],
  ["video_note", "video message"],
  ["animation", "animation"],
  ["document", "document"],
  ["sticker", "sticker"],
] as const;
const shapes = [
  ["contact", "contact card"],
  ["poll", "poll"],
  ["dice", "dice"],
  ["story", "story"],
] as const;

const fileOf = (file: z.output<typeof File>, kind: string, telegram: TelegramFile): FileRef => ({
  id: file.file_id,
  telegram,
  kind: file.mime_type ?? kind,
  ...(file.file_size === undefined ? {} : { bytes: file.file_size }),
});

/** Words of a caption come as said, beside what carries them: they may tell of a danger. */
const captioned = (message: Message): Content[] =>
  message.caption ? [{ kind: "said", text: short(message.caption) }] : [];

/** A shared place; `edited`: the next one of a place that is shared live. */
function placeOf({ location, venue }: Message, edited: boolean): Content | undefined {
  const place = location ?? venue?.location;
  if (!place) return undefined;
  const live = edited ? "moved" : place.live_period !== undefined ? "began" : undefined;
  const name = [venue?.title, venue?.address].filter(Boolean).join(", ");
  return {
    kind: "located",
    lat: place.latitude,
    lon: place.longitude,
    ...(place.horizontal_accuracy ? { accuracyM: place.horizontal_accuracy } : {}),
    ...(live ? { live } : {}),
    ...(name ? { name: short(name) } : {}),
  };
}

/** The photo of a message: also one that was sent as a file, as it is or from a computer. */
function photoOf({ photo, document }: Message): FileRef | undefined {
  // Sizes of one photo, the largest last (Bot API, Message.photo: "available sizes of the photo").
  const largest = photo?.reduce((a, b) => ((b.file_size ?? 0) >= (a.file_size ?? 0) ? b : a));
  if (largest) return fileOf(largest, "image/jpeg", "photo");
  return document && pictures.test(document.mime_type ?? "")
    ? fileOf(document, "document", "document")
    : undefined;
}

function contentsOf(message: Message, edited: boolean): Content[] {
  if (message.text !== undefined) {
    const start = /^\/start(?:@\w+)?(?:\s+(\S+))?\s*$/.exec(message.text);
    if (start) {
      const token = start[1] && (linkIn(start[1]) ?? start[1]);
      return [{ kind: "start", ...(token === undefined ? {} : { token }) }];
    }
    return [{ kind: "said", text: short(message.text) }];
  }
  const photo = photoOf(message);
  if (photo)
    return [
      {
        kind: "photo",
        file: photo,
        ...(message.caption ? { caption: short(message.caption) } : {}),
      },
    ];
  const place = placeOf(message, edited);
  if (place) return [place];
  for (const [field, what] of unreadable) {
    const file = message[field];
    if (file)
      return [...captioned(message), { kind: "unreadable", what, file: fileOf(file, what, field) }];
  }
  for (const [field, what] of shapes) if (message[field]) return [{ kind: "unreadable", what }];
  return captioned(message);
}

const named = (user: z.output<typeof User> | undefined) =>
  user?.first_name ? { name: user.first_name } : {};

/** Reads one update. `undefined`: this is no update of the Bot API. Only private chats are served. */
export function readUpdate(body: unknown): Incoming | undefined {
  const parsed = Update.safeParse(body);
  if (!parsed.success) {
    const numbered = Update.pick({ update_id: true }).safeParse(body);
    return numbered.success
      ? { kind: "unknown", update: numbered.data.update_id, what: "unreadable" }
      : undefined;
  }
  const {
    update_id: update,
    message: fresh,
    edited_message: edited,
    callback_query: query,
  } = parsed.data;
  if (query) {
    const chat = query.message?.chat;
    if (query.data === undefined || (chat && chat.type !== "private"))
      return { kind: "unknown", update, what: "callback_query" };
    return {
      kind: "tap",
      update,
      chat: String(chat?.id ?? query.from.id),
      ...named(query.from),
      query: query.id,
      data: query.data,
      ...(query.message ? { under: String(query.message.message_id) } : {}),
    };
  }
  const message = fresh ?? edited;
  if (!message) return { kind: "unknown", update, what: "update" };
  if (message.chat.type !== "private") return { kind: "unknown", update, what: "chat of several" };
  const contents = contentsOf(message, edited !== undefined && !fresh);
  if (contents.length === 0) return { kind: "unknown", update, what: "message" };
  const writtenAt = instantOf((message.edit_date ?? message.date) * 1000);
  return {
    kind: "message",
    update,
    chat: String(message.chat.id),
    ...named(message.from),
    writtenAt,
    edited: edited !== undefined && !fresh,
    ...(message.reply_to_message ? { repliesTo: String(message.reply_to_message.message_id) } : {}),
    contents,
  };
}
