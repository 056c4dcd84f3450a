/** What a web request says: its cookie, its token, a secret word; and what an error of reading it says of itself. */
import { createHash, timingSafeEqual } from "node:crypto";
import type { IncomingMessage } from "node:http";

/** The status that an error of a body reader bears: 400 to 499; undefined for any other error, which is ours. */
export function statusOf(error: unknown): number | undefined {
  const status = error instanceof Error && "status" in error ? Number(error.status) : 0;
  return Number.isInteger(status) && status >= 400 && status < 500 ? status : undefined;
}

/** A cookie by its name; undefined where it was not sent. */
export const cookieIn = ({ headers }: IncomingMessage, name: string): string | undefined =>
  (headers.cookie ?? "")
    .split(/;\s*/)
    .find((cookie) => cookie.startsWith(`${name}=`))
    ?.slice(name.length + 1);

/** The token of an Authorization header (RFC 6750); undefined where there is none. */
export const bearerIn = ({ headers }: IncomingMessage): string | undefined =>
  /^Bearer +(\S+)$/i.exec(headers.authorization ?? "")?.[1];

const digest = (text: string): Buffer => createHash("sha256").update(text).digest();

/** Whether a word that came is the secret one; neither its length nor its letters show in the time. */
export const sameSecret = (given: unknown, wanted: string): boolean =>
  typeof given === "string" && timingSafeEqual(digest(given), digest(wanted));
