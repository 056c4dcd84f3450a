/**
 * Signatures, against the published test vector of Standard Webhooks: github.com/standard-webhooks/standard-webhooks,
 * libraries/javascript/src/webhook.test.ts, "sign function works"; the same values stand in its other libraries.
 */
import { createHmac } from "node:crypto";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { instantOf } from "../../src/calendar.js";
import {
  headersWrong,
  keysOf,
  signatureFits,
  signed,
  windowMs,
} from "../../src/channels/signature.js";

const secret = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw";
const vector = {
  id: "msg_p5jXN8AQM9LWM0D4loKWxJek",
  at: instantOf(1_614_265_330_000),
  body: '{"test": 2432232314}',
  signature: "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=",
};
const headers = (signature = vector.signature) => ({
  id: vector.id,
  timestamp: "1614265330",
  signature,
});
const bytes = Buffer.from(vector.body);

describe("a signature", () => {
  it("is that of the published vector", () => {
    expect(signed(keysOf(secret), vector.id, vector.at, vector.body)).toEqual({
      "webhook-id": vector.id,
      "webhook-timestamp": "1614265330",
      "webhook-signature": vector.signature,
    });
  });
  it("is recognised in the published vector, alone and among others", () => {
    expect(signatureFits(keysOf(secret), headers(), bytes)).toBe(true);
    // The list of the published "multi sig payload is valid".
    const other = "Ceo5qEr07ixe2NLpvHk3FH9bwy/WavXrAFQ/9tdO6mc=";
    const list = `v1,${other} v2,${other} ${vector.signature} v1,${other}`;
    expect(signatureFits(keysOf(secret), headers(list), bytes)).toBe(true);
  });
  it.each([
    ["", "none"],
    ["v1,", "an empty one"],
    ["v1,dawfeoifkpqwoekfpqoekf", "a made-up one"],
    [vector.signature.slice(0, 8), "a part of one"],
    [vector.signature.slice(3), "one without its version"],
    [`v1a,${vector.signature.slice(3)}`, "one of another scheme"],
    [`${vector.signature}A`.replace("=", ""), "a longer one"],
  ])("%j fits nothing: %s", (signature) =>
    expect(signatureFits(keysOf(secret), headers(signature), bytes)).toBe(false),
  );
  it("fits no other body, id, time or secret", () => {
    const changed = fc.constantFrom("body", "id", "timestamp", "secret");
    fc.assert(
      fc.property(changed, fc.nat({ max: 18 }), (what, at) => {
        const flip = (text: string) =>
          text.slice(0, at % text.length) +
          (text[at % text.length] === "1" ? "2" : "1") +
          text.slice((at % text.length) + 1);
        const given = headers();
        if (what === "id") given.id = flip(given.id);
        if (what === "timestamp") given.timestamp = flip(given.timestamp);
        const body = what === "body" ? Buffer.from(flip(vector.body)) : bytes;
        const keys = keysOf(what === "secret" ? `whsec_${flip(secret.slice(6))}` : secret);
        expect(signatureFits(keys, given, body)).toBe(false);
      }),
    );
  });
  it("is made and taken with either secret while one replaces the other", () => {
    const fresh = `whsec_${Buffer.alloc(24, 7).toString("base64")}`;
    const both = keysOf(`${fresh} ${secret}`);
    const made = signed(both, "pp_1", vector.at, "{}")["webhook-signature"];
    expect(made.split(" ")).toHaveLength(2);
    const given = { id: "pp_1", timestamp: "1614265330", signature: made };
    for (const one of [fresh, secret])
      expect(signatureFits(keysOf(one), given, Buffer.from("{}"))).toBe(true);
    expect(signatureFits(both, headers(), bytes)).toBe(true);
  });
  it("is HMAC-SHA-256 over id, time and body with full stops between, whatever they are", () => {
    const word = fc.stringMatching(/^[\w-]{1,40}$/);
    fc.assert(
      fc.property(word, fc.string(), fc.nat({ max: 2_000_000_000 }), (id, body, seconds) => {
        const [key = Buffer.alloc(0)] = keysOf(secret);
        const wanted = createHmac("sha256", key)
          .update(`${id}.${seconds}.${body}`)
          .digest("base64");
        const made = signed([key], id, instantOf(seconds * 1000 + 999), body);
        expect(made["webhook-signature"]).toBe(`v1,${wanted}`);
      }),
    );
  });
});

describe("the headers", () => {
  it("are right up to five minutes either way, and wrong after", () => {
    for (const [ms, right] of [
      [0, true],
      [windowMs, true],
      [-windowMs, true],
      [windowMs + 1, false],
      [-windowMs - 1, false],
    ] as const)
      expect(headersWrong(headers(), instantOf(vector.at + ms)) === undefined).toBe(right);
  });
  it("are wrong where one is missing or malformed, and say which", () => {
    for (const [more, named] of [
      [{ id: undefined }, "webhook-id"],
      [{ id: "" }, "webhook-id"],
      [{ id: "a.b" }, "webhook-id"],
      [{ timestamp: undefined }, "webhook-timestamp"],
      [{ timestamp: "hello" }, "webhook-timestamp"],
      [{ timestamp: "-1" }, "webhook-timestamp"],
      [{ timestamp: "1614265330.5" }, "webhook-timestamp"],
      [{ signature: undefined }, "webhook-signature"],
    ] as const)
      expect(headersWrong({ ...headers(), ...more }, vector.at)).toContain(named);
  });
});
