/**
 * Whatever is posted to whatever route, by whoever may: no 5xx, no step that fails, and the service still answers.
 * Half of RUNS are posted: 5,000 in .ci/run; RUNS=200000 for a hundred thousand.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { HireId } from "../../src/post.js";
import { failedArrivals } from "../../src/store/arrivals.js";
import { makeProgramToken } from "../../src/store/firm/program-tokens.js";
import { makeLink, openDeskSession } from "../../src/store/tokens.js";
import { description, type FakeBotApi, openFakeBotApi } from "../kit/fake-bot-api.js";
import { postSigned, providerSecret } from "../kit/provider.js";
import { scriptClock } from "../kit/small-house.js";
import { hostileText, update } from "../kit/updates.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";
import { rules, type Things } from "./rules.js";

const runs = Number(process.env["RUNS"] ?? 300);
const [updates, nothings, others] = [runs / 4, runs / 20, runs / 5].map(Math.ceil) as [
  number,
  number,
  number,
];
const timeout = 60_000 + runs * 500;
const secret = "s".repeat(32);
const clock = scriptClock();
const folder = mkdtempSync(join(tmpdir(), "passing-place-fuzz-"));
let service: WebHouse;
let api: FakeBotApi;
let van: string;
let desk: { token: string; csrf: string };
let program: string;
const a: Things = {
  hire: "h1",
  link: "A".repeat(22),
  calendar: "A".repeat(22),
  photo: "A".repeat(22),
  recordPhoto: "A".repeat(22),
  notice: "notice-of-a-1",
  registration: "SX26 ABC",
  words: 1,
};

beforeAll(async () => {
  api = await openFakeBotApi();
  const botId = "123456789";
  const bot = {
    botId,
    token: `${botId}:${"A".repeat(35)}`,
    secret,
    staff: { morag: "900" },
    apiRoot: api.root,
  };
  const target = { url: "http://127.0.0.1:9", secret: providerSecret, allowInternal: true };
  const settings = { databaseFile: ":memory:", photoFolder: folder, hook: target, gateway: target };
  service = await openWebHouse("curlew", ["Ann", "Ben"], { clock, bot, settings });
  const { db } = service.house;
  van = await makeLink(db, { hire: "h1" as HireId, person: "p1", kind: "cookie" }, clock.now());
  desk = await openDeskSession(db, "morag", clock.now());
  program = await makeProgramToken(db, { name: "B", contact: "morag" }, clock.now());
}, 120_000);
afterAll(async () => {
  await service?.close();
  await api?.close();
  rmSync(folder, { recursive: true, force: true });
});

/** All that was taken has had its turn, and no step of it failed. */
async function thought(): Promise<void> {
  for (let i = 0; i < runs * 10 + 1_000; i++) {
    const waiting = await service.house.db
      .selectFrom("arrivals")
      .select("seq")
      .where("state", "=", "waiting")
      .executeTakeFirst();
    if (!waiting) return settled();
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  expect.fail("what was taken has not had its turn");
}
async function settled(): Promise<void> {
  expect(await failedArrivals(service.house.db)).toEqual([]);
  expect((await fetch(`${service.url}/healthz`)).status).toBe(200);
}

const deep = fc.nat(5_000).map((n) => `${"[".repeat(n)}${"]".repeat(n)}`);
const kinds = fc.constantFrom(
  "application/json",
  "application/x-www-form-urlencoded",
  "application/json; charset=utf-16",
  "text/plain",
  "multipart/form-data; boundary=x",
  "image/jpeg",
  "application/octet-stream",
  "",
);
const raw = fc.oneof(
  fc.json(),
  deep,
  fc.string({ unit: "binary", maxLength: 200 }),
  fc.constantFrom(
    "",
    "null",
    "0",
    '"',
    "{}",
    "[]",
    "{",
    '{"csrf":{}}',
    '{"__proto__":{"csrf":1}}',
    "a=1&a=2&a[b]=3",
  ),
  fc.nat(40).map((n) => "x".repeat(n * 10_000)),
);

/** A body with the fields that the route knows, and anything in them. */
function near(fields: object): fc.Arbitrary<Record<string, unknown>> {
  const any = fc.oneof(
    { weight: 3, arbitrary: hostileText as fc.Arbitrary<unknown> },
    { weight: 1, arbitrary: fc.jsonValue() as fc.Arbitrary<unknown> },
    { weight: 1, arbitrary: fc.oneof(fc.integer(), fc.double()) as fc.Arbitrary<unknown> },
  );
  const wrong = Object.keys(fields).map((name) => fc.record({ name: fc.constant(name), any }));
  return fc
    .oneof(
      fc.constant([]),
      fc.tuple(...wrong).chain((all) => fc.subarray(all)),
      fc.tuple(...wrong).chain((all) => fc.subarray(all, { maxLength: Math.min(1, all.length) })),
    )
    .map((some) => ({
      ...fields,
      ...Object.fromEntries(some.map(({ name, any }) => [name, any])),
    }));
}

const posts = Object.entries(rules).filter(
  ([route, { who }]) =>
    /^(post|put|delete) /.test(route) && who !== "telegram" && route !== "post /desk/leave",
);
const oneOf = fc.constantFrom(...posts).chain(([route, rule]) =>
  fc.record({
    route: fc.constant(route),
    who: fc.constant(rule.who),
    path: fc.constant(rule.at?.(a) ?? route.slice(route.indexOf(" ") + 1)),
    query: fc.oneof(
      fc.constant(""),
      hostileText.map((t) => encodeURIComponent(t.toWellFormed().slice(0, 500))),
    ),
    kind: fc.oneof(
      {
        weight: 3,
        arbitrary: fc.constant(
          rule.form ? "application/x-www-form-urlencoded" : "application/json",
        ),
      },
      { weight: 1, arbitrary: kinds },
    ),
    body: fc.oneof(
      {
        weight: 2,
        arbitrary: near({ ...rule.form, ...rule.json }) as fc.Arbitrary<
          Record<string, unknown> | string
        >,
      },
      { weight: 1, arbitrary: raw as fc.Arbitrary<Record<string, unknown> | string> },
    ),
  }),
);

/** An object as its kind of body has it, with the page's word, so that the guard lets it through. */
function written(body: Record<string, unknown> | string, kind: string): string {
  if (typeof body === "string") return body;
  const whole = { csrf: desk.csrf, ...body };
  if (!kind.includes("urlencoded")) return JSON.stringify(whole);
  return Object.entries(whole)
    .map(
      ([name, value]) =>
        `${encodeURIComponent(name)}=${encodeURIComponent(String(value).toWellFormed())}`,
    )
    .join("&");
}

describe("whatever is posted", { timeout }, () => {
  it.skipIf(!description)(
    "by Telegram, as its description has it, is taken or refused",
    async () => {
      await fc.assert(
        fc.asyncProperty(update, async (one) => {
          const got = await fetch(`${service.url}/telegram/123456789`, {
            method: "POST",
            headers: {
              "content-type": "application/json",
              "x-telegram-bot-api-secret-token": secret,
            },
            body: JSON.stringify(one),
          });
          expect([200, 400, 413]).toContain(got.status);
          await got.arrayBuffer();
        }),
        { numRuns: updates },
      );
      await thought();
    },
  );

  it("by Telegram, as no description has it, is refused", async () => {
    await fc.assert(
      fc.asyncProperty(raw, kinds, async (body, kind) => {
        const got = await fetch(`${service.url}/telegram/123456789`, {
          method: "POST",
          headers: {
            ...(kind ? { "content-type": kind } : {}),
            "x-telegram-bot-api-secret-token": secret,
          },
          body: Buffer.from(body),
        });
        expect([400, 413, 415]).toContain(got.status);
        await got.arrayBuffer();
      }),
      { numRuns: nothings },
    );
    await thought();
  });

  it("by hirers, staff, providers and booking programs to every route is answered, and never with a 5xx", async () => {
    const answered: Record<string, number> = {};
    await fc.assert(
      fc.asyncProperty(oneOf, async ({ route, who, path, query, kind, body }) => {
        const text = written(body, kind);
        if (who === "signed") {
          const got = await postSigned(service.app, path, text, {}, clock.now());
          expect(got.status, route).toBeLessThan(500);
          return;
        }
        const join = path.includes("?") ? "&" : "?";
        const got = await fetch(
          `${service.url}${path}${query ? `${join}q=${query}&${query}` : ""}`,
          {
            method: route.slice(0, route.indexOf(" ")).toUpperCase(),
            redirect: "manual",
            headers: {
              ...(kind ? { "content-type": kind } : {}),
              ...(who === "program"
                ? { authorization: `Bearer ${program}` }
                : { cookie: `van=${van}; desk=${desk.token}`, "x-csrf": desk.csrf }),
            },
            body: Buffer.from(text),
          },
        );
        await got.arrayBuffer();
        expect(got.status, route).toBeLessThan(500);
        if (got.status < 400) answered[route] = (answered[route] ?? 0) + 1;
      }),
      { numRuns: others },
    );
    await thought();
    // Control: what is let through is enough to matter.
    expect(Object.keys(answered).length).toBeGreaterThan(posts.length / 4);
  });
});
