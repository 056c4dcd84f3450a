/** The roster at the desk over HTTP: looking, a change looked at before it is saved, two people at once, test alerts. */

import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { clockOf, dayOf, readIso } from "../../src/calendar.js";
import { Exception } from "../../src/knowledge/firm/roster.js";
import { firmLane } from "../../src/lanes.js";
import type { RosterOp } from "../../src/roster/change.js";
import { whoIsOn } from "../../src/roster/on-duty.js";
import { outcomeOf } from "../../src/store/arrivals.js";
import { latestEvents } from "../../src/store/events.js";
import { scriptClock } from "../kit/small-house.js";
import { untilTrue } from "../kit/until.js";
import { deskPassword, openWebHouse, type WebHouse } from "../kit/web-house.js";

/** 21 October 2026 is a Wednesday (any calendar): Morag by day, Callum by night. The clocks go back on the 25th. */
const clock = scriptClock(readIso("2026-10-21T14:00+01:00"));
let service: WebHouse;
type Signed = { cookie: string; csrf: string };
let morag: Signed;
let callum: Signed;
let n = 0;

async function enter(contact: string): Promise<Signed> {
  const entered = await request(service.url)
    .post("/desk/enter")
    .type("form")
    .send({ contact, password: deskPassword });
  const cookie = String(entered.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
  const page = await request(service.url)
    .get("/desk")
    .set("Cookie", cookie)
    .set("Accept", "text/html");
  return { cookie, csrf: /name="csrf" value="([^"]+)"/.exec(page.text)?.[1] ?? "" };
}
const get = (path: string, who = morag) =>
  request(service.url).get(path).set("Cookie", who.cookie).set("Accept", "text/html");
const post = (path: string, body: Record<string, string | string[]>, who = morag) =>
  request(service.url)
    .post(path)
    .set("Cookie", who.cookie)
    .set("Accept", "text/html")
    .type("form")
    .send({ csrf: who.csrf, id: `roster-test-${++n}`, ...body });

const unescaped = (text: string) =>
  text
    .replaceAll("&quot;", '"')
    .replaceAll("&#39;", "'")
    .replaceAll("&lt;", "<")
    .replaceAll("&gt;", ">")
    .replaceAll("&amp;", "&");
/** The fields with which a page that was looked at is saved. */
function kept(page: string): { op: string; change: string; base: string } {
  const form = page.slice(page.indexOf('action="/desk/roster/save"'));
  const value = (name: string) =>
    unescaped(new RegExp(`name="${name}" value="([^"]*)"`).exec(form)?.[1] ?? "");
  return { op: "kept", change: value("change"), base: value("base") };
}
const state = async () => {
  const lane = await service.house.laneState(firmLane);
  if (lane?.kind !== "firm") throw new Error("the firm has no lane");
  return lane.firm;
};
/** Moves the clock; what is due by then is done. */
async function passes(to: string) {
  clock.moveTo(readIso(to));
  const key = `wake-${to}`;
  await service.house.file({
    key,
    lane: firmLane,
    receivedAt: clock.now(),
    body: { kind: "opened" },
  });
  await untilTrue(async () => (await outcomeOf(service.house.db, key)) !== undefined);
}
const onNow = async () => whoIsOn((await service.house.firmNow()).firm, clock.now()).contacts;
const away = (contact: string, from: string, to: string, instead = ""): Record<string, string> => ({
  op: "add",
  kind: "away",
  contact,
  from,
  to,
  why: "sick",
  instead,
});

beforeAll(async () => {
  service = await openWebHouse("curlew", ["Ann"], { clock });
  morag = await enter("morag");
  callum = await enter("callum");
  await untilTrue(async () => (await service.house.laneState(firmLane)) !== undefined);
});
afterAll(() => service?.close());

describe("the roster page", () => {
  it("shows fourteen days with who is on, and the day on which the clocks go back", async () => {
    const { text } = await get("/desk/roster");
    expect(text.match(/<th scope="row">/g)).toHaveLength(14);
    expect(text).toContain("<b>Morag</b> until 20:00.");
    expect(text).toContain("clocks go back: 25 hours");
    expect(text).toContain("No gaps");
  });
  it("says which channels reach whom, and which call order reaches nobody who is not at the desk", async () => {
    const { text } = await get("/desk/roster");
    expect(text).toContain("desk (no password set), staff hook (not set up)");
    expect(text).toContain(
      "at every hour: it reaches somebody only while they are signed in at the desk",
    );
  });
  it("is for staff alone", async () => {
    expect(
      (await request(service.url).get("/desk/roster").set("Accept", "text/html")).text,
    ).toContain("Password");
    const stranger = { ...morag, csrf: "wrong" };
    expect((await post("/desk/roster/save", { op: "kept" }, stranger)).status).toBe(403);
    expect((await post("/desk/duty", { do: "off" }, stranger)).status).toBe(403);
  });
});

