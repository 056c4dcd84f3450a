/** Sending by Telegram: text, buttons and pictures as calls of the Bot API. */
import { Bot, InputFile } from "grammy";
import { faultFields, type Log } from "../../log.js";
import type { FileRef, LaneId, Message, Send, TelegramFile } from "../../post.js";
import { cut } from "../cut.js";
import type { Door, Outcome } from "../door.js";
import { fetchFile } from "../fetch-file.js";
import { outcomeOf, whyOf } from "./answers.js";
import type { Pictures } from "./pictures.js";
import { carried } from "./taps.js";
import { endIdle, openWire, wiredAgent } from "./wire.js";

/** Letters of one message (Bot API, sendMessage.text: 1-4096 characters). */
const lettersOfOne = 4096;
/** A try that has had no answer for so long is in doubt, or was never sent where no connection stood. */
const patienceSeconds = 10;

/**
 * Telegram takes about 30 messages a second of a bot (https://core.telegram.org/bots/faq, "My bot is hitting
 * limits"); the rest is for safety, which does not wait.
 */
const ordinaryPerSecond = 25;

type SendParts = {
  /** A secret: part of every address that is called, so no error of the library leaves this file. */
  token: string;
  /** "https://api.telegram.org", or a server of the same kind. */
  apiRoot: string;
  pictures: Pictures;
  /** A photo that a hirer sent by another channel, from our own store. */
  loadPhoto?(id: string): Promise<Buffer | undefined>;
  log: Log;
  /** For tests: a shorter patience. */
  timeoutSeconds?: number;
  /** More ordinary messages a second than the public service takes; for a server of one's own. */
  perSecond?: number;
};
export type TelegramDoor = Door & {
  /** It needs no lane. */
  send(send: Send, key: string, lane?: LaneId, went?: string): Promise<Outcome>;
  /** The bytes of a file that Telegram keeps; undefined where they cannot be had. Never throws. */
  load(fileId: string): Promise<Buffer | undefined>;
  /** Takes the waiting mark off a tapped button. Never throws; a mark that stays does no harm. */
  answerTap(query: string): void;
};

type Call = () => Promise<{ message_id: number }>;

/** A file of a hirer's, passed on: by Telegram's own id as the kind that it is, or from our store. */
function fileCall(bot: Bot, to: string, file: FileRef, bytes: Buffer | undefined): Call[] {
  const { api } = bot;
  if (file.telegram === undefined) {
    if (!bytes) return [];
    // Telegram shows these as photos; other pictures go as files (Bot API, sendPhoto).
    const shown = /^image\/(jpeg|png|webp)$/.test(file.kind);
    const input = new InputFile(bytes, `photo.${file.kind.split("/")[1] ?? "jpg"}`);
    return [() => (shown ? api.sendPhoto(to, input) : api.sendDocument(to, input))];
  }
  const by: Record<TelegramFile, Call> = {
    photo: () => api.sendPhoto(to, file.id),
    voice: () => api.sendVoice(to, file.id),
    audio: () => api.sendAudio(to, file.id),
    video: () => api.sendVideo(to, file.id),
    video_note: () => api.sendVideoNote(to, file.id),
    animation: () => api.sendAnimation(to, file.id),
    document: () => api.sendDocument(to, file.id),
    sticker: () => api.sendSticker(to, file.id),
  };
  return [by[file.telegram]];
}

/** A message as the calls that carry it, in order. Words come first where safety is at stake. */
function callsOf(bot: Bot, send: Send, pictures: Pictures): { text: Call[]; pictures: Call[] } {
  const { message, to } = send;
  const parts = cut(message.text, lettersOfOne);
  const text = parts.map((part, i): Call => {
    const last = i === parts.length - 1;
    const keyboard = last ? keyboardOf(message) : {};
    return () =>
      bot.api.sendMessage(to.to, part, {
        link_preview_options: { is_disabled: true },
        ...keyboard,
      });
  });
  const drawn = (message.pictures ?? []).flatMap((id): Call[] => {
    const png = pictures(id);
    return png ? [() => bot.api.sendPhoto(to.to, new InputFile(png, `${id}.png`))] : [];
  });
  return { text, pictures: drawn };
}

