/** A telephone or text provider on loopback: keeps what was posted, and fails on demand. */
import { createHmac, randomBytes } from "node:crypto";
import {
  createServer,
  type IncomingHttpHeaders,
  type Server,
  type ServerResponse,
} from "node:http";
import type { AddressInfo } from "node:net";
import request from "supertest";

/** How the next post goes wrong. `never`: no answer; `half`: headers of a 200, then cut off; `reset`: after it was read. */
export type ProviderFault =
  | number
  | { status: number; headers: Record<string, string> }
  | "never"
  | "half"
  | "reset";
export type Posted = {
  path: string;
  headers: IncomingHttpHeaders;
  raw: string;
  body: Record<string, unknown>;
};
export type Provider = {
  url: string;
  posted: Posted[];
  /** Used up by the next posts in order; undefined: all is well. */
  faults: (ProviderFault | undefined)[];
  /** Those posts that were answered 2xx, one for each id. */
  taken(): Record<string, unknown>[];
  close(): Promise<void>;
};

function fail(fault: ProviderFault, response: ServerResponse): void {
  if (fault === "never") return;
  if (fault === "reset") return void response.socket?.resetAndDestroy();
  if (fault === "half") {
    response.writeHead(200, { "content-length": "400" });
    response.write("{");
    return void setTimeout(() => response.socket?.destroy(), 20);
  }
  const { status, headers } = typeof fault === "number" ? { status: fault, headers: {} } : fault;
  response.writeHead(status, headers).end("no");
}

/** Opens one on a free port of 127.0.0.1. */
export async function openProvider(): Promise<Provider> {
  const posted: Posted[] = [];
  const taken = new Map<string, Record<string, unknown>>();
  const faults: Provider["faults"] = [];
  const server: Server = createServer((req, response) => {
    const chunks: Buffer[] = [];
    req.on("data", (chunk: Buffer) => chunks.push(chunk));
    req.on("end", () => {
      const raw = Buffer.concat(chunks).toString("utf8");
      const body = JSON.parse(raw) as Record<string, unknown>;
      posted.push({ path: req.url ?? "", headers: req.headers, raw, body });
      const fault = faults.shift();
      if (fault !== undefined) return fail(fault, response);
      taken.set(String(req.headers["webhook-id"]), body);
      response.writeHead(204).end();
    });
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/in?key=MARKED-key-of-the-provider`,
    posted,
    faults,
    taken: () => [...taken.values()],
    close: () =>
      new Promise((done) => {
        server.close(() => done());
        server.closeAllConnections();
      }),
  };
}

export const providerSecret = `whsec_${Buffer.from("MARKED-secret-of-the-provider").toString("base64")}`;

/** The signature that a post must have, computed by its words in README.md. */
export function signatureOf(
  id: string,
  seconds: string,
  raw: string | Buffer,
  secret = providerSecret,
): string {
  const key = Buffer.from(secret.slice("whsec_".length), "base64");
  return `v1,${createHmac("sha256", key).update(`${id}.${seconds}.`).update(raw).digest("base64")}`;
}

/** Posts signed JSON as a provider does. `more` puts other headers in place of the right ones. */
export function postSigned(
  app: Parameters<typeof request>[0],
  path: string,
  body: unknown,
  more: Record<string, string> = {},
  now = Date.now(),
) {
  const raw = typeof body === "string" ? body : JSON.stringify(body);
  const id = more["webhook-id"] ?? randomBytes(9).toString("base64url");
  const seconds = more["webhook-timestamp"] ?? String(Math.floor(now / 1000));
  const headers = {
    "content-type": "application/json",
    "webhook-id": id,
    "webhook-timestamp": seconds,
    "webhook-signature": signatureOf(id, seconds, raw),
    ...more,
  };
  return request(app).post(path).set(headers).send(raw);
}