describe("a change", () => {
  it("is looked at first, with the gap that it leaves, and is saved only by saying so", async () => {
    const look = await post(
      "/desk/roster/look",
      away("morag", "2026-10-22T07:00", "2026-10-22T21:00"),
    );
    expect(look.status).toBe(200);
    expect(unescaped(look.text)).toContain(
      "Morag away (sick) from Thu 22 Oct 07:00 to Thu 22 Oct 21:00, nobody instead",
    );
    expect(look.text).toContain("Thu 22 Oct 08:00 to Thu 22 Oct 20:00");
    expect(look.text).toContain("I know that nobody is on then, and that Isla is alerted.");
    expect((await state()).version).toBe(0);
    const silent = await post("/desk/roster/save", kept(look.text));
    expect(silent.status).toBe(400);
    expect(silent.text).toContain("Tick that you know it");
    expect((await state()).version).toBe(0);
    const said = await post("/desk/roster/save", { ...kept(look.text), gaps: "known" });
    expect(said.headers["location"]).toBe("/desk/roster?saved=yes");
    const { firm, version } = await service.house.firmNow();
    expect(version).toBe(1);
    expect(whoIsOn(firm, readIso("2026-10-22T12:00+01:00"))).toEqual({
      contacts: ["isla"],
      gap: true,
    });
    const [event] = (await latestEvents(service.house.db, firmLane, 9)).filter(
      (e) => e.kind === "staff",
    );
    expect(event?.who).toBe("duty:Morag");
    expect(event?.text).toContain("adds: Morag away (sick)");
    expect(event?.text).toContain("knows that nobody is on at times");
    expect((await get("/desk/roster")).text).toContain("adds: Morag away (sick)");
  });
  it("can be taken away again", async () => {
    const [exception] = (await service.house.firmNow()).firm.roster.exceptions;
    if (!exception) throw new Error("nothing differs from the pattern");
    const op: RosterOp = { op: "remove", exception };
    const look = await post("/desk/roster/look", { op: "kept", change: JSON.stringify(op) });
    expect(look.text).toContain("No gaps");
    expect((await post("/desk/roster/save", kept(look.text))).status).toBe(303);
    expect((await service.house.firmNow()).firm.roster.exceptions).toEqual([]);
    const again = await post("/desk/roster/look", { op: "kept", change: JSON.stringify(op) });
    expect(again.status).toBe(400);
    expect(again.text).toContain("That is not on the roster any more.");
  });
  it("of the weekly pattern shows the days that it changes", async () => {
    const weekly = {
      op: "weekly",
      fallback: "isla",
      "contact-0": "morag",
      "days-0": ["mon", "tue", "wed", "thu"],
      "from-0": "08:00",
      "to-0": "20:00",
      "contact-1": "callum",
      "days-1": ["fri", "sat", "sun"],
      "from-1": "08:00",
      "to-1": "20:00",
      "contact-2": "callum",
      "days-2": ["mon", "tue", "wed", "thu"],
      "from-2": "20:00",
      "to-2": "08:00",
      "contact-3": "isla",
      "days-3": ["fri", "sat", "sun"],
      "from-3": "19:00",
      "to-3": "08:00",
    };
    const look = await post("/desk/roster/look", weekly);
    expect(unescaped(look.text)).toContain(
      "the weekly pattern loses Morag Fri Sat Sun 20:00 to 08:00 next day; the weekly pattern gets Isla Fri Sat Sun 19:00 to 08:00 next day",
    );
    expect(look.text).toContain("Several are on at once");
    expect(look.text).toContain("Fri 23 Oct 19:00 to Fri 23 Oct 20:00: Callum and Isla");
    expect(look.text.match(/<tr class="changed">/g)).toHaveLength(8);
  });
  it.each([
    [
      "an end before its start",
      away("morag", "2026-10-23T20:00", "2026-10-23T08:00"),
      "The end is not after the start.",
    ],
    // 29 March 2027 is no change; 28 March 2027 is: 01:00 to 02:00 does not exist (Directive 2000/84/EC).
    [
      "a time that the clocks skip",
      away("morag", "2027-03-28T01:30", "2027-03-28T08:00"),
      "does not exist",
    ],
    ["what is over", away("morag", "2026-10-20T08:00", "2026-10-20T20:00"), "over already"],
    [
      "one person on both sides",
      away("morag", "2026-10-22T08:00", "2026-10-22T20:00", "morag"),
      "choose two people",
    ],
    [
      "somebody unknown",
      away("nobody", "2026-10-22T08:00", "2026-10-22T20:00"),
      "Morag, Callum, Isla are",
    ],
    [
      "no day",
      { op: "add", kind: "shift", contact: "isla", on: "2026-02-30", from: "08:00", to: "20:00" },
      "the day",
    ],
    [
      "a swap without a shift",
      {
        op: "add",
        kind: "swap",
        contact: "isla",
        on: "2026-10-23",
        with: "callum",
        back: "2026-10-24",
      },
      "Isla has no shift that starts on Fri 23 Oct.",
    ],
    ["a broken change", { op: "kept", change: "{" }, "could not be read"],
    ["an unknown act", { op: "explode" }, "not known here"],
    [
      "a row without times",
      {
        op: "weekly",
        fallback: "isla",
        "contact-0": "morag",
        "days-0": "mon",
        "from-0": "8",
        "to-0": "",
      },
      "such as 08:00",
    ],
  ] as const)(
    "with %s is not kept, says what would be right, and loses nothing typed",
    async (_, form, says) => {
      const answer = await post("/desk/roster/look", form as unknown as Record<string, string>);
      expect(answer.status).toBe(400);
      expect(unescaped(answer.text)).toContain(says);
      if ("from" in form && "kind" in form) expect(answer.text).toContain(`value="${form.from}"`);
    },
  );
});

