/** Posts signed JSON to a firm's own provider, and says what became of it. No redirect is followed. */
import { createHash } from "node:crypto";
import { type IncomingMessage, request as plain } from "node:http";
import { request as secure } from "node:https";
import type { Instant } from "../calendar.js";
import type { Outcome } from "./door.js";
import { guarded, insideCode, mayCall, type Resolve } from "./guard.js";
import { keysOf, signed } from "./signature.js";

/** Where a provider listens. All but `allowInternal` is secret. */
type Target = {
  url: string;
  /** "whsec_" and base64; two separated by a space while one replaces the other. */
  secret: string;
  /** For development: http, and addresses of this machine and network. */
  allowInternal: boolean;
};

export type PostParts = {
  target: Target;
  now(): Instant;
  /** A try without an answer for so long is in doubt. */
  timeoutMs?: number;
  /** Names to addresses; for tests. */
  resolve?: Resolve;
};

/** One try. Never throws. */
type SignedPost = (id: string, body: object) => Promise<Outcome>;

const patienceMs = 10_000;
/** A provider cannot make us wait for longer than this between two tries. */
const longestWaitMs = 10 * 60_000;

/** A send's key as the outside sees it: the same for every try, without a full stop, telling nothing. */
export const outsideIdOf = (key: string): string =>
  `pp_${createHash("sha256").update(key).digest("base64url").slice(0, 32)}`;

/** Retry-After in milliseconds (RFC 9110, 10.2.3: seconds or a date); 0 where there is none. */
function waitMs(header: string | undefined, now: Instant): number {
  const asked = /^\d+$/.test(header ?? "")
    ? Number(header) * 1000
    : Date.parse(header ?? "") - now || 0;
  return Math.min(Math.max(asked, 0), longestWaitMs);
}

/** What an answer means. Whoever answers 5xx has not taken it, and drops what they have had by its id. */
function answered({ statusCode = 0, headers }: IncomingMessage, id: string, now: Instant): Outcome {
  if (statusCode >= 200 && statusCode < 300) return { kind: "sent", outsideId: id };
  const why = `the provider answers ${statusCode}`;
  const later = (): Outcome => ({
    kind: "later",
    afterMs: waitMs(headers["retry-after"], now),
    why,
  });
  if (statusCode === 408 || statusCode === 425 || statusCode === 429) return later();
  // Something between us and the provider gave up: it may have taken it.
  if (statusCode === 502 || statusCode === 504) return { kind: "unsure", why };
  if (statusCode >= 500) return later();
  return {
    kind: "refused",
    why: statusCode < 400 ? `${why}: redirects are not followed` : why,
  };
}

/** What an error means: before the connection stood nothing was sent, after that nobody knows. */
function failed(error: unknown, connected: boolean): Outcome {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  if (code === insideCode)
    return { kind: "refused", why: "the provider's name leads to an address inside our network" };
  const named = /^[A-Z_]{3,40}$/.test(code) ? ` (${code})` : "";
  return connected
    ? { kind: "unsure", why: `no answer from the provider${named}` }
    : { kind: "later", afterMs: 0, why: `the provider cannot be reached${named}` };
}

/** Opens the way to one provider. */
export function openPost(parts: PostParts): SignedPost {
  const { target, now, timeoutMs = patienceMs } = parts;
  const url = new URL(target.url);
  const keys = keysOf(target.secret);
  const isSecure = url.protocol === "https:";
  return (id, body) => {
    if (!mayCall(url, target.allowInternal))
      return Promise.resolve({ kind: "refused", why: "the address is not an https one outside" });
    const text = JSON.stringify(body);
    return new Promise((done) => {
      let connected = false;
      const call = (isSecure ? secure : plain)(url, {
        method: "POST",
        agent: false,
        lookup: guarded(target.allowInternal, parts.resolve),
        headers: {
          "content-type": "application/json",
          "content-length": Buffer.byteLength(text),
          "user-agent": "passing-place",
          ...signed(keys, id, now(), text),
        },
      });
      const late = setTimeout(
        () => call.destroy(Object.assign(new Error("late"), { code: "ETIMEDOUT" })),
        timeoutMs,
      );
      const end = (outcome: Outcome): void => {
        clearTimeout(late);
        done(outcome);
      };
      call.on("socket", (socket) =>
        socket.once(isSecure ? "secureConnect" : "connect", () => {
          connected = true;
        }),
      );
      call.on("response", (response) => {
        response.on("error", () => {});
        end(answered(response, id, now()));
        // The status says it all; a body without end would hold us.
        call.destroy();
      });
      call.on("error", (error) => end(failed(error, connected)));
      call.end(text);
    });
  };
}
