/**
 * Long polling, for a firm without a public address: we ask Telegram for updates. It keeps each until we ask for
 * what comes after it (Bot API, getUpdates.offset), and we do so only once its arrival is stored.
 */
import { faultFields, type Log } from "../../log.js";
import { codeOf, openApi, outcomeOf } from "./answers.js";
import { enoughFailures, updateKinds } from "./webhook.js";

type PollParts = {
  bot: { token: string; apiRoot: string };
  /** Stores what an update says (receive.ts). @throws where it could not be stored */
  take(update: unknown): Promise<unknown>;
  log: Log;
  /** What stands in the way of updates, from the third failure in a row on; none: nothing any more. */
  tell(doubts: readonly string[]): void;
  /** Resolves early when stopped. */
  pause(ms: number): Promise<unknown>;
  stopped: AbortSignal;
};

/** Telegram holds a question without news for so long. */
const waitSeconds = 25;
const patienceSeconds = waitSeconds + 10;
const atOnce = 100;
const longestPauseMs = 30_000;

/** How long to wait after so many failures in a row, and what to say. */
function setback(error: unknown, failures: number): { why: string; afterMs: number } {
  const grows = Math.min(longestPauseMs, 500 * 2 ** failures);
  if (codeOf(error) === 409)
    return {
      why: "another program asks for this bot's updates too, or has set a webhook: only one process may ask, and none in webhook mode (409)",
      afterMs: longestPauseMs,
    };
  const outcome = outcomeOf(error);
  return {
    why: outcome.why,
    afterMs: outcome.kind === "later" ? Math.max(grows, outcome.afterMs) : grows,
  };
}

/** Asks until it is stopped. Never throws. */
export async function poll(parts: PollParts): Promise<void> {
  const { log, stopped, tell } = parts;
  const api = openApi(parts.bot, patienceSeconds);
  let offset: number | undefined;
  let failures = 0;
  let ready = false;

  /** Stores one; what the store does not take now is tried again until it does: the next ones wait. */
  async function keep(update: { update_id: number }): Promise<boolean> {
    while (!stopped.aborted)
      try {
        await parts.take(update);
        offset = update.update_id + 1;
        return true;
      } catch (error) {
        log.error("not stored", { channel: "telegram", ...faultFields(error) });
        await parts.pause(1_000);
      }
    return false;
  }

  while (!stopped.aborted)
    try {
      if (!ready) {
        // While a webhook is set, Telegram refuses to be asked. What it holds already stays.
        await api.deleteWebhook({ drop_pending_updates: false }, stopped as never);
        log.info("asking for updates", { channel: "telegram" });
        ready = true;
      }
      const updates = await api.getUpdates(
        {
          ...(offset === undefined ? {} : { offset }),
          timeout: waitSeconds,
          limit: atOnce,
          allowed_updates: [...updateKinds],
        },
        stopped as never,
      );
      if (failures >= enoughFailures) tell([]);
      failures = 0;
      for (const update of updates) if (!(await keep(update))) return;
    } catch (error) {
      if (stopped.aborted) return;
      const { why, afterMs } = setback(error, ++failures);
      log.error("updates not had", { channel: "telegram", why, count: failures });
      if (failures >= enoughFailures) tell([why]);
      // A webhook that another program set is taken away again.
      if (codeOf(error) === 409) ready = false;
      await parts.pause(afterMs);
    }
}
