/** Accounts at the desk over HTTP: made, used, limited and ended, with who did what. */
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { instantOf } from "../../src/calendar.js";
import { surePage } from "../../src/desk/accounts/page.js";
import { hashPassword } from "../../src/desk/signin.js";
import type { LaneId } from "../../src/post.js";
import { accountOf, makeAccount } from "../../src/store/staff/accounts.js";
import { openDeskSession } from "../../src/store/tokens.js";
import { type DeskVisitor, enterDesk } from "../kit/desk.js";
import { book } from "../kit/hire.js";
import { deskPassword, openWebHouse, type WebHouse } from "../kit/web-house.js";

let service: WebHouse;
let morag: DeskVisitor;
beforeAll(async () => {
  const settings = { trustedProxies: ["10.0.0.5"] };
  service = await openWebHouse("curlew", ["Ann"], { settings });
  morag = await enterDesk(service.url);
}, 60_000);
afterAll(() => service?.close());

const enter = (contact: string, password: string) =>
  request(service.url).post("/desk/enter").type("form").send({ contact, password });
const manage = (body: Record<string, string>) => morag.post("/desk/accounts", body);
const shown = (text: string) => /<code>([a-z2-9-]{19})<\/code>/.exec(text)?.[1] ?? "";
/** A visitor with a session that was opened without a password. */
async function signedIn(contact: string): Promise<DeskVisitor> {
  const { house, url } = service;
  const { token, csrf } = await openDeskSession(house.db, contact, house.clock.now());
  const cookie = `desk=${token}`;
  const get = (path: string) =>
    request(url).get(path).set("Cookie", cookie).set("Accept", "text/html");
  const post = (path: string, body: Record<string, string | string[]>) =>
    request(url)
      .post(path)
      .set("Cookie", cookie)
      .set("Accept", "text/html")
      .type("form")
      .send({ csrf, ...body });
  return { csrf, get, post } as DeskVisitor;
}

describe("before an account is ended", () => {
  const of = { lane: "hire:h1" as LaneId, severity: "note", registration: "SX26 ABC" } as const;
  const open = [
    { ...of, n: 1, title: "Lost property", with: "isla" },
    { ...of, n: 2, title: "The awning", with: "callum" },
  ];
  const who = { contact: "morag", name: "Morag", csrf: "c", role: "manager" } as const;
  const view = { firm: book.firm, who: { ...who, may: () => true, waits: [] }, id: () => "f" };
  const page = (act: "end" | "password", contact: string) =>
    surePage(act, contact, open, { ...view, now: instantOf(0) }).toString();
  it("the open matters of whoever is to go are named, and only then", () => {
    expect(page("end", "isla")).toMatch(/Isla still has .*Lost property.* \(SX26 ABC\)\. Have/);
    expect(page("end", "isla")).not.toContain("awning");
    expect(page("end", "morag")).not.toContain("still has");
    expect(page("password", "isla")).not.toContain("still has");
  });
});

