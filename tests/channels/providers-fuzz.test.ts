/** Whatever is posted to the routes of the providers, signed or not: never a 5xx, and stored only where it says 200. */
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openProvider, type Provider, postSigned } from "../kit/provider.js";
import { openProviderHouse, type ProviderHouse } from "../kit/provider-house.js";

/** RUNS=10000 for a long night. */
const numRuns = Number(process.env["RUNS"] ?? 300);
const paths = ["/hook/answers", "/gateway/messages", "/gateway/failures"] as const;

let provider: Provider;
let on: ProviderHouse;
beforeAll(async () => {
  provider = await openProvider();
  on = await openProviderHouse(provider.url);
});
afterAll(async () => {
  await on.close();
  await provider.close();
});

const near = {
  id: fc.oneof(fc.constantFrom("a", "pp_1", "", "x y"), fc.string()),
  type: fc.constantFrom("answer", "alert", ""),
  did: fc.oneof(fc.constantFrom("take", "read", "failed"), fc.string()),
  hire: fc.oneof(fc.constantFrom("h1", "h2", "__proto__", ""), fc.string()),
  callout: fc.oneof(fc.integer({ min: -2, max: 5 }), fc.double(), fc.constant(2 ** 53)),
  contact: fc.oneof(fc.constantFrom("isla", "morag", "roadside", "constructor", "__proto__")),
  why: fc.oneof(fc.constantFrom("no-answer", "busy"), fc.string()),
  from: fc.oneof(fc.constantFrom("+447700900500", "07700 900500", "+1", ""), fc.string()),
  to: fc.oneof(fc.constantFrom("+447700900500", "07700 900500"), fc.string()),
  text: fc.oneof(
    fc.constantFrom("say hello", "danger", "1", "throw", "/h/AAAAAAAAAAAAAAAAAAAAAA"),
    fc.string({ unit: "binary" }),
  ),
  writtenAt: fc.oneof(fc.constantFrom("2026-06-03T12:00:00Z", "0000-01-01T00:00:00Z"), fc.string()),
  media: fc.array(
    fc.oneof(
      fc.record({ base64: fc.base64String({ maxLength: 40 }) }),
      fc.record({ url: fc.constantFrom("http://127.0.0.1:9/", "file:///etc/passwd", "x") }),
      fc.jsonValue(),
    ),
    { maxLength: 5 },
  ),
};
const body = fc.oneof(
  { weight: 4, arbitrary: fc.record(near, { requiredKeys: [] }).map((o) => JSON.stringify(o)) },
  { weight: 1, arbitrary: fc.json() },
  { weight: 1, arbitrary: fc.string({ unit: "binary" }) },
);
const header = fc.stringMatching(/^[\x20-\x7e]{0,60}$/);

describe("whatever is posted", () => {
  it("signed rightly is answered 200 or 4xx with what is wrong, and never lost or stored twice", {
    timeout: 600_000,
  }, async () => {
    await fc.assert(
      fc.asyncProperty(fc.constantFrom(...paths), body, async (path, raw) => {
        const before = (await on.filed()).length;
        const got = await postSigned(on.app, path, raw, {}, on.clock.now());
        expect(got.status).toBeLessThan(500);
        if (got.status === 200) expect(got.body).toEqual({ ok: true });
        else expect(got.body.error).toEqual(expect.stringMatching(/./));
        const after = (await on.filed()).length;
        if (got.status !== 200) expect(after).toBe(before);
        await postSigned(on.app, path, raw, {}, on.clock.now());
        expect((await on.filed()).length).toBe(after);
      }),
      { numRuns },
    );
    await on.house.runUntilIdle();
  });

  it("not signed rightly is answered 401, whatever its headers", { timeout: 600_000 }, async () => {
    const before = (await on.filed()).length;
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...paths),
        body,
        header,
        header,
        header,
        async (path, raw, id, at, signature) => {
          const more = {
            "webhook-id": id,
            "webhook-timestamp": at,
            "webhook-signature": signature,
          };
          const got = await postSigned(on.app, path, raw, more, on.clock.now());
          expect(got.status).toBe(401);
        },
      ),
      { numRuns },
    );
    expect((await on.filed()).length).toBe(before);
  });
});
