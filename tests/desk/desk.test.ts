/** The desk over HTTP on loopback: who gets in, what a form does, and what bad input gets. */

import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readIso } from "../../src/calendar.js";
import { readAct, readNewHire } from "../../src/desk/read-forms.js";
import { whoseChat } from "../../src/store/addresses/phones.js";
import { book } from "../kit/hire.js";
import { untilTrue } from "../kit/until.js";
import { deskPassword, openWebHouse, type WebHouse } from "../kit/web-house.js";

let service: WebHouse;
let cookie = "";
let csrf = "";
const get = (path: string) =>
  request(service.url).get(path).set("Cookie", cookie).set("Accept", "text/html");
const post = (path: string, body: Record<string, string>) =>
  request(service.url)
    .post(path)
    .set("Cookie", cookie)
    .set("Accept", "text/html")
    .type("form")
    .send(body);
const enter = (contact: string, password: string) =>
  request(service.url)
    .post("/desk/enter")
    .set("Accept", "text/html")
    .type("form")
    .send({ contact, password });

beforeAll(async () => {
  service = await openWebHouse("curlew");
  const entered = await enter("morag", deskPassword);
  cookie = String(entered.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
  csrf = /name="csrf" value="([^"]+)"/.exec((await get("/desk")).text)?.[1] ?? "";
  await service.house.file({
    key: "t1",
    lane: service.lane,
    receivedAt: service.house.clock.now(),
    body: {
      kind: "said",
      from: { person: "p1", via: { channel: "web", to: "p1" } },
      text: "red oil can light came on",
    },
  });
  for (let i = 0; i < 250 && !(await get("/desk")).text.includes("must not move"); i++)
    await new Promise((r) => setTimeout(r, 20));
});
afterAll(() => service?.close());
const state = async () => {
  const lane = await service.house.laneState(service.lane);
  return lane?.kind === "hire" ? lane.hire : undefined;
};

describe("getting in", () => {
  it("needs the right password of the right person", async () => {
    expect((await enter("morag", "wrong")).status).toBe(401);
    // The name stays the one that was chosen.
    expect((await enter("morag", "wrong")).text).toContain('<option value="morag" selected>');
    expect((await enter("nobody", deskPassword)).status).toBe(401);
    expect((await enter("isla", deskPassword)).status).toBe(401);
    expect((await request(service.url).get("/desk").set("Accept", "text/html")).text).toContain(
      "Password",
    );
    expect((await request(service.url).get("/desk/part")).text).not.toContain("SX26");
  });
  it("keeps the cookie from scripts and other sites", async () => {
    const entered = await enter("callum", deskPassword);
    expect(entered.headers["set-cookie"]?.[0]).toMatch(/HttpOnly.*SameSite=Strict/);
  });
  it("gives a hirer's cookie nothing", async () => {
    const opened = await request(service.url).post(new URL(service.links[0] ?? "").pathname);
    const theirs = (String(opened.headers["set-cookie"]?.[0]).split(";")[0] ?? "").replace(
      "van=",
      "desk=",
    );
    expect(
      (await request(service.url).get("/desk").set("Cookie", theirs).set("Accept", "text/html"))
        .text,
    ).toContain("Password");
  });
});

