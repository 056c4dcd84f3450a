/** Signed JSON from a firm's own provider: headers, then body, then signature, then JSON. */
import express, {
  type ErrorRequestHandler,
  type Request,
  type RequestHandler,
  type Response,
} from "express";
import { type Instant, instantOf } from "../calendar.js";
import { faultFields, type Log } from "../log.js";
import type { Address } from "../post.js";
import { statusOf } from "../web-requests.js";
import { headersWrong, keysOf, type SignatureHeaders, signatureFits } from "./signature.js";

export type InParts = {
  channel: Address["channel"];
  /** As of a Target. */
  secret: string;
  clock: { now(): Instant };
  log: Log;
};

/** A status and, where it is no 200, what is wrong and what would be right. */
export type Answer = { status: number; error?: string };

const given = (request: Request): SignatureHeaders => ({
  id: request.get("webhook-id"),
  timestamp: request.get("webhook-timestamp"),
  signature: request.get("webhook-signature"),
});

/** The handlers of one signed route. `act` gets the JSON and when it was sent, by the sender's clock in whole seconds; what it throws is answered 503, and the sender sends again. */
export function signedRoute(
  parts: InParts,
  limitBytes: number,
  act: (body: unknown, sentAt: Instant) => Promise<Answer>,
): (RequestHandler | ErrorRequestHandler)[] {
  const { channel, clock, log } = parts;
  const keys = keysOf(parts.secret);
  const say = (response: Response, { status, error }: Answer): void => {
    if (status >= 400) log.warn("signed post refused", { channel, status });
    response.status(status).json(error === undefined ? { ok: true } : { error });
  };
  const headersChecked: RequestHandler = (request, response, next) => {
    const wrong = headersWrong(given(request), clock.now());
    if (wrong === undefined) next();
    else say(response, { status: 401, error: wrong });
  };
  const signatureChecked: RequestHandler = (request, response, next) => {
    const body: unknown = request.body;
    const bytes = Buffer.isBuffer(body) ? body : Buffer.alloc(0);
    if (!signatureFits(keys, given(request), bytes))
      return say(response, {
        status: 401,
        error: "webhook-signature is not that of this body with our secret",
      });
    try {
      request.body = JSON.parse(bytes.toString("utf8")) as unknown;
    } catch {
      return say(response, { status: 400, error: "the body is no JSON" });
    }
    next();
  };
  const acted: RequestHandler = (request, response) => {
    act(request.body, instantOf(Number(given(request).timestamp) * 1000)).then(
      (answer) => say(response, answer),
      (error: unknown) => {
        log.error("not stored", { channel, status: 503, ...faultFields(error) });
        response
          .status(503)
          .set("Retry-After", "1")
          .json({ error: "it could not be stored: please send it again" });
      },
    );
  };
  /** What the body reader refuses: too large, cut off, compressed. */
  const refused: ErrorRequestHandler = (error: unknown, _request, response, _next) => {
    const status = statusOf(error) ?? 400;
    const what =
      status === 413 ? `the body has more than ${limitBytes} bytes` : "the body cannot be read";
    if (!response.headersSent) say(response, { status, error: what });
  };
  return [
    headersChecked,
    express.raw({ limit: limitBytes, type: () => true, inflate: false }),
    signatureChecked,
    acted,
    refused,
  ];
}
