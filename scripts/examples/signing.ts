/**
 * For providers of your own: signing and checking, by Standard Webhooks 1.0.0, with nothing but Node. To be
 * copied; it shares no code with the service, so that one checks the other.
 */
import { createHmac, randomUUID, timingSafeEqual } from "node:crypto";
import { createServer, type IncomingHttpHeaders, type Server } from "node:http";
import type { AddressInfo } from "node:net";

const fiveMinutes = 300;

function signature(secret: string, id: string, seconds: string, body: string): string {
  const key = Buffer.from(secret.replace("whsec_", ""), "base64");
  return `v1,${createHmac("sha256", key).update(`${id}.${seconds}.${body}`).digest("base64")}`;
}

/** Whether a post is the service's own and fresh. `body`: the bytes as they came, before any JSON. */
export function isGenuine(secret: string, headers: IncomingHttpHeaders, body: string): boolean {
  const id = String(headers["webhook-id"]);
  const seconds = String(headers["webhook-timestamp"]);
  if (!(Math.abs(Date.now() / 1000 - Number(seconds)) <= fiveMinutes)) return false;
  const right = Buffer.from(signature(secret, id, seconds, body));
  return String(headers["webhook-signature"])
    .split(" ")
    .some((one) => one.length === right.length && timingSafeEqual(Buffer.from(one), right));
}

/** Posts signed JSON; again with the same body until it is taken or refused, five times at most. Gives the last status, 0: no answer. */
export async function post(url: string, secret: string, value: object): Promise<number> {
  const body = JSON.stringify(value);
  const id = randomUUID();
  let status = 0;
  for (let tries = 0; tries < 5; tries++) {
    if (tries > 0) await new Promise((done) => setTimeout(done, 500 * 2 ** tries));
    const seconds = String(Math.floor(Date.now() / 1000));
    try {
      const answer = await fetch(url, {
        method: "POST",
        headers: {
          "content-type": "application/json",
          "webhook-id": id,
          "webhook-timestamp": seconds,
          "webhook-signature": signature(secret, id, seconds, body),
        },
        body,
        redirect: "error",
      });
      status = answer.status;
      if (status < 500 && status !== 429) return status;
    } catch {
      status = 0;
    }
  }
  return status;
}

export type Listening = { url: string; close(): Promise<void> };

/** Listens on 127.0.0.1 for the service's posts: 401 for what is not genuine, 204 for the rest, each id taken once. */
export async function listen(
  secret: string,
  port: number,
  take: (value: unknown) => void,
): Promise<Listening> {
  const had = new Set<string>();
  const server: Server = createServer((request, response) => {
    let body = "";
    request.setEncoding("utf8");
    request.on("data", (chunk: string) => {
      body += chunk;
    });
    request.on("end", () => {
      if (!isGenuine(secret, request.headers, body)) return void response.writeHead(401).end();
      response.writeHead(204).end();
      const id = String(request.headers["webhook-id"]);
      if (had.has(id)) return;
      had.add(id);
      take(JSON.parse(body));
    });
  });
  await new Promise<void>((done, fail) => {
    server.once("error", fail).listen(port, "127.0.0.1", done);
  });
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/`,
    close: () =>
      new Promise((done) => {
        server.close(() => done());
        server.closeAllConnections();
      }),
  };
}

/** A secret from the environment, or the end with one line. */
export function secretOrExit(name: string): string {
  const secret = process.env[name];
  if (secret?.startsWith("whsec_")) return secret;
  console.error(`${name} is not set: the secret that the service has as ${name} is needed`);
  process.exit(1);
}
