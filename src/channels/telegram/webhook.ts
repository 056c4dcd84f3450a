/** Webhook mode: tells Telegram where to post updates, and looks whether it can. */
import type { Log } from "../../log.js";
import { openApi, whyOf } from "./answers.js";

export type WebhookParts = {
  bot: { token: string; apiRoot: string };
  /** https; the route of receive.ts. */
  url: string;
  /** A secret. */
  secret: string;
  log: Log;
  /** Ends between two tries when aborted. */
  stopped?: AbortSignal;
  now(): number;
  /** Between two tries; resolves early when stopped. */
  pause(ms: number): Promise<unknown>;
};

/** What a hirer's or staff's chat can send us (receive.ts). */
export const updateKinds = ["message", "edited_message", "callback_query"] as const;
const patienceSeconds = 10;
const longestPauseMs = 60_000;
/** So many updates that wait mean that Telegram does not get through. */
const manyPending = 100;
/** Older errors were before this start. */
const lateErrorMs = 15 * 60_000;

/** What stands in the way of updates, by Telegram's own word. */
export type WebhookState = { url: string; pending: number; errorAt?: number; error?: string };

/** Warnings in plain words; empty: all is well. Pure. */
export function doubtsOf(state: WebhookState, url: string, now: number): string[] {
  const late = state.errorAt !== undefined && now - state.errorAt < lateErrorMs;
  return [
    ...(state.url === url
      ? []
      : ["another address is set: some other program uses this bot's token"]),
    ...(state.pending > manyPending ? [`${state.pending} updates wait to be posted`] : []),
    // Telegram's words about our own address, such as "Connection refused" or "SSL error".
    ...(late
      ? [
          `Telegram could not post: ${(state.error ?? "").replace(/[^\x20-\x7e]/g, " ").slice(0, 160)}`,
        ]
      : []),
  ];
}

/**
 * Sets the webhook, again and again until Telegram takes it, then reads back what holds and warns. False where it
 * was stopped before. Never throws.
 */
export async function callBack(parts: WebhookParts): Promise<boolean> {
  const { log, url, secret, now } = parts;
  const api = openApi(parts.bot, patienceSeconds);
  for (let tries = 1; !parts.stopped?.aborted; tries++) {
    try {
      await api.setWebhook(url, { secret_token: secret, allowed_updates: [...updateKinds] });
      log.info("webhook set", { channel: "telegram" });
      const info = await api.getWebhookInfo();
      const state: WebhookState = {
        url: info.url ?? "",
        pending: info.pending_update_count,
        ...(info.last_error_date === undefined ? {} : { errorAt: info.last_error_date * 1000 }),
        ...(info.last_error_message === undefined ? {} : { error: info.last_error_message }),
      };
      for (const why of doubtsOf(state, url, now()))
        log.warn("webhook in doubt", { channel: "telegram", why });
      return true;
    } catch (error) {
      log.error("webhook not set", { channel: "telegram", why: whyOf(error) });
      await parts.pause(Math.min(longestPauseMs, 1_000 * 2 ** tries));
    }
  }
  return false;
}
