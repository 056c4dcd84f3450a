/** Every route of the service, from the router's own list, with every wrong identity: nothing leaks, nothing acts. */
import { request as httpRequest, type IncomingHttpHeaders } from "node:http";
import { sql } from "kysely";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { after } from "../../src/calendar.js";
import { neededFor, type Right } from "../../src/desk/accounts/rights.js";
import type { HireId } from "../../src/post.js";
import { makeProgramToken } from "../../src/store/firm/program-tokens.js";
import { makeAccount } from "../../src/store/staff/accounts.js";
import { makeLink, newCalendarLink, newLink, openDeskSession } from "../../src/store/tokens.js";
import { plainPhoto } from "../kit/desk.js";
import { book } from "../kit/hire.js";
import { providerSecret } from "../kit/provider.js";
import { booking, noon, scriptClock } from "../kit/small-house.js";
import { deskPassword, openWebHouse, type WebHouse } from "../kit/web-house.js";
import { type Rule, rules, type Things } from "./rules.js";

/** What nobody but hire A and staff may read. */
const marked = ["Annabelmarked", "wordsmarked", "noticemarked", "07700 900501", "Stonemarked"];

type Answer = { status: number; headers: IncomingHttpHeaders; body: string };
type Identity = { cookie?: string; headers?: Record<string, string>; csrf?: string };
let service: WebHouse;
let photo: Buffer;
let a: Things;
const cookies: Record<string, string> = {};
const clock = scriptClock();

/** One request as it is given, without a browser's help; of a stream the first words. */
function ask(method: string, path: string, who: Identity, rule?: Rule): Promise<Answer> {
  const csrf = who.csrf === undefined ? {} : { csrf: who.csrf };
  const [type, body] =
    method !== "post" && method !== "put"
      ? []
      : rule?.bytes
        ? ["application/octet-stream", photo]
        : rule?.json
          ? ["application/json", JSON.stringify({ ...csrf, ...rule.json })]
          : [
              "application/x-www-form-urlencoded",
              new URLSearchParams({ ...csrf, ...rule?.form }).toString(),
            ];
  return new Promise((done, fail) => {
    const sent = httpRequest(`${service.url}${path}`, {
      method: method === "every" ? "PATCH" : method.toUpperCase(),
      headers: {
        accept: "text/html, application/json",
        ...(type ? { "content-type": type } : {}),
        ...(who.cookie ? { cookie: who.cookie } : {}),
        ...(who.csrf ? { "x-csrf": who.csrf } : {}),
        ...who.headers,
      },
    });
    sent.on("error", fail);
    sent.on("response", (got) => {
      let text = "";
      const answer = () => done({ status: got.statusCode ?? 0, headers: got.headers, body: text });
      got.setEncoding("utf8").on("data", (some: string) => {
        text += some;
        if (!String(got.headers["content-type"]).startsWith("text/event-stream")) return;
        // After the greeting come at once the events that the page has missed.
        if (text.includes("data:"))
          setTimeout(() => {
            answer();
            sent.destroy();
          }, 50);
      });
      got.on("end", answer);
    });
    sent.end(body);
  });
}

type Layer = {
  slash: boolean;
  route?: { path: string | RegExp; stack: { method?: string }[] };
  handle?: { stack?: Layer[] };
};
/** Every route, as "method path"; a router that hangs under a path of its own would hide part of it. */
function routesOf(stack: readonly Layer[]): string[] {
  return stack.flatMap(({ route, handle, slash }) => {
    if (route) {
      const methods = new Set(route.stack.map(({ method }) => method ?? "every"));
      return [...methods].map((method) => `${method} ${String(route.path)}`);
    }
    if (!handle?.stack) return [];
    return slash ? routesOf(handle.stack) : ["a router under a path of its own"];
  });
}
const listed = (): string[] =>
  routesOf((service.app as unknown as { router: { stack: Layer[] } }).router.stack);