describe("accounts", { timeout: 60_000 }, () => {
  let isla = "";
  it("the settings' passwords make managers, kept as hashes alone", async () => {
    const account = await accountOf(service.house.db, "morag");
    expect(account).toMatchObject({ role: "manager", madeBy: "settings" });
    expect(account?.hash).toMatch(/^\$scrypt\$/);
    expect(account?.hash).not.toContain(deskPassword);
  });

  it("a manager makes one with a password that is shown once, and its owner signs in and changes it", async () => {
    const form = { do: "make", contact: "isla", role: "duty", id: "account-clicked-twice" };
    const made = await manage(form);
    // A double click shows the same password again.
    const again = await manage(form);
    expect([made.status, again.status]).toEqual([201, 201]);
    isla = shown(made.text);
    expect(shown(again.text)).toBe(isla);
    expect((await morag.get("/desk/accounts")).text).not.toContain(isla);
    expect((await manage({ do: "make", contact: "isla", role: "duty" })).status).toBe(409);
    const entered = await enter("isla", isla);
    expect(entered.status).toBe(303);
    const cookie = String(entered.headers["set-cookie"]?.[0]).split(";")[0] ?? "";
    const ask = (path: string) =>
      request(service.url).get(path).set("Cookie", cookie).set("Accept", "text/html");
    const csrf = /name="csrf" value="([^"]+)"/.exec((await ask("/desk/password")).text)?.[1] ?? "";
    const change = (body: Record<string, string>) =>
      request(service.url)
        .post("/desk/password")
        .set("Cookie", cookie)
        .type("form")
        .send({ csrf, ...body });
    const fresh = "five plain words of mine";
    for (const [body, why] of [
      [{ old: isla, fresh, again: "another one here" }, "not the same"],
      [{ old: isla, fresh: "short", again: "short" }, "at least 10"],
      [{ old: "wrong", fresh, again: fresh }, "present one is not right"],
    ] as const)
      expect((await change(body)).text, why).toContain(why);
    expect((await change({ old: isla, fresh, again: fresh })).status).toBe(303);
    expect((await ask("/desk")).text).toContain("Password");
    expect((await enter("isla", isla)).status).toBe(401);
    expect((await enter("isla", fresh)).status).toBe(303);
    isla = fresh;
  });

  it("duty staff see and do nothing of what is the managers'", async () => {
    const duty = await signedIn("isla");
    expect((await duty.get("/desk")).text).not.toContain("/desk/accounts");
    for (const path of ["/desk/accounts", "/desk/trail", "/desk/trail.csv"]) {
      const { status, text } = await duty.get(path);
      expect(status, path).toBe(403);
      expect(text).toContain("Only a manager");
    }
    const tried = await duty.post("/desk/accounts", { do: "manager", contact: "isla" });
    expect(tried.status).toBe(403);
    expect((await accountOf(service.house.db, "isla"))?.role).toBe("duty");
    expect((await duty.get("/desk/wordings")).status).toBe(200);
  });

  it("asks before it changes or ends an account; what is not known is not asked", async () => {
    const list = (await morag.get("/desk/accounts")).text;
    expect(list).not.toMatch(/<button[^>]*value="(end|duty|password|manager)"/);
    const way = /href="([^"]+do=end)" aria-label="End the account: Isla"/.exec(list)?.[1] ?? "";
    const { status, text } = await morag.get(way.replaceAll("&amp;", "&"));
    expect(status).toBe(200);
    expect(text).toContain("Isla can then no longer sign in. Isla is signed out everywhere now.");
    expect(text).toContain('<button class="main" name="do" value="end">');
    expect((await enter("isla", isla)).status).toBe(303);
    for (const unknown of ["contact=isla&do=toString", "contact=roadside&do=end", ""])
      expect((await morag.get(`/desk/accounts/sure?${unknown}`)).status).toBe(404);
  });

  it("an ended account is signed out at once, and gone from the sign-in page", async () => {
    const duty = await signedIn("isla");
    expect((await duty.get("/desk/hires")).text).toContain("Sign out");
    expect((await manage({ do: "end", contact: "isla" })).status).toBe(303);
    expect((await duty.get("/desk/hires")).text).toContain("Password");
    expect((await enter("isla", isla)).status).toBe(401);
    const page = await request(service.url).get("/desk").set("Accept", "text/html");
    expect(page.text).not.toContain('value="isla"');
    expect(page.text).toContain('value="morag"');
  });

  it("who is no contact with the desk any more comes in no more, and a manager can end the account", async () => {
    const { house, url } = service;
    const hash = await hashPassword(deskPassword);
    const gone = { role: "manager", hash, madeAt: house.clock.now(), madeBy: "morag" } as const;
    // "lark" is not in firm.yaml; "roadside" is, without the desk.
    for (const contact of ["lark", "roadside"]) {
      await makeAccount(house.db, { contact, ...gone });
      const visitor = await signedIn(contact);
      expect((await visitor.get("/desk")).text, contact).toContain("Password");
      const taken = await visitor.post("/desk/act", { do: "note", hire: "h1", note: "x" });
      expect(taken.status).toBe(401);
      expect((await enter(contact, deskPassword)).status).toBe(401);
      const door = await request(url).get("/desk").set("Accept", "text/html");
      expect(door.text).not.toContain(`value="${contact}"`);
      const list = (await morag.get("/desk/accounts")).text;
      expect(list).toContain("no contact with the desk any more");
      expect(list).toContain(`contact=${contact}&amp;do=end`.replace("&amp;", "&"));
      expect(list).not.toContain(`contact=${contact}&do=password`);
      expect((await manage({ do: "password", contact })).status).toBe(400);
    }
    expect((await manage({ do: "end", contact: "roadside" })).status).toBe(303);
    expect(await accountOf(house.db, "roadside")).toBeUndefined();
  });

  it("the only manager who comes in cannot be ended, nor made duty staff", async () => {
    // Lark's account is a manager's still, and nobody's.
    expect((await accountOf(service.house.db, "lark"))?.role).toBe("manager");
    expect((await manage({ do: "duty", contact: "callum" })).status).toBe(303);
    for (const does of ["end", "duty"]) {
      const { status, text } = await manage({ do: does, contact: "morag" });
      expect(status).toBe(409);
      expect(text).toContain("only manager");
    }
    expect((await morag.get("/desk")).text).toContain("Sign out");
    expect((await manage({ do: "fly", contact: "morag" })).status).toBe(400);
    expect((await manage({ do: "end", contact: "roadside" })).status).toBe(400);
    expect((await manage({ do: "end", contact: "lark" })).status).toBe(303);
  });

  it("wrong passwords make an account wait, and nobody else", async () => {
    const wrong: number[] = [];
    for (let n = 0; n < 6; n++) wrong.push((await enter("callum", `wrong ${n}`)).status);
    expect(wrong).toEqual([401, 401, 401, 401, 401, 429]);
    const waits = await enter("callum", deskPassword);
    expect(waits.status).toBe(429);
    expect(Number(waits.headers["retry-after"])).toBeGreaterThan(0);
    expect(waits.text).toContain("Too many wrong passwords");
    expect((await enter("morag", deskPassword)).status).toBe(303);
  });

  it("behind a proxy of another machine a stranger's wrong passwords keep nobody else waiting", async () => {
    const from = (visitor: string, password: string) =>
      enter("callum", password).set("X-Forwarded-For", `${visitor}, 10.0.0.5`);
    for (let n = 0; n < 5; n++) expect((await from("203.0.113.9", "wrong")).status).toBe(401);
    expect((await from("203.0.113.9", deskPassword)).status).toBe(429);
    expect((await from("203.0.113.10", deskPassword)).status).toBe(303);
  });

  it("a flood of tries from one place waits at the door", async () => {
    const all = await Promise.all(
      Array.from({ length: 12 }, (_, n) => enter("morag", n === 0 ? deskPassword : `flood ${n}`)),
    );
    const by = (status: number) => all.filter((a) => a.status === status).length;
    expect(by(429)).toBeGreaterThanOrEqual(4);
    expect(by(303) + by(401) + by(429)).toBe(12);
  });

  it("who did what stands on the trail, however the address was written", async () => {
    const made = (await morag.get("/desk/trail")).text.split("act note").length;
    for (const path of ["/desk/act/", "/Desk/Act", "/DESK/ACT/"])
      await morag.post(path, { do: "note", hire: "h1", note: "a word" });
    expect((await morag.get("/desk/trail")).text.split("act note").length).toBe(made + 3);
  });

  it("who did what stands on the trail, with a filter and as CSV; no password does", async () => {
    await morag.post("/desk/act", { do: "note", hire: "h1", note: "a word about Ann" });
    await morag.get("/desk/bookings/hires.csv");
    const { text } = await morag.get("/desk/trail");
    for (const what of [
      "bookings hires.csv",
      "accounts make",
      "accounts end",
      "act note",
      "sign-in refused",
    ])
      expect(text).toContain(`<td data-label="What">${what}</td>`);
    expect(text).not.toContain("a word about Ann");
    const csv = (await morag.get("/desk/trail.csv?contact=morag")).text;
    expect(csv).toContain(',Morag,accounts make,"isla, duty"\r\n');
    expect(csv).toContain(",Morag,act note,h1\r\n");
    expect(csv).not.toContain("Callum,");
    for (const secret of [deskPassword, isla]) {
      expect(text).not.toContain(secret);
      expect(csv).not.toContain(secret);
    }
    expect((await morag.get("/desk/trail?from=2020-01-01&to=2020-01-02")).text).toContain(
      "Nothing was done then",
    );
  });
});
