/**
 * An example message gateway, between this terminal and the service: a line "+447700900500 red light" is a text
 * message from that number, and what the service sends is printed.
 *   GATEWAY_SECRET=whsec_… node dist/scripts/examples/gateway.js [--port 4200] [--service http://127.0.0.1:3000]
 */
import { randomUUID } from "node:crypto";
import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { type Listening, listen, post, secretOrExit } from "./signing.js";

export type TextOut = { id: string; to: string; text: string; parts: string[]; safety: boolean };
export type ExampleGateway = Listening & {
  texts: TextOut[];
  /** A hirer's text message; gives the service's status. `id`: the same for the same message. */
  send(from: string, text: string, more?: { id?: string; writtenAt?: string }): Promise<number>;
  /** The network could not deliver a message that this gateway had taken. */
  fail(message: TextOut): Promise<number>;
};

/** Opens it. `service`: where the service listens. */
export async function openExampleGateway(options: {
  secret: string;
  service: () => string;
  port?: number;
  print?: (line: string) => void;
}): Promise<ExampleGateway> {
  const { secret, service, port = 0, print = console.log } = options;
  const texts: TextOut[] = [];
  const listening = await listen(secret, port, (value) => {
    const message = value as TextOut;
    texts.push(message);
    for (const part of message.parts) print(`to ${message.to}:\n${part}\n`);
  });
  return {
    ...listening,
    texts,
    send: (from, text, more = {}) =>
      post(`${service()}/gateway/messages`, secret, {
        id: randomUUID(),
        from,
        text,
        writtenAt: new Date().toISOString(),
        ...more,
      }),
    fail: ({ id, to }) =>
      post(`${service()}/gateway/failures`, secret, { id, to, why: "unknown-number" }),
  };
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      port: { type: "string", default: "4200" },
      service: { type: "string", default: "http://127.0.0.1:3000" },
    },
  });
  const secret = secretOrExit("GATEWAY_SECRET");
  const service = () => values.service;
  const gateway = await openExampleGateway({ secret, service, port: Number(values.port) });
  console.log(
    `Listening on ${gateway.url}. A line such as "+447700900500 hello" is a text message.`,
  );
  for await (const line of createInterface(process.stdin)) {
    const [, from, text = ""] = /^(\+\d+) (.*)$/.exec(line) ?? [];
    if (from) console.log(`from ${from}: ${await gateway.send(from, text)}`);
    else console.log('a line is "+447700900500 words"');
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) await main();
