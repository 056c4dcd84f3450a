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

/** The bytes behind a URL; undefined where they cannot be had. Never throws. */
export function fetchFile(address: string, parts: FetchParts): Promise<Buffer | undefined> {
  const { allowInternal, limitBytes, timeoutMs = patienceMs } = parts;
  const url = URL.canParse(address) ? new URL(address) : undefined;
  if (!url || !/^https?:$/.test(url.protocol) || !mayCall(url, allowInternal))
    return Promise.resolve(undefined);
  return new Promise((done) => {
    const call = (url.protocol === "https:" ? secure : plain)(url, {
      agent: false,
      lookup: guarded(allowInternal, parts.resolve),
      headers: { "user-agent": "passing-place" },
    });
    const end = (bytes?: Buffer): void => {
      clearTimeout(late);
      done(bytes);
      call.destroy();
    };
    const late = setTimeout(end, timeoutMs);
    call.on("error", () => end());
    call.on("response", (response) => {
      if (response.statusCode !== 200) return end();
      const chunks: Buffer[] = [];
      let size = 0;
      response.on("data", (chunk: Buffer) => {
        size += chunk.length;
        chunks.push(chunk);
        if (size > limitBytes) end();
      });
      response.on("error", () => end());
      response.on("close", () => end(response.complete ? Buffer.concat(chunks) : undefined));
    });
    call.end();
  });
}
