/** What the Bot API's errors mean, in a few fixed words of ours; nothing of the library's error goes on: it may hold the token. */
import { Api, GrammyError, HttpError } from "grammy";
import type { Outcome } from "../door.js";

/** Codes of errors that come before anything was written to the wire. */
const neverSent = new Set([
  "ECONNREFUSED",
  "ENOTFOUND",
  "EAI_AGAIN",
  "ENETUNREACH",
  "EHOSTUNREACH",
]);

/** What Telegram's "no" means, in a few fixed words: its own may repeat what was sent. */
function noWords(error: GrammyError): string {
  const known = [
    [/blocked/i, "blocked by its reader"],
    [/chat not found/i, "no such chat"],
    [/deactivated/i, "the account is gone"],
    [/can't initiate/i, "the reader has not opened the chat"],
  ] as const;
  return (
    known.find(([pattern]) => pattern.test(error.description))?.[1] ??
    `Telegram says no (${error.error_code})`
  );
}

/** An error of the library as an outcome. `stood`: whether the call had a connection, so that it may have been sent. */
export function outcomeOf(error: unknown, stood = true): Exclude<Outcome, { kind: "sent" }> {
  if (error instanceof GrammyError) {
    const code = error.error_code;
    switch (code) {
      case 401:
      case 404:
        // The token is being changed, or was revoked: with the right one the message goes out.
        return {
          kind: "later",
          afterMs: 0,
          why: "Telegram does not know this bot: TELEGRAM_BOT_TOKEN is wrong or was revoked",
        };
      case 429:
        return {
          kind: "later",
          afterMs: (error.parameters.retry_after ?? 1) * 1000,
          why: "Telegram asks to wait (429)",
        };
      case 502:
      case 504:
        // Said by what stands before Telegram: whether it took the message nobody knows.
        return { kind: "unsure", why: `Telegram has trouble (${code})` };
      default:
        return code >= 500
          ? { kind: "later", afterMs: 0, why: `Telegram has trouble (${code})` }
          : { kind: "refused", why: noWords(error) };
    }
  }
  const inner: unknown = error instanceof HttpError ? error.error : error;
  const code = inner instanceof Error && "code" in inner ? String(inner.code) : "";
  return !stood || neverSent.has(code)
    ? { kind: "later", afterMs: 0, why: "Telegram cannot be reached" }
    : { kind: "unsure", why: "no answer from Telegram" };
}

/** Only the fixed words of an outcome. */
export const whyOf = (error: unknown): string => outcomeOf(error).why;

/** The number of Telegram's "no"; undefined where it gave no answer. */
export const codeOf = (error: unknown): number | undefined =>
  error instanceof GrammyError ? error.error_code : undefined;

/** The Bot API for what is no message: where updates go, and fetching them. */
export const openApi = (bot: { token: string; apiRoot: string }, timeoutSeconds: number): Api =>
  new Api(bot.token, { apiRoot: bot.apiRoot, timeoutSeconds, sensitiveLogs: false });
