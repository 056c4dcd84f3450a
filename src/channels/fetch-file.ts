/** Fetches a file that a provider points to. Limited in size and time; no redirect is followed. */
import { request as plain } from "node:http";
import { request as secure } from "node:https";
import { guarded, mayCall, type Resolve } from "./guard.js";

export type FetchParts = {
  allowInternal: boolean;
  limitBytes: number;
  timeoutMs?: number;
  resolve?: Resolve;
};

const patienceMs = 8_000;

/** The bytes; "not-now" where asking again later may bring them, "never" where it will not. */
export type Fetched = Buffer | "not-now" | "never";

/** Errors of a way that does not lead through just now. Others, such as nobody of that name, tell of the address. */
const wayBroken = new Set([
  "EAI_AGAIN",
  "ENETDOWN",
  "ENETUNREACH",
  "EHOSTUNREACH",
  "ETIMEDOUT",
  "ECONNRESET",
  "EPIPE",
]);
/** Answers other than 5xx that ask to come again (RFC 9110, RFC 8470, RFC 6585). */
const comeAgain = new Set([408, 425, 429]);

const failed = (error: Error): Fetched =>
  "code" in error && wayBroken.has(String(error.code)) ? "not-now" : "never";

const refused = (status = 0): Fetched =>
  status >= 500 || comeAgain.has(status) ? "not-now" : "never";

/** What is behind a URL. Never throws. */
export function fetchFile(address: string, parts: FetchParts): Promise<Fetched> {
  const { allowInternal, limitBytes, timeoutMs = patienceMs } = parts;
  const url = URL.canParse(address) ? new URL(address) : undefined;
  if (!url || !/^https?:$/.test(url.protocol) || !mayCall(url, allowInternal))
    return Promise.resolve("never");
  return new Promise((done) => {
    const call = (url.protocol === "https:" ? secure : plain)(url, {
      agent: false,
      lookup: guarded(allowInternal, parts.resolve),
      headers: { "user-agent": "passing-place" },
    });
    const end = (fetched: Fetched): void => {
      clearTimeout(late);
      done(fetched);
      call.destroy();
    };
    const late = setTimeout(() => end("not-now"), timeoutMs);
    call.on("error", (error) => end(failed(error)));
    call.on("response", (response) => {
      if (response.statusCode !== 200) return end(refused(response.statusCode));
      const chunks: Buffer[] = [];
      let size = 0;
      response.on("data", (chunk: Buffer) => {
        size += chunk.length;
        chunks.push(chunk);
        if (size > limitBytes) end("never");
      });
      response.on("error", () => end("not-now"));
      response.on("close", () => end(response.complete ? Buffer.concat(chunks) : "not-now"));
    });
    call.end();
  });
}