describe("a form", () => {
  it("without the page's own token does nothing", async () => {
    expect((await post("/desk/act", { hire: "h1", do: "take", callout: "1" })).status).toBe(403);
    expect((await state())?.callouts[0]?.state).toBe("nobody-yet");
  });
  it("sent twice acts once", async () => {
    const form = {
      csrf,
      id: "double-click",
      hire: "h1",
      callout: "1",
      do: "reply",
      person: "p1",
      text: "Is everybody out?",
    };
    for (let i = 0; i < 2; i++) expect((await post("/desk/act", form)).status).toBe(303);
    const told = () =>
      service.house.db
        .selectFrom("events")
        .selectAll()
        .where("text", "=", "Morag: Is everybody out?")
        .where("kind", "=", "out")
        .execute();
    await untilTrue(async () => (await told()).length > 0);
    expect(await told()).toHaveLength(1);
  });
  it("that was left open is kept again where it says something else, each once", async () => {
    const form = { csrf, id: "left-open", hire: "h1", do: "note" };
    const notes = ["rang, no answer", "reached them, they are at the services"];
    for (const note of [...notes, ...notes]) await post("/desk/act", { ...form, note });
    const kept = await service.house.db
      .selectFrom("arrivals")
      .select("body")
      .where("key", "like", "desk:morag:left-open%")
      .orderBy("seq")
      .execute();
    expect(kept.map(({ body }) => JSON.parse(body).body.act.note)).toEqual(notes);
  });
  it("takes a call-out in the name of who is signed in", async () => {
    expect(
      (await post("/desk/act", { csrf, id: "take-it-now", hire: "h1", callout: "1", do: "take" }))
        .status,
    ).toBe(303);
    // The page that follows shows it already.
    expect((await state())?.callouts[0]?.with).toBe("morag");
  });
  it("that is wrong says what would be right", async () => {
    const answer = await post("/desk/act", {
      csrf,
      id: "promise-1",
      hire: "h1",
      callout: "1",
      do: "promise",
      clock: "25:99",
    });
    expect(answer.status).toBe(400);
    expect(answer.text).toContain("such as 18:30");
    expect(
      (await post("/desk/act", { csrf, id: "x1234567", hire: "h1", do: "explode" })).status,
    ).toBe(400);
    expect(
      (await post("/desk/act", { csrf, id: "x1234567", hire: "none", do: "take" })).status,
    ).toBe(404);
    expect((await get("/desk/hires/none")).status).toBe(404);
    expect((await post("/desk/act", { csrf, text: "x".repeat(200_000) })).status).toBe(413);
  });
  it("about what is done already is answered so at the head of every page", async () => {
    const about = { csrf, hire: "h1", callout: "1" };
    await post("/desk/act", { ...about, id: "done-form-1", do: "done", outcome: "by-advice" });
    await post("/desk/act", { ...about, id: "late-form-1", do: "promise", clock: "18:30" });
    const told = async (path: string) =>
      /<aside id="told".*?<\/aside>/s.exec((await get(path)).text)?.[0] ?? "";
    for (const path of ["/desk", "/desk/vans", "/desk/waiting", "/desk/part"])
      await untilTrue(async () => (await told(path)).includes("This is done already"));
  });
  it("promises the next time that the clock shows", () => {
    const now = readIso("2026-06-03T21:00+01:00");
    const at = (clock: string) =>
      readAct({ do: "promise", callout: "1", clock }, now, "Europe/London");
    expect(at("21:30")).toMatchObject({ at: readIso("2026-06-03T21:30+01:00") });
    expect(at("08:15")).toMatchObject({ at: readIso("2026-06-04T08:15+01:00") });
    // It has just passed: tomorrow's is not meant.
    expect(at("20:45")).toContain("of the next 23 hours");
  });
});

describe("somebody without a hire", () => {
  it("is seen at the desk, whatever other channels staff have", async () => {
    const via = { channel: "telegram", to: "4711" } as const;
    await service.house.file({
      key: "stranger-1",
      lane: "chat:telegram:4711" as typeof service.lane,
      receivedAt: service.house.clock.now(),
      body: { kind: "said", from: { via }, text: "my friend is not breathing, <b>help</b>" },
    });
    await untilTrue(async () =>
      (await get("/desk")).text.includes("my friend is not breathing, &lt;b&gt;help&lt;/b&gt;"),
    );
  });
  it("in danger is a card that waits and counts, until somebody looks after it", async () => {
    const card = '<article class="card danger nobody-yet" data-key="chat:telegram:4711"';
    const urgent = async () =>
      Number(/data-urgent="(\d+)"/.exec((await get("/desk/waiting")).text)?.[1]);
    await untilTrue(async () => (await get("/desk/part")).text.includes(card));
    const before = await urgent();
    expect(before).toBeGreaterThan(0);
    await post("/desk/seen", { csrf, lane: "chat:telegram:4711", id: "form-seen-1" });
    await untilTrue(async () => !(await get("/desk/part")).text.includes(card));
    expect(await urgent()).toBe(before - 1);
    expect((await post("/desk/seen", { csrf, lane: "hire:h1", id: "form-seen-2" })).status).toBe(
      303,
    );
    // What they wrote is still to be read.
    expect((await get("/desk")).text).toContain("my friend is not breathing");
  });
});