describe("two people at once", () => {
  it("the second is told who changed what, and loses nothing", async () => {
    const first = await post(
      "/desk/roster/look",
      away("callum", "2026-10-23T07:00", "2026-10-23T21:00", "isla"),
      callum,
    );
    const second = await post(
      "/desk/roster/look",
      away("morag", "2026-10-26T07:00", "2026-10-26T21:00", "isla"),
    );
    expect((await post("/desk/roster/save", kept(first.text), callum)).status).toBe(303);
    const told = await post("/desk/roster/save", kept(second.text));
    expect(told.status).toBe(409);
    expect(unescaped(told.text)).toContain("Callum changed roster or contacts meanwhile");
    expect(unescaped(told.text)).toContain("Morag away (sick) from Mon 26 Oct 07:00");
    expect((await post("/desk/roster/save", kept(told.text))).status).toBe(303);
    const { exceptions } = (await service.house.firmNow()).firm.roster;
    expect(exceptions.map((e) => e.contact)).toEqual(["callum", "morag"]);
    const rows = await service.house.db
      .selectFrom("rosters")
      .selectAll()
      .orderBy("version")
      .execute();
    expect(rows.map((r) => r.version)).toEqual([1, 2, 3, 4]);
  });
  it("are told apart even when both save in the same moment", async () => {
    const looks = await Promise.all([
      post(
        "/desk/roster/look",
        away("callum", "2026-11-03T19:00", "2026-11-04T09:00", "isla"),
        callum,
      ),
      post("/desk/roster/look", away("morag", "2026-11-04T07:00", "2026-11-04T21:00", "isla")),
    ]);
    const saved = await Promise.all([
      post("/desk/roster/save", kept(looks[0].text), callum),
      post("/desk/roster/save", kept(looks[1].text)),
    ]);
    expect(saved.map((s) => s.status).sort()).toEqual([303, 409]);
    const loser = saved.findIndex((s) => s.status === 409);
    const again = await post(
      "/desk/roster/save",
      kept(saved[loser]?.text ?? ""),
      loser === 0 ? callum : morag,
    );
    expect(again.status).toBe(303);
    expect((await service.house.firmNow()).firm.roster.exceptions).toHaveLength(4);
  });
  it("a form sent twice saves once", async () => {
    const look = await post(
      "/desk/roster/look",
      away("isla", "2026-11-10T07:00", "2026-11-10T21:00"),
    );
    const { version } = await service.house.firmNow();
    for (let i = 0; i < 2; i++)
      await post("/desk/roster/save", { ...kept(look.text), id: "the-same-click" });
    expect((await service.house.firmNow()).version).toBe(version + 1);
  });
});

