/**
 * Signatures of what goes to and comes from a firm's own providers, after Standard Webhooks 1.0.0
 * (github.com/standard-webhooks/standard-webhooks, spec/standard-webhooks.md): HMAC-SHA-256 over
 * `id.timestamp.body`, in the headers webhook-id, webhook-timestamp (Unix seconds) and webhook-signature.
 */
import { createHmac, timingSafeEqual } from "node:crypto";
import type { Instant } from "../calendar.js";

/** How far a timestamp may lie from our clock, either way: what is older may be a replay. */
export const windowMs = 5 * 60_000;
/** More signatures than anybody needs while a secret is being changed. */
const mostSignatures = 8;

/** The keys of a setting: one secret, or two separated by a space while one replaces the other. */
export const keysOf = (secrets: string): Buffer[] =>
  secrets.split(" ").map((secret) => Buffer.from(secret.replace(/^whsec_/, ""), "base64"));

function mac(key: Buffer, id: string, seconds: string, body: string | Buffer): Buffer {
  return createHmac("sha256", key).update(`${id}.${seconds}.`).update(body).digest();
}

/** The headers that sign a body, one signature for each key. `id` holds no full stop. */
export function signed(keys: readonly Buffer[], id: string, now: Instant, body: string) {
  const seconds = String(Math.floor(now / 1000));
  return {
    "webhook-id": id,
    "webhook-timestamp": seconds,
    "webhook-signature": keys
      .map((key) => `v1,${mac(key, id, seconds, body).toString("base64")}`)
      .join(" "),
  };
}

export type SignatureHeaders = {
  id: string | undefined;
  timestamp: string | undefined;
  signature: string | undefined;
};

/** What is wrong with the headers by themselves, before a body is read; undefined: nothing. */
export function headersWrong(given: SignatureHeaders, now: Instant): string | undefined {
  if (!given.id || given.id.includes(".") || given.id.length > 256)
    return "webhook-id is needed: up to 256 characters without a full stop";
  if (!/^\d{1,12}$/.test(given.timestamp ?? "")) return "webhook-timestamp is needed: Unix seconds";
  if (!given.signature) return "webhook-signature is needed: v1,<base64>";
  if (Math.abs(now - Number(given.timestamp) * 1000) > windowMs)
    return "webhook-timestamp is more than 5 minutes from our clock";
  return undefined;
}

/** Whether one of the signatures is that of one of the keys over the very bytes that came. Compares in constant time. */
export function signatureFits(
  keys: readonly Buffer[],
  given: SignatureHeaders,
  body: Buffer,
): boolean {
  const tried = (given.signature ?? "")
    .split(" ")
    .slice(0, mostSignatures)
    .filter((one) => one.startsWith("v1,"))
    .map((one) => Buffer.from(one.slice(3), "base64"));
  let fits = false;
  for (const key of keys) {
    const right = mac(key, given.id ?? "", given.timestamp ?? "", body);
    for (const one of tried)
      if (one.length === right.length && timingSafeEqual(one, right)) fits = true;
  }
  return fits;
}