describe("a new hire", () => {
  const right = {
    registration: "sx26 new",
    type: "wren",
    pickup: "2026-06-03T10:00",
    return: "2026-06-10T10:00",
    zone: "Europe/London",
    region: "gb-wls",
    surname: "Reed",
    booker: "Kit",
    phone: "07700 900123",
    others: "Jo, Sam",
  };
  it("is read whole", () => {
    const read = readNewHire(right, book, "h9");
    expect(read).toMatchObject({
      booking: {
        van: { registration: "SX26 NEW", type: "wren" },
        region: "gb-wls",
        people: [
          { name: "Kit", booker: true, phone: "07700 900123" },
          { name: "Jo" },
          { name: "Sam" },
        ],
      },
    });
  });
  it.each([
    ["return", { return: "2026-06-02T10:00" }, "not after the pick-up"],
    ["zone", { zone: "Europe/Inverlarig" }, "Europe/London"],
    // 29 March 2026, 01:00–01:59 does not exist on UK clocks (Directive 2000/84/EC; National Physical Laboratory).
    ["pickup", { pickup: "2026-03-29T01:30" }, "does not exist"],
    ["pickup", { pickup: "3 June" }, "2026-06-03T10:00"],
    ["type", { type: "albatross" }, "wren, curlew, plover"],
    ["phone", { phone: "call me" }, "07700"],
    ["surname", { surname: "" }, "surname"],
    ["region", { region: "mars" }, "list"],
  ] as const)(
    "with a wrong %s is not kept, and says what would be right",
    (field, change, says) => {
      const read = readNewHire({ ...right, ...change }, book, "h9");
      const wrong = "wrong" in read ? (read.wrong[field] ?? "") : "";
      expect(wrong.split(", ").sort().join(", ")).toContain(says.split(", ").sort().join(", "));
    },
  );
  const linksIn = (text: string) => text.match(/\/h\/[\w-]{22}/g) ?? [];
  it("gets its links once, and a double click shows the same ones", async () => {
    const form = { csrf, id: "new-hire-form", ...right };
    const [made, again] = await Promise.all([
      post("/desk/hires/new", form),
      post("/desk/hires/new", form),
    ]);
    expect([made.status, again.status]).toEqual([201, 201]);
    expect(linksIn(made.text)).toHaveLength(3);
    expect(linksIn(again.text)).toEqual(linksIn(made.text));
    for (const link of linksIn(made.text))
      expect((await request(service.url).get(link)).status).toBe(200);
    const rows = await service.house.db.selectFrom("links").select("kind").execute();
    // Two of the first hire, three of this one.
    expect(rows.filter((row) => row.kind === "chat")).toHaveLength(5);
  });
  it("that is changed and sent again from the old page leads to the hire that was kept", async () => {
    const answer = await post("/desk/hires/new", {
      csrf,
      id: "new-hire-form",
      ...right,
      surname: "Other",
    });
    expect(answer.status).toBe(303);
    expect((await get(String(answer.headers["location"]))).text).toContain("Reed");
    expect(linksIn(answer.text)).toEqual([]);
  });
  it("says which other hire has its van then, and asks where a known van is of another type", async () => {
    expect((await get("/desk/hires/new")).text).toContain('<option value="" selected>choose');
    const other = { ...right, csrf, surname: "Fenn" };
    const kept = await post("/desk/hires/new", { ...other, id: "new-hire-twice" });
    expect(kept.text).toContain("The van is promised twice: ");
    const asked = await post("/desk/hires/new", { ...other, id: "new-hire-type", type: "curlew" });
    expect(asked.status).toBe(400);
    expect(asked.text).toMatch(/SX26 NEW was a Wren[^.]* until now/);
    const sure = { ...other, id: "new-hire-type", type: "curlew", sure: "SX26 NEW curlew" };
    expect((await post("/desk/hires/new", sure)).status).toBe(201);
  });
  it("can get a new link; the old one opens nothing any more", async () => {
    const old = new URL(service.links[1] ?? "").pathname;
    expect((await request(service.url).get(old)).status).toBe(200);
    const made = await post("/desk/hires/h1/link", { csrf, id: "link-12345", person: "p2" });
    const fresh = /\/h\/[\w-]{22}/.exec(made.text)?.[0] ?? "none";
    expect((await request(service.url).get(old)).status).toBe(404);
    expect((await request(service.url).get(fresh)).status).toBe(200);
  });
  it("by a new link cuts off the chat that had joined by the old one", async () => {
    const via = { channel: "telegram", to: "4711" } as const;
    const reached = async () => (await state())?.people.find((p) => p.id === "p2")?.reached ?? [];
    await service.house.file({
      ...{ key: "tg:1:4711", lane: service.lane, receivedAt: service.house.clock.now() },
      body: { kind: "joined", from: { person: "p2", via } },
    });
    await untilTrue(async () => (await reached()).some((a) => a.to === via.to));
    expect(await whoseChat(service.house.db, via, service.house.clock.now())).toMatchObject({
      person: "p2",
    });
    const made = await post("/desk/hires/h1/link", { csrf, id: "link-12346", person: "p2" });
    expect(made.status).toBe(201);
    expect(made.text).not.toContain("reads on: telegram");
    expect(await whoseChat(service.house.db, via, service.house.clock.now())).toBeUndefined();
    expect(await reached()).not.toContainEqual(via);
  });
  it("has its card for the visor printed here; the next card ends the code on the one before", async () => {
    expect((await get("/desk/hires/h1")).text).toContain('action="/desk/hires/h1/card"');
    const card = async () => {
      const made = await post("/desk/hires/h1/card", { csrf, id: "card-12345", person: "p1" });
      expect(made.status).toBe(201);
      for (const part of ["SX26 ABC", "<svg", "Please ring this for me", "/desk/hires/h1"])
        expect(made.text).toContain(part);
      return /\/h\/[\w-]{22}/.exec(made.text)?.[0] ?? "none";
    };
    const first = await card();
    expect((await request(service.url).get(first)).status).toBe(200);
    const second = await card();
    expect((await request(service.url).get(first)).status).toBe(404);
    expect((await request(service.url).get(second)).status).toBe(200);
    const nobody = await post("/desk/hires/h1/card", { csrf, id: "card-12346", person: "p9" });
    expect(nobody.status).toBe(404);
  });
});
