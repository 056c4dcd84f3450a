/** Hirers on Telegram who write, wait for the reply and write again: how many are answered, and how fast. */
import { setTimeout as pause } from "node:timers/promises";
import type { ShakyBotApi } from "../torture/shaky-bot-api.js";

export type Target = { url: string; secret: string };
export type Load = {
  messages: number;
  /** Messages answered a second, until the last reply had left. */
  perSecond: number;
  /** Messages that left a second, to hirers and staff. */
  sentPerSecond: number;
  /** Messages without a reply within a minute. */
  unanswered: number;
  /** From posting an update to its reply at the Bot API, ms. */
  p50: number;
  p99: number;
};
export type Run = {
  chats: readonly string[];
  texts: readonly string[];
  ms: number;
  /** So many messages a second at even distances; absent: every chat has one under way all the time. */
  perSecond?: number;
};

/** The value that a share of the numbers does not exceed; NaN of none. */
export function quantile(numbers: readonly number[], share: number): number {
  const sorted = [...numbers].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? Number.NaN;
}
export const median = (numbers: readonly number[]): number => quantile(numbers, 0.5);

/** A message that has had no reply for so long counts as unanswered. */
const patienceMs = 60_000;

export class Crowd {
  readonly #botApi: ShakyBotApi;
  /** Who waits for a reply, by chat: one message of a chat is under way at a time. */
  readonly #waiting = new Map<string, () => void>();
  #update = 0;
  #said = 0;
  constructor(botApi: ShakyBotApi) {
    this.#botApi = botApi;
    botApi.onAccepted(({ chat }) => {
      this.#waiting.get(chat)?.();
      this.#waiting.delete(chat);
    });
  }

  /** Posts one message and waits for the next that reaches its chat; ms from the one to the other, undefined where none came. @throws where it is not taken */
  async say(target: Target, chat: string, text: string): Promise<number | undefined> {
    const update = ++this.#update;
    const began = performance.now();
    const answered = new Promise<number | undefined>((done) => {
      const late = setTimeout(done, patienceMs);
      this.#waiting.set(chat, () => {
        clearTimeout(late);
        done(performance.now() - began);
      });
    });
    const who = { id: Number(chat), first_name: "Ann" };
    const date = Math.floor(Date.now() / 1000);
    const message = {
      ...{ message_id: update, date, text },
      chat: { ...who, type: "private" },
      from: { ...who, is_bot: false },
    };
    const response = await fetch(target.url, {
      method: "POST",
      headers: {
        "content-type": "application/json",
        "x-telegram-bot-api-secret-token": target.secret,
      },
      body: JSON.stringify({ update_id: update, message }),
    });
    await response.arrayBuffer();
    if (response.status !== 200) throw new Error(`${target.url} answers ${response.status}`);
    return answered;
  }

  /** Waits until nothing has left for 150 ms; when the last did, as performance.now() says it. */
  async drained(): Promise<number> {
    let at = performance.now();
    for (let left = this.#botApi.accepted.length; ; left = this.#botApi.accepted.length) {
      await pause(150);
      if (this.#botApi.accepted.length === left) return at;
      at = performance.now();
    }
  }

  async run(target: Target, how: Run): Promise<Load> {
    const { chats, texts, ms } = how;
    const began = performance.now();
    const before = this.#botApi.accepted.length;
    const times: number[] = [];
    let unanswered = 0;
    const one = async (chat: string) => {
      const took = await this.say(target, chat, texts[this.#said++ % texts.length] ?? "");
      if (took === undefined) unanswered++;
      else times.push(took);
    };
    if (how.perSecond === undefined)
      await Promise.all(
        chats.map(async (chat) => {
          while (performance.now() - began < ms) await one(chat);
        }),
      );
    else await this.#evenly(chats, 1_000 / how.perSecond, ms, one);
    const last = performance.now();
    const seconds = (Math.max(last, await this.drained()) - began) / 1_000;
    return {
      messages: times.length,
      unanswered,
      perSecond: times.length / seconds,
      sentPerSecond: (this.#botApi.accepted.length - before) / seconds,
      p50: median(times),
      p99: quantile(times, 0.99),
    };
  }

  async #evenly(
    chats: readonly string[],
    everyMs: number,
    ms: number,
    one: (chat: string) => Promise<void>,
  ): Promise<void> {
    const began = performance.now();
    const under: Promise<void>[] = [];
    const free = [...chats];
    for (let i = 0; i * everyMs < ms; i++) {
      await pause(Math.max(0, began + i * everyMs - performance.now()));
      const chat = free.shift();
      if (chat !== undefined) under.push(one(chat).then(() => void free.push(chat)));
    }
    await Promise.all(under);
  }
}