describe("a contact", () => {
  const right = { role: "the owner", phone: "07700 900199", telegram: "5550003" };
  it("is changed, and the new number is the one that hirers read", async () => {
    const path = "/desk/roster/contacts/roadside";
    const shown = async () => {
      const page = (await get(path)).text;
      const names = ["base", "role", "role-was", "phone", "phone-was"];
      const value = (name: string) => new RegExp(`name="${name}"[^>]*value="([^"]*)"`).exec(page);
      return Object.fromEntries(names.map((name) => [name, value(name)?.[1] ?? ""]));
    };
    const saved = await post(path, { ...(await shown()), phone: "01632 960188" });
    expect(saved.status).toBe(303);
    const { version } = await service.house.firmNow();
    expect((await state()).says).toBe("changes Roadside assistance: phone 01632 960188");
    // Saved once more as it stands it is no change.
    expect((await post(path, await shown())).status).toBe(303);
    expect((await service.house.firmNow()).version).toBe(version);
    const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    await service.house.file({
      key: "light",
      lane: service.lane,
      receivedAt: clock.now(),
      body: { kind: "said", from, text: "red battery light came on" },
    });
    const told = async () =>
      (await latestEvents(service.house.db, service.lane, 20)).some(
        (e) => e.kind === "out" && e.text.includes("Roadside assistance (01632 960188)"),
      );
    await untilTrue(told);
  });
  it("with hours outside of which it is not alerted besides its shifts", async () => {
    const base = String((await service.house.firmNow()).version);
    const hours = {
      "days-0": ["mon", "tue", "wed", "thu", "fri"],
      "from-0": "09:00",
      "to-0": "17:00",
    };
    const saved = await post("/desk/roster/contacts/isla", { ...right, ...hours, base });
    expect(saved.status).toBe(303);
    const { firm, reach } = await service.house.firmNow();
    expect(firm.contacts["isla"]).toMatchObject({
      phone: "07700 900199",
      hours: [{ from: "09:00" }],
    });
    expect(reach.telegram["isla"]).toBe("5550003");
    expect(unescaped((await get("/desk/roster")).text)).toContain(
      "Mon Tue Wed Thu Fri 09:00–17:00, on duty and in danger always",
    );
  });
  it("whose Telegram chat was left as shown keeps it where it was set, at the desk or in the environment", async () => {
    for (const id of ["callum", "isla"]) {
      const page = (await get(`/desk/roster/contacts/${id}`)).text;
      const value = (name: string) =>
        new RegExp(`name="${name}"[^>]*value="(\\d*)"`).exec(page)?.[1];
      const [telegram = "", was = "-"] = [value("telegram"), value("telegram-was")];
      expect(was).toBe(telegram);
      const base = String((await service.house.firmNow()).version);
      const fields = { ...right, phone: "07700 900198", telegram, "telegram-was": was };
      const saved = await post(`/desk/roster/contacts/${id}`, { ...fields, base });
      expect(saved.status).toBe(303);
    }
    const { contacts } = (await service.house.firmNow()).firm;
    expect(contacts["callum"]).toMatchObject({ phone: "07700 900198" });
    expect([contacts["callum"]?.telegram, contacts["isla"]?.telegram]).toEqual([
      undefined,
      "5550003",
    ]);
  });
  it.each([
    ["phone", { phone: "ring me" }, "such as 07700"],
    ["role", { role: "" }, "a few words"],
    ["telegram", { telegram: "@isla" }, "a number"],
    ["from-0", { "days-0": "mon", "from-0": "9", "to-0": "17:00" }, "such as 08:00"],
  ] as const)(
    "with a wrong %s is not kept, and says what would be right",
    async (field, change, says) => {
      const base = String((await service.house.firmNow()).version);
      const answer = await post("/desk/roster/contacts/isla", { ...right, base, ...change });
      expect(answer.status).toBe(400);
      expect(answer.text).toContain(says);
      expect(answer.text).toContain(`name="${field}"`);
    },
  );
  it("that was changed meanwhile says so and keeps what was typed", async () => {
    const answer = await post("/desk/roster/contacts/isla", {
      ...right,
      role: "the manager",
      base: "0",
    });
    expect(answer.status).toBe(409);
    expect(answer.text).toContain('value="the manager"');
    expect(answer.text).toContain("changed roster or contacts meanwhile");
  });
  it("that somebody changed meanwhile keeps their change, and gets only what was changed here", async () => {
    const at = "/desk/roster/contacts/isla";
    /** What a browser sends of the form, as it was shown. */
    const shown = (page: string): Record<string, string | string[]> => {
      const all: Record<string, string | string[]> = {};
      const [, form = ""] = page.split('class="fields wide"');
      for (const [input] of form.matchAll(/<input [^>]*>/g)) {
        if (input.includes("checkbox") && !input.includes(" checked")) continue;
        const name = /name="([^"]*)"/.exec(input)?.[1] ?? "";
        const value = unescaped(/value="([^"]*)"/.exec(input)?.[1] ?? "");
        all[name] = name in all ? [all[name] ?? "", value].flat() : value;
      }
      return all;
    };
    const sat = { "days-0": "sat", "from-0": "08:00", "to-0": "16:00" };
    const mine = shown((await get(at)).text);
    const theirs = { ...shown((await get(at)).text), phone: "07700 900177", ...sat };
    expect((await post(at, theirs)).status).toBe(303);
    const late = await post(at, { ...mine, role: "the boss" });
    expect(late.status).toBe(409);
    expect(unescaped(late.text)).toContain("phone 07700 900177, hours");
    expect(shown(late.text)).toMatchObject({ role: "the boss", phone: "07700 900177" });
    expect((await post(at, shown(late.text))).status).toBe(303);
    expect((await service.house.firmNow()).firm.contacts["isla"]).toMatchObject({
      role: "the boss",
      phone: "07700 900177",
      hours: [{ from: "08:00" }],
    });
  });
  it("that nobody has is not found", async () => {
    expect((await get("/desk/roster/contacts/constructor")).status).toBe(404);
    expect((await post("/desk/roster/contacts/__proto__", { ...right, base: "0" })).status).toBe(
      404,
    );
  });
});

