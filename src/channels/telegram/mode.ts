/** How updates of Telegram reach us: posted to our webhook, or asked for. */
import { setTimeout as pause } from "node:timers/promises";
import type { Instant } from "../../calendar.js";
import type { Log } from "../../log.js";
import { poll } from "./polling.js";
import { keepCalledBack } from "./webhook.js";

type ModeParts = {
  bot: { botId: string; token: string; apiRoot: string; secret?: string };
  /** Without a slash at the end. */
  publicUrl: string;
  /** Stores what an update says (receive.ts). */
  take(update: unknown): Promise<unknown>;
  log: Log;
  clock: { now(): Instant };
  /** What stands in the way of updates; none: nothing. */
  tell?(doubts: readonly string[]): void;
};

/** Begins, by webhook where there is a secret for it, else by asking. Returns how to end it, within moments. */
export function startUpdates(parts: ModeParts): () => Promise<void> {
  const { bot, publicUrl, log } = parts;
  const leaving = new AbortController();
  const shared = {
    ...{ bot, log, stopped: leaving.signal },
    tell: (doubts: readonly string[]) => parts.tell?.(doubts),
    pause: (ms: number) => pause(ms, undefined, { signal: leaving.signal }).catch(() => {}),
  };
  async function begin(): Promise<unknown> {
    if (bot.secret === undefined) return poll({ ...shared, take: parts.take });
    if (!publicUrl.startsWith("https://")) {
      const why =
        "PUBLIC_URL is not https, and Telegram posts nowhere else; TELEGRAM_MODE=polling needs no public address";
      log.warn("webhook not set", { channel: "telegram", why });
      return shared.tell([why]);
    }
    const [secret = "", old] = bot.secret.split(" ");
    if (old !== undefined)
      log.warn("the old TELEGRAM_SECRET is still good for an hour: then take it out", {
        channel: "telegram",
      });
    const url = `${publicUrl}/telegram/${bot.botId}`;
    const now = () => parts.clock.now();
    return keepCalledBack({ ...shared, url, secret, now });
  }
  const done = begin();
  return async () => {
    leaving.abort();
    await done;
  };
}
