/** A Bot API on loopback that fails at random and remembers every message that it accepted. */
import { createServer, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";

/** `unsure`: the sender cannot have known that it was accepted. `buttons`: their callback data. */
export type Accepted = {
  chat: string;
  text: string;
  buttons: string[];
  at: number;
  unsure: boolean;
};
/** What makes a message the same one: to whom, and its words. */
export const idOf = ({ chat, text }: { chat: string; text: string }): string => `${chat}\n${text}`;

export type ShakyBotApi = {
  root: string;
  accepted: Accepted[];
  /** From now on nothing fails. */
  heal(): void;
  /** Called after each message that was accepted. */
  onAccepted(listener: (message: Accepted) => void): void;
  close(): Promise<void>;
};

async function bodyOf(request: IncomingMessage): Promise<Record<string, unknown>> {
  const parts: Buffer[] = [];
  for await (const part of request) parts.push(part as Buffer);
  try {
    return JSON.parse(Buffer.concat(parts).toString("utf8")) as Record<string, unknown>;
  } catch {
    // A picture: multipart. Its text is its caption at most; pictures are not counted.
    return {};
  }
}

function buttonsOf(markup: unknown): string[] {
  const rows = (markup as { inline_keyboard?: { callback_data?: string }[][] } | undefined)
    ?.inline_keyboard;
  return (rows ?? []).flat().flatMap((button) => button.callback_data ?? []);
}

/** Opens it on a free port of 127.0.0.1. `random`: 0 to below 1. */
export async function openShakyBotApi(random: () => number): Promise<ShakyBotApi> {
  const accepted: Accepted[] = [];
  const listeners: ((message: Accepted) => void)[] = [];
  let shaky = true;
  let messageId = 0;
  const say = (response: ServerResponse, status: number, body: object) =>
    response.writeHead(status, { "content-type": "application/json" }).end(JSON.stringify(body));
  const refuse = (response: ServerResponse, error_code: number, parameters: object = {}) =>
    say(response, error_code, { ok: false, error_code, description: "shaky", parameters });

  async function take(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const params = await bodyOf(request);
    const luck = shaky ? random() : 1;
    if (luck < 0.05) return void refuse(response, 429, { retry_after: 1 });
    if (luck < 0.1) return void refuse(response, 500);
    if (luck < 0.14) return void response.socket?.destroy();
    const isMessage = request.url?.endsWith("/sendMessage") ?? false;
    if (isMessage) {
      const message: Accepted = {
        chat: String(params.chat_id),
        text: String(params.text),
        buttons: buttonsOf(params.reply_markup),
        at: Date.now(),
        unsure: luck < 0.18,
      };
      accepted.push(message);
      // Not given to the wire before the sender was gone: it cannot know.
      response.once("close", () => {
        if (!response.writableFinished) message.unsure = true;
      });
      for (const listener of listeners) listener(message);
    }
    if (luck < 0.18) return void response.socket?.destroy();
    say(response, 200, {
      ok: true,
      result: isMessage || request.url?.endsWith("/sendPhoto") ? { message_id: ++messageId } : true,
    });
  }

  const server: Server = createServer((request, response) => {
    take(request, response).catch(() => response.destroy());
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  return {
    root: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    accepted,
    heal() {
      shaky = false;
    },
    onAccepted: (listener) => void listeners.push(listener),
    close: () =>
      new Promise((done) => {
        server.close(() => done());
        server.closeAllConnections();
      }),
  };
}
