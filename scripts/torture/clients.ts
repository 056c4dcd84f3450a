/** Hirers and staff on Telegram, as its servers would pass them on: every update again until it is taken, in order. */
import { setTimeout as pause } from "node:timers/promises";
import type { Accepted } from "./shaky-bot-api.js";

export type Ledger = {
  /** Updates that were answered with 200, in the order of each chat. */
  taken: { chat: string; update: number; danger: boolean }[];
  /** Tries that were answered with anything but 200, or not at all. */
  refused: number;
  /** Answers of 5xx but 503, which nothing may cause. */
  broken: number;
};
type Crowd = {
  botId: string;
  secret: string;
  /** Where the service answers now; none while it is down. */
  doors(): string[];
  random(): number;
  /** Numbers for updates, one after the other over all chats. */
  next(): number;
  ledger: Ledger;
  /** Until then people write. */
  open(): boolean;
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
async function post(crowd: Crowd, update: Record<string, unknown>): Promise<boolean> {
  for (let n = 0; n < 2_000; n++) {
    const doors = crowd.doors();
    const door = doors[Math.floor(crowd.random() * doors.length)];
    if (door) {
      try {
        const response = await fetch(`${door}/telegram/${crowd.botId}`, {
          method: "POST",
          headers: {
            "content-type": "application/json",
            "x-telegram-bot-api-secret-token": crowd.secret,
          },
          body: JSON.stringify(update),
        });
        // A duplicate now and then: Telegram sends again what it does not know to have arrived.
        if (response.status === 200) {
          if (crowd.random() < 0.95) return true;
          continue;
        }
        if (response.status >= 500 && response.status !== 503) crowd.ledger.broken++;
      } catch {
        // Killed, or not yet up.
      }
      crowd.ledger.refused++;
    }
    await pause(30 + crowd.random() * 120);
  }
  return false;
}

const from = (chat: string) => ({ id: Number(chat), is_bot: false, first_name: `P${chat}` });

/** One hirer who writes, waits a little, writes again. */
export async function hirer(crowd: Crowd, chat: string, token: string): Promise<void> {
  const say = async (text: string, danger = false) => {
    const update = crowd.next();
    const taken = await post(crowd, {
      update_id: update,
      message: {
        message_id: update,
        date: Math.floor(Date.now() / 1000),
        chat: { id: Number(chat), type: "private", first_name: `P${chat}` },
        from: from(chat),
        text,
      },
    });
    if (taken) crowd.ledger.taken.push({ chat, update, danger });
  };
  await say(`/start ${token}`);
  for (let n = 0; crowd.open(); n++) {
    const line = words[Math.floor(crowd.random() * words.length)];
    if (line) await say(`${line.text} (${n})`, line.danger);
    await pause(crowd.random() * 300);
  }
}

/** Taps the first button of every third message that reaches a chat. */
export async function tapper(crowd: Crowd, chat: string, message: Accepted): Promise<void> {
  const [data] = message.buttons;
  if (data === undefined || crowd.random() > 0.33 || !crowd.open()) return;
  const update = crowd.next();
  const taken = await post(crowd, {
    update_id: update,
    callback_query: {
      id: `q${update}`,
      from: from(chat),
      data,
      message: { message_id: 1, date: 0, chat: { id: Number(chat), type: "private" } },
    },
  });
  if (taken) crowd.ledger.taken.push({ chat, update, danger: false });
}