describe("a shift", () => {
  it("that starts unanswered is red at the desk for everybody, until somebody stands in", async () => {
    await passes("2026-10-21T20:00+01:00");
    const mine = (await get("/desk", callum)).text;
    expect(mine).toContain("Answer the test alert by 20:10.");
    expect(mine).toContain("I am here");
    await passes("2026-10-21T20:11+01:00");
    await untilTrue(async () => (await state()).tests[0]?.toldTimes === 1);
    const red = (await get("/desk")).text;
    expect(unescaped(red)).toContain("Callum has not answered the test alert of 20:00.");
    expect(red).toContain('data-alarm="1"');
    expect(await onNow()).toEqual(["callum"]);
    expect((await post("/desk/duty", { do: "stand-in", test: "1" })).status).toBe(303);
    expect(await onNow()).toEqual(["morag"]);
    expect((await get("/desk")).text).not.toContain("data-alarm");
  });
  it("ends early only when somebody has said that they take over", async () => {
    await post("/desk/duty", { do: "off", to: "callum" });
    expect(await onNow()).toEqual(["morag"]);
    expect((await get("/desk/roster")).text).toContain("Callum is asked to take over");
    const asked = (await get("/desk/roster", callum)).text;
    expect(asked).toContain("I take over");
    const test = /name="test" value="(\d+)"/.exec(asked)?.[1] ?? "";
    await post("/desk/duty", { do: "here", test }, callum);
    expect(await onNow()).toEqual(["callum"]);
  });
  it("is kept by whoever says that they stay", async () => {
    await post("/desk/duty", { do: "off" }, callum);
    expect((await state()).leaving?.contact).toBe("callum");
    await post("/desk/duty", { do: "stay" }, callum);
    expect((await state()).leaving).toBeUndefined();
    expect(await onNow()).toEqual(["callum"]);
  });
  it("can be ended by another who is on beside whoever waits to be relieved", async () => {
    const { version, firm } = await service.house.firmNow();
    const at = (await state()).lookedAt;
    const beside = Exception.parse({
      ...{ kind: "shift", contact: "morag", on: dayOf(at, firm.zone), beside: true },
      from: clockOf(at, firm.zone),
      to: "23:59",
    });
    const roster = { ...firm.roster, exceptions: [beside] };
    const act = { do: "roster", base: version, roster, says: "adds: Morag" } as const;
    const body = { kind: "firm", by: "morag", act } as const;
    await service.house.file({ key: "beside", lane: firmLane, receivedAt: at, body });
    await untilTrue(async () => (await onNow()).length === 2);
    await post("/desk/duty", { do: "off", to: "isla" }, callum);
    expect((await get("/desk/roster", callum)).text).not.toContain("I go off now");
    expect((await get("/desk/roster")).text).toContain("I go off now");
    await post("/desk/duty", { do: "stay" }, callum);
  });
  it("takes no act that is not known", async () => {
    expect((await post("/desk/duty", { do: "explode" })).status).toBe(400);
    expect((await post("/desk/duty", { do: "here", test: "x" })).status).toBe(303);
  });
});