/** Every row of every table but signs of life, and those left out; of one hire's only, where it is named. */
async function rows(only?: string, leftOut: readonly string[] = []): Promise<string> {
  const { db } = service.house;
  const tables = await sql<{
    name: string;
  }>`select name from sqlite_master where type = 'table' order by name`.execute(db);
  const all: string[] = [];
  for (const { name } of tables.rows) {
    // Who tried to sign in is written down, whether or not they may.
    if (["instances", "sign_ins", ...leftOut].includes(name) || name.startsWith("sqlite_"))
      continue;
    const found = await sql<Record<string, unknown>>`select * from ${sql.table(name)}`.execute(db);
    for (const { seen_at: _, ...row } of found.rows) {
      const ofHire = row["hire"] === only || row["lane"] === `hire:${only}` || row["id"] === only;
      // That somebody was refused is written down; that they did something must not be.
      if (row["what"] === "sign-in refused") continue;
      if (only === undefined || ofHire) all.push(`${name} ${JSON.stringify(row)}`);
    }
  }
  return all.sort().join("\n");
}

/** Waits until all that was filed has had its turn. */
async function settled(): Promise<void> {
  for (let i = 0; i < 1_000; i++) {
    const waiting = await service.house.db
      .selectFrom("arrivals")
      .select("seq")
      .where("state", "=", "waiting")
      .executeTakeFirst();
    if (!waiting) return;
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
  throw new Error("turns do not come to an end");
}

const cookieOf = (got: Answer): string => got.headers["set-cookie"]?.[0]?.split(";")[0] ?? "";
const enterBy = async (token: string) => cookieOf(await ask("post", `/h/${token}`, {}));
const staff = async (contact = "morag"): Promise<Identity> => {
  const { token, csrf } = await openDeskSession(service.house.db, contact, clock.now());
  return { cookie: `desk=${token}`, csrf };
};

async function makeThings(): Promise<void> {
  const { house } = service;
  const hire = "h1" as HireId;
  const [ann = "", ben = ""] = service.links.map((link) => link.split("/").at(-1) ?? "");
  cookies["ann"] = await enterBy(ann);
  cookies["ben"] = await enterBy(ben);
  const { links } = await house.makeHire(
    booking("h2", {
      people: [{ id: "p1", name: "Cat", booker: true, phone: "07700 900503" }],
      van: { registration: "SX26 CAT", type: "wren" },
    }),
  );
  await settled();
  cookies["cat"] = await enterBy(links[0]?.token ?? "");
  const who = { cookie: cookies["ann"] };
  const form = { id: "m1", text: "wordsmarked: where is the spare wheel" };
  expect((await ask("post", "/chat/say", who, { who: "hirer", json: form })).status).toBe(200);
  await ask("post", "/chat/photo?id=photo", who, { who: "hirer", bytes: true });
  const notice = { id: "notice-of-a-1", title: "noticemarked", text: "noticemarked", by: "morag" };
  await house.makeNotice({ ...notice, to: {}, joiners: false }, { chosen: [hire], shown: [hire] });
  await settled();
  const desk = await staff();
  const recordPhoto = "AAAAAAAAAAAAAAAAAAAAAA";
  const side = `/desk/hires/h1/pickup/photo?id=${recordPhoto}&side=front`;
  expect((await ask("post", side, desk, { who: "staff", bytes: true })).status).toBe(200);
  const events = await house.db
    .selectFrom("events")
    .select(["n", "kind", "text", "more"])
    .execute();
  const more = events.map((e) => JSON.parse(e.more) as { file?: { id: string } });
  a = {
    hire,
    recordPhoto,
    registration: "SX26 ABC",
    link: await makeLink(house.db, { hire, person: "p1", kind: "chat" }, clock.now()),
    calendar: await newCalendarLink(house.db, hire, "p1", clock.now()),
    photo: more.find((m) => m.file)?.file?.id ?? "",
    notice: notice.id,
    words: events.find((e) => e.kind === "in" && e.text.startsWith("wordsmarked"))?.n ?? 0,
  };
}

/** Every way of being the wrong one: strangers, sessions that ended, tokens that open something else. */
async function makeStrangers(): Promise<Record<string, Identity>> {
  const { db } = service.house;
  const now = clock.now();
  const of = (kind: "chat" | "cookie" | "calendar", hire = "h1") =>
    makeLink(db, { hire: hire as HireId, person: "p1", kind }, now);
  const revoked = await of("cookie", "h3");
  await newLink(db, "h3" as HireId, "p1", now);
  const ended = await of("cookie", "h4");
  const back = { return_record_at: after(now, -60 * 24 * 60), pickup_at: 1, return_at: 2 };
  const van = { registration: "SX26 OLD", van_type: "wren", zone: "Europe/London", region: "gb" };
  await db
    .insertInto("hires")
    .values({
      id: "h4",
      lane: "hire:h4",
      surname: "Old",
      booker: "Old",
      status: "booked",
      ...van,
      ...back,
    })
    .execute();
  const state = await db
    .selectFrom("lanes")
    .select("state")
    .where("lane", "=", "hire:h2")
    .executeTakeFirstOrThrow();
  for (const hire of ["h3", "h4"])
    await db
      .insertInto("lanes")
      .values({
        lane: `hire:${hire}`,
        version: 1,
        state: state.state.replaceAll('"h2"', `"${hire}"`),
      })
      .execute();
  const left = await openDeskSession(db, "morag", now);
  await ask("post", "/desk/leave", { cookie: `desk=${left.token}`, csrf: left.csrf });
  const stale = await openDeskSession(db, "morag", after(now, -15 * 60));
  const desk = await openDeskSession(db, "morag", now);
  const cookie = await of("cookie");
  return {
    nobody: {},
    "a revoked cookie": { cookie: `van=${revoked}` },
    "the cookie of a hire that ended long ago": { cookie: `van=${ended}` },
    "a chat link as a cookie": { cookie: `van=${a.link}` },
    "a calendar link as a cookie": { cookie: `van=${a.calendar}` },
    "a hirer's cookie as a desk session": { cookie: `desk=${cookie}` },
    "a desk session as a hirer's cookie": { cookie: `van=${desk.token}` },
    "a session that signed out": { cookie: `desk=${left.token}`, csrf: left.csrf },
    "a session not seen since yesterday": { cookie: `desk=${stale.token}`, csrf: stale.csrf },
    "an empty cookie": { cookie: "van=; desk=" },
    "a made-up cookie": { cookie: `van=${"A".repeat(22)}; desk=${"A".repeat(22)}` },
    "a program's guess": { headers: { authorization: `Bearer pp_${"A".repeat(22)}` } },
    "a link as a program's token": { headers: { authorization: `Bearer ${a.link}` } },
    "a provider's guess": { headers: { "webhook-id": "1", "webhook-signature": "v1,AAAA" } },
    "a wrong secret": { headers: { "x-telegram-bot-api-secret-token": "s".repeat(31) } },
  };
}

/** All that a firm may keep for its managers. */
const managerOnly: Right[] = [
  ...(["accounts", "trail", "erase", "tokens", "roster", "release", "wordings"] as const),
];
/** An address in other writings, which a router may take for the same one. */
function writings(address: string): string[] {
  const [path = "", query] = address.split("?");
  const encoded = (at: number) =>
    `${path.slice(0, at)}%${path.charCodeAt(at).toString(16)}${path.slice(at + 1)}`;
  return [
    path,
    `${path}/`,
    `${path}//`,
    `/${path}`,
    path.replaceAll("/", "//"),
    path.replace("/desk", "/Desk"),
    path.toUpperCase(),
    ...[1, path.lastIndexOf("/") + 1, path.length - 1].map(encoded),
  ].map((one) => (query === undefined ? one : `${one}?${query}`));
}

const pathOf = (route: string): string => rules[route]?.at?.(a) ?? (route.split(" ")[1] as string);
const methodOf = (route: string): string => route.split(" ")[0] as string;
const routesFor = (...who: Rule["who"][]): [string, Rule][] =>
  Object.entries(rules).filter(([, rule]) => who.includes(rule.who));

function tellsNothing(got: Answer, of: string): void {
  const told = got.body + JSON.stringify(got.headers);
  for (const word of [...marked, a.link, a.calendar, a.photo])
    expect(told.includes(word), `${of} tells "${word}"`).toBe(false);
  expect(got.status, of).toBeLessThan(500);
}

beforeAll(async () => {
  const target = { url: "http://127.0.0.1:9", secret: providerSecret, allowInternal: true };
  const bot = {
    botId: "123456789",
    token: `123456789:${"A".repeat(35)}`,
    secret: "s".repeat(32),
    staff: {},
    apiRoot: "http://127.0.0.1:9",
  };
  photo = await plainPhoto();
  clock.moveTo(noon);
  service = await openWebHouse("curlew", ["Annabelmarked", "Ben"], {
    book: { ...book, firm: { ...book.firm, managerOnly } },
    clock,
    bot,
    settings: { hook: target, gateway: target },
    surname: "Stonemarked",
    phone: "07700 900501",
  });
  await settled();
  await makeThings();
}, 120_000);
afterAll(() => service?.close());

describe("every route", { timeout: 120_000 }, () => {
  it("has a rule, and no rule stands for a route that is not there", () => {
    const routes = listed();
    expect(routes.length).toBeGreaterThan(50);
    expect([...new Set(routes)].sort()).toEqual(Object.keys(rules).sort());
  });

  it("tells and does nothing for whoever is nobody, was somebody, or is somebody else elsewhere", async () => {
    const strangers = await makeStrangers();
    await settled();
    const before = await rows();
    for (const [route, rule] of routesFor("hirer", "staff", "signed", "telegram", "program"))
      for (const [name, who] of Object.entries(strangers)) {
        const got = await ask(methodOf(route), pathOf(route), who, rule);
        const of = `${route} for ${name}`;
        tellsNothing(got, of);
        // A page of the desk is answered with the page to sign in, in its place.
        const signIn = got.status === 200 && got.body.includes('name="password"');
        const refused = [401, 403, 404].includes(got.status);
        expect(
          refused || (rule.who === "staff" && methodOf(route) === "get" && signIn),
          `${of}: ${got.status}`,
        ).toBe(true);
      }
    await settled();
    expect(await rows()).toBe(before);
  });

  it("of the desk tells and does nothing for the cookies of hirers", async () => {
    const before = await rows();
    for (const [route, rule] of routesFor("staff"))
      for (const name of ["ann", "ben", "cat"]) {
        const got = await ask(
          methodOf(route),
          pathOf(route),
          { cookie: cookies[name] ?? "" },
          rule,
        );
        tellsNothing(got, `${route} for ${name}`);
        expect(got.body.includes('name="password"') || got.status >= 400, route).toBe(true);
      }
    await settled();
    expect(await rows()).toBe(before);
  });

  it("of hirers shows and does nothing of hire A for hire B, and nothing of Ann's for Ben", async () => {
    const before = await rows("h1");
    for (const [route, rule] of routesFor("hirer")) {
      const got = await ask(methodOf(route), pathOf(route), { cookie: cookies["cat"] ?? "" }, rule);
      tellsNothing(got, `${route} for hire B`);
      if (rule.absent) expect(got.status, route).toBe(404);
    }
    await settled();
    expect(await rows("h1")).toBe(before);
    for (const [route, rule] of routesFor("hirer").filter(([r]) => methodOf(r) === "get")) {
      const got = await ask("get", pathOf(route), { cookie: cookies["ben"] ?? "" }, rule);
      for (const word of ["wordsmarked", a.photo])
        expect(got.body.includes(word), route).toBe(false);
      if (rule.absent) expect(got.status, route).toBe(404);
    }
  });

  it("opens by no link of another kind, and by no link that was replaced", async () => {
    const { db } = service.house;
    const cookie = await makeLink(db, { hire: "h1" as HireId, person: "p1", kind: "cookie" }, noon);
    const replaced = await makeLink(
      db,
      { hire: "h5" as HireId, person: "p1", kind: "calendar" },
      noon,
    );
    await newLink(db, "h5" as HireId, "p1", noon);
    const before = await rows();
    for (const [method, path] of [
      ["get", `/h/${a.calendar}`],
      ["post", `/h/${a.calendar}`],
      ["post", `/h/${cookie}`],
      ["post", `/h/${"A".repeat(22)}`],
      ["get", `/calendar/${a.link}.ics`],
      ["get", `/calendar/${cookie}.ics`],
      ["get", `/calendar/${replaced}.ics`],
    ] as const) {
      const got = await ask(method, path, {});
      expect(got.status, path).toBe(404);
      expect(got.headers["set-cookie"]).toBeUndefined();
      for (const word of marked) expect(got.body).not.toContain(word);
    }
    expect(await rows()).toBe(before);
  });

  it("that posts does nothing for a page of another site, with whatever cookie", async () => {
    const desk = await staff();
    const before = await rows();
    const elsewhere: Record<string, string>[] = [
      { "sec-fetch-site": "cross-site", origin: "https://elsewhere.example" },
      { "sec-fetch-site": "same-site", origin: "http://other.127.0.0.1" },
      { origin: "https://elsewhere.example" },
      { origin: "null" },
      { origin: "" },
    ];
    for (const [route, rule] of routesFor("hirer", "staff", "link", "anybody"))
      for (const headers of methodOf(route) === "post" ? elsewhere : []) {
        const who = rule.who === "staff" ? desk : { cookie: cookies["ann"] ?? "" };
        const got = await ask("post", pathOf(route), { ...who, headers }, rule);
        expect(got.status, `${route} from ${JSON.stringify(headers)}`).toBe(403);
        expect(got.headers["set-cookie"]).toBeUndefined();
      }
    // Signed in, from our own page, but without its word.
    for (const [route, rule] of routesFor("staff"))
      if (methodOf(route) === "post")
        for (const csrf of [undefined, "", "A".repeat(22)]) {
          const got = await ask(
            "post",
            pathOf(route),
            { cookie: desk.cookie ?? "", ...(csrf === undefined ? {} : { csrf }) },
            rule,
          );
          expect(got.status, `${route} with the word ${csrf}`).toBe(403);
        }
    await settled();
    expect(await rows()).toBe(before);
  });

  it("that is a manager's is shut to duty staff, however its address and its act are written", async () => {
    const who = { role: "duty", hash: "none", madeAt: clock.now(), madeBy: "morag" } as const;
    await makeAccount(service.house.db, { contact: "isla", ...who });
    const duty = await staff("isla");
    const release: [string, Rule] = [
      "post /desk/vans/:registration",
      {
        who: "staff",
        form: { id: "release-1", do: " release\t", reason: "x", covers: "return:h1" },
      },
    ];
    const kept = [...routesFor("staff"), release].flatMap(([route, rule]) => {
      const [method = "", path = ""] = route.split(" ");
      const right = neededFor(method.toUpperCase(), path, rule.form?.["do"]?.trim() ?? "");
      return right ? [{ route, rule, right }] : [];
    });
    expect([...new Set(kept.map(({ right }) => right))].sort()).toEqual([...managerOnly].sort());
    const before = await rows();
    for (const { route, rule } of kept)
      for (const path of writings(pathOf(route))) {
        const got = await ask(methodOf(route), path, duty, rule);
        expect([403, 404], `${route} as ${path}: ${got.status}`).toContain(got.status);
        expect(got.body.includes('action="/desk/accounts"'), path).toBe(false);
      }
    await settled();
    expect(await rows()).toBe(before);
  });

  it("lets nobody sign in with a wrong password, another's hash, or as nobody", async () => {
    const before = await rows();
    for (const form of [
      { contact: "morag", password: "" },
      { contact: "__proto__", password: deskPassword },
      { contact: "isla", password: deskPassword },
      { contact: "", password: "nobody has this password" },
    ]) {
      const got = await ask("post", "/desk/enter", {}, { who: "anybody", form });
      expect([401, 429]).toContain(got.status);
      expect(got.headers["set-cookie"]).toBeUndefined();
    }
    expect(await rows()).toBe(before);
  });

  it("lets in whoever may, and does for them what it did for nobody else", async () => {
    const desk = await staff();
    const token = await makeProgramToken(service.house.db, { name: "B", contact: "morag" }, noon);
    const program = { headers: { authorization: `Bearer ${token}` } };
    const push = rules["put /api/hires/:reference"];
    if (push) await ask("put", "/api/hires/B-0", program, push);
    for (const [route, rule] of routesFor("anybody", "link", "hirer", "staff", "program")) {
      if (route === "post /desk/enter") continue;
      await settled();
      // What staff do is written down before it is done: that is no sign that it was.
      const before = await rows(undefined, ["trail"]);
      const own = { "sec-fetch-site": "same-origin" };
      const page = rule.who === "staff" ? desk : { cookie: cookies["ann"] ?? "" };
      const who = rule.who === "program" ? program : { ...page, headers: own };
      const got = await ask(methodOf(route), pathOf(route), who, rule);
      expect([401, 403, 404, 429], `${route}: ${got.status}`).not.toContain(got.status);
      expect(got.body.includes('name="password"'), route).toBe(false);
      await settled();
      if (methodOf(route) !== "get" && !rule.looks)
        expect(await rows(undefined, ["trail"]), `${route}: ${got.status}`).not.toBe(before);
    }
  });
});
