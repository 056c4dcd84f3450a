/** Webhook mode: tells Telegram where to post updates, and looks whether it can. */
import type { Log } from "../../log.js";
import { openApi, whyOf } from "./answers.js";

type WebhookParts = {
  bot: { token: string; apiRoot: string };
  /** https; the route of receive.ts. */
  url: string;
  /** A secret. */
  secret: string;
  log: Log;
  /** What stands in the way of updates; none: nothing. */
  tell(doubts: readonly string[]): void;
  /** Ends between two tries, and in the middle of one, when aborted. */
  stopped: AbortSignal;
  now(): number;
  /** Between two tries; resolves early when stopped. */
  pause(ms: number): Promise<unknown>;
};

/** What a hirer's or staff's chat can send us (receive.ts). */
export const updateKinds = ["message", "edited_message", "callback_query"] as const;
const patienceSeconds = 10;
const longestPauseMs = 60_000;
/** From so many failures in a row on it is told. */
export const enoughFailures = 3;
/** So many updates that wait mean that Telegram does not get through. */
const manyPending = 100;
/** Older errors were before this start. */
const lateErrorMs = 15 * 60_000;
/** Between two looks at what holds. */
const lookMs = 5 * 60_000;
/** So long it is told that another program had the updates: what it took is not here. */
const takenShownMs = 60 * 60_000;
const takenWords =
  "within the last hour another program had this bot's messages, and what hirers wrote meanwhile may be there only; ours are set again, but find what else uses the token";

/** What stands in the way of updates, by Telegram's own word. */
type WebhookState = { url: string; pending: number; errorAt?: number; error?: string };

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

/** Whether more updates wait than at the look before, when some waited already. */
const grows = (state: WebhookState, before: WebhookState): boolean =>
  before.pending > 0 && state.pending > before.pending;

/** Reads what holds, and warns of what is in doubt. @throws where Telegram does not answer */
async function look({ bot, url, log, now, stopped }: WebhookParts): Promise<WebhookState> {
  const info = await openApi(bot, patienceSeconds).getWebhookInfo(stopped as never);
  const state: WebhookState = {
    url: info.url ?? "",
    pending: info.pending_update_count,
    ...(info.last_error_date === undefined ? {} : { errorAt: info.last_error_date * 1000 }),
    ...(info.last_error_message === undefined ? {} : { error: info.last_error_message }),
  };
  for (const why of doubtsOf(state, url, now()))
    log.warn("webhook in doubt", { channel: "telegram", why });
  return state;
}

/**
 * Sets the webhook, again and again until Telegram takes it, then reads back what holds and warns. Undefined where
 * it was stopped before. Never throws.
 */
export async function callBack(parts: WebhookParts): Promise<WebhookState | undefined> {
  const { log, url, secret, stopped } = parts;
  const api = openApi(parts.bot, patienceSeconds);
  const how = { secret_token: secret, allowed_updates: [...updateKinds] };
  for (let tries = 1; !stopped.aborted; tries++) {
    let isSet = false;
    try {
      await api.setWebhook(url, how, stopped as never);
      isSet = true;
      log.info("webhook set", { channel: "telegram" });
      return await look(parts);
    } catch (error) {
      if (stopped.aborted) return undefined;
      const why = whyOf(error);
      log.error(isSet ? "webhook not read back" : "webhook not set", { channel: "telegram", why });
      const doubt = isSet
        ? "Telegram does not say whether the webhook is set"
        : "the webhook is not set";
      if (tries >= enoughFailures) parts.tell([`${doubt}: ${why}`]);
      await parts.pause(Math.min(longestPauseMs, 1_000 * 2 ** tries));
    }
  }
  return undefined;
}

/**
 * Sets the webhook and looks after it until it is stopped: where another address took its place, or ever more
 * updates wait, it is set again. Once a look at most: two services that set it against each other take turns of
 * minutes. What is in doubt is told after each look, and where Telegram does not answer. Never throws.
 */
export async function keepCalledBack(parts: WebhookParts): Promise<void> {
  const { url, log, now, tell, stopped } = parts;
  let takenAt: number | undefined;
  let failures = 0;
  let state = await callBack(parts);
  while (state) {
    const taken = takenAt !== undefined && now() - takenAt < takenShownMs;
    if (failures === 0) tell([...(taken ? [takenWords] : []), ...doubtsOf(state, url, now())]);
    await parts.pause(failures === 0 ? lookMs : longestPauseMs);
    if (stopped.aborted) return;
    try {
      const seen = await look(parts);
      failures = 0;
      if (seen.url !== url) takenAt = now();
      state = seen.url !== url || grows(seen, state) ? await callBack(parts) : seen;
    } catch (error) {
      if (stopped.aborted) return;
      const why = whyOf(error);
      log.warn("webhook not looked at", { channel: "telegram", why });
      if (++failures >= enoughFailures) tell([`the webhook cannot be looked at: ${why}`]);
    }
  }
}