/**
 * One button a row: labels stay whole on a narrow screen. A message carries one kind of keyboard (Bot API,
 * sendMessage.reply_markup): where it has no buttons of its own, the phone's place is one tap away.
 */
function keyboardOf({ buttons, askPlace }: Message) {
  if (buttons?.length)
    return {
      reply_markup: {
        inline_keyboard: buttons.map((b) => [{ text: b.label, callback_data: carried(b.tap) }]),
      },
    };
  if (askPlace === undefined) return {};
  const keyboard = [[{ text: askPlace, request_location: true }]];
  return { reply_markup: { keyboard, one_time_keyboard: true, resize_keyboard: true } };
}

/** In place of the id of a picture that was not taken. */
const noMessage = "-";

function botOf(
  { token, apiRoot, timeoutSeconds }: SendParts,
  agent: ReturnType<typeof wiredAgent>,
): Bot {
  return new Bot(token, {
    // Given here so that nothing is called at start; only the id is used.
    botInfo: {
      id: Number(token.split(":")[0]),
      is_bot: true,
      first_name: "Passing Place",
      username: "bot",
      can_join_groups: false,
      can_read_all_group_messages: false,
      supports_inline_queries: false,
      supports_join_request_queries: false,
      can_connect_to_business: false,
      has_main_web_app: false,
      has_topics_enabled: false,
      allows_users_to_create_topics: false,
      can_manage_bots: false,
    },
    client: {
      apiRoot,
      baseFetchConfig: { agent },
      timeoutSeconds: timeoutSeconds ?? patienceSeconds,
      sensitiveLogs: false,
    },
  });
}

/** The door of one bot. */
export function telegramDoor(parts: SendParts): TelegramDoor {
  const { token, apiRoot, log } = parts;
  const agent = wiredAgent(apiRoot);
  const bot = botOf(parts, agent);
  async function send(one: Send, key: string, _lane?: LaneId, went?: string): Promise<Outcome> {
    const { text, pictures: drawn } = callsOf(bot, one, parts.pictures);
    const { file } = one.message;
    // A photo that the disk does not give out must not hold back the words.
    const unread = (error: unknown) => {
      log.warn("photo not read", { channel: "telegram", send: key, ...faultFields(error) });
      return undefined;
    };
    const own =
      file && file.telegram === undefined
        ? await parts.loadPhoto?.(file.id).catch(unread)
        : undefined;
    const pictures = [...drawn, ...(file ? fileCall(bot, one.to.to, file, own) : [])];
    const calls = one.safety || file ? [...text, ...pictures] : [...pictures, ...text];
    const isPicture = new Set(pictures);
    const ids = went?.split(" ") ?? [];
    for (const call of calls.slice(ids.length)) {
      const wire = openWire();
      try {
        ids.push(String((await wire.run(call)).message_id));
      } catch (error) {
        const outcome = outcomeOf(error, wire.stood());
        if (outcome.kind === "unsure") endIdle(agent);
        if (outcome.kind !== "refused")
          return ids.length === 0 ? outcome : { ...outcome, went: ids.join(" ") };
        // A drawing that Telegram does not take must not hold back the words.
        if (!isPicture.has(call)) return outcome;
        log.warn("picture refused", { channel: "telegram", send: key });
        ids.push(noMessage);
      }
    }
    return { kind: "sent", ...(ids.length === 0 ? {} : { outsideId: ids.join(" ") }) };
  }

  return {
    channel: "telegram",
    perSecond: parts.perSecond ?? ordinaryPerSecond,
    send,
    async load(fileId) {
      try {
        const { file_path: path } = await bot.api.getFile(fileId);
        // Files of the Bot API lie beside it (Bot API, getFile); 20 MB is the most that it gives out.
        const limits = { allowInternal: true, limitBytes: 20 * 1024 * 1024 };
        const file = path && (await fetchFile(`${apiRoot}/file/bot${token}/${path}`, limits));
        return Buffer.isBuffer(file) ? file : undefined;
      } catch (error) {
        log.warn("file not fetched", { channel: "telegram", why: whyOf(error) });
        return undefined;
      }
    },
    answerTap(query) {
      bot.api
        .answerCallbackQuery(query)
        .catch((error: unknown) =>
          log.info("tap not answered", { channel: "telegram", why: whyOf(error) }),
        );
    },
  };
}
