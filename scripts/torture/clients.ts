/** Hirers and staff on Telegram, as its servers would pass them on: every update again until it is taken, in order. */
import { setTimeout as pause } from "node:timers/promises";
import type { Accepted, ShakyBotApi } from "./shaky-bot-api.js";
import { botId, secret } from "./world.js";

export type Ledger = {
  /** Updates that were answered with 200, in the order of each chat. */
  taken: { chat: string; update: number; danger: boolean }[];
  /** Tries that were answered with anything but 200, or not at all. */
  refused: number;
  /** Answers of 5xx but 503, which nothing may cause. */
  broken: number;
};
/** What each of them has of the world. */
type Outside = {
  /** Where the service answers now; none while it is down. */
  doors(): string[];
  random(): number;
  /** Numbers for updates, one after the other over all chats. */
  next(): number;
  ledger: Ledger;
  /** Until then people write. */
  open(): boolean;
};
export type Crowd = Pick<Outside, "random" | "ledger"> & {
  /** One hirer for each token, who comes in by it and writes from now on. */
  come(tokens: readonly string[]): void;
  /** Nobody begins anything more; resolves when what they had begun is taken. */
  leave(): Promise<void>;
};

const words: readonly { text: string; danger?: true }[] = [
  { text: "how do I turn the fridge on" },
  { text: "where is the jack" },
  { text: "red oil light is on" },
  { text: "there is smoke coming out of the dashboard, we are inside", danger: true },
  { text: "what height is the van" },
  { text: "qwertz asdf" },
  { text: "thanks" },
  { text: "the awning will not go in" },
  { text: "can I speak to somebody" },
  { text: "oil is between the marks, 92,340 miles" },
];

/** Posts an update until it is taken; by turns to one instance and another. */
async function post(outside: Outside, update: Record<string, unknown>): Promise<boolean> {
  for (let n = 0; n < 2_000; n++) {
    const doors = outside.doors();
    const door = doors[Math.floor(outside.random() * doors.length)];
    if (door) {
      try {
        const response = await fetch(`${door}/telegram/${botId}`, {
          method: "POST",
          headers: {
            "content-type": "application/json",
            "x-telegram-bot-api-secret-token": secret,
          },
          body: JSON.stringify(update),
        });
        // A duplicate now and then: Telegram sends again what it does not know to have arrived.
        if (response.status === 200) {
          if (outside.random() < 0.95) return true;
          continue;
        }
        if (response.status >= 500 && response.status !== 503) outside.ledger.broken++;
      } catch {
        // Killed, or not yet up.
      }
      outside.ledger.refused++;
    }
    await pause(30 + outside.random() * 120);
  }
  return false;
}

const from = (chat: string) => ({ id: Number(chat), is_bot: false, first_name: `P${chat}` });

/** One hirer who writes, waits a little, writes again. */
async function hirer(outside: Outside, chat: string, token: string): Promise<void> {
  const say = async (text: string, danger = false) => {
    const update = outside.next();
    const taken = await post(outside, {
      update_id: update,
      message: {
        message_id: update,
        date: Math.floor(Date.now() / 1000),
        chat: { id: Number(chat), type: "private", first_name: `P${chat}` },
        from: from(chat),
        text,
      },
    });
    if (taken) outside.ledger.taken.push({ chat, update, danger });
  };
  await say(`/start ${token}`);
  for (let n = 0; outside.open(); n++) {
    const line = words[Math.floor(outside.random() * words.length)];
    if (line) await say(`${line.text} (${n})`, line.danger);
    await pause(outside.random() * 300);
  }
}

/** Taps the first button of every third message that reaches a chat. */
async function tapper(outside: Outside, chat: string, message: Accepted): Promise<void> {
  const [data] = message.buttons;
  if (data === undefined || outside.random() > 0.33 || !outside.open()) return;
  const update = outside.next();
  const taken = await post(outside, {
    update_id: update,
    callback_query: {
      id: `q${update}`,
      from: from(chat),
      data,
      message: { message_id: 1, date: 0, chat: { id: Number(chat), type: "private" } },
    },
  });
  if (taken) outside.ledger.taken.push({ chat, update, danger: false });
}

/** Hirers to be, and whoever gets a message with buttons. `random`: 0 to below 1. */
export function openCrowd(doors: () => string[], botApi: ShakyBotApi, random: () => number): Crowd {
  const ledger: Ledger = { taken: [], refused: 0, broken: 0 };
  let open = true;
  let update = 0;
  const outside = { doors, random, ledger, next: () => ++update, open: () => open };
  const people: Promise<void>[] = [];
  const taps: Promise<void>[] = [];
  botApi.onAccepted((message) => taps.push(tapper(outside, message.chat, message)));
  return {
    random,
    ledger,
    come(tokens) {
      for (const [n, token] of tokens.entries())
        people.push(hirer(outside, String(1000 + n), token));
    },
    async leave() {
      open = false;
      await Promise.all(people);
      await Promise.all(taps);
    },
  };
}
