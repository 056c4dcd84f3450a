/** Whose a number is and what its reader had before them, on both engines. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterAll, afterEach, beforeEach, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { after as later } from "../../src/calendar.js";
import type { Hire } from "../../src/hires/hire.js";
import { firmLane, laneNamed } from "../../src/lanes.js";
import type { Address, Send } from "../../src/post.js";
import { sentIn, staffTarget } from "../../src/store/addresses/answers.js";
import { dropNumbers, joinChats } from "../../src/store/addresses/chats.js";
import { savePhones, whoseChat, whoseNumber } from "../../src/store/addresses/phones.js";
import { readAt, reopenSend, sendsTo, toldAtDesk } from "../../src/store/addresses/sends-to.js";
import { fileArrival } from "../../src/store/arrivals.js";
import { openStore, type Store } from "../../src/store/open.js";
import { addSends, markSend, takeSends } from "../../src/store/sends.js";
import { lane, noon, tempFile } from "../kit/small-house.js";

const server = await openServer();
afterAll(() => server?.close());
const url = (await server?.database()) ?? "";
const ann: Address = { channel: "gateway", to: "+447700900500" };
const ways = ["+447700900500", "07700900500"];

const engines: [string, string | undefined][] = [
  ["SQLite", ":memory:"],
  ["PostgreSQL", url || undefined],
];

describe.each(engines)("on %s", (_name, at) => {
  let store: Store;
  beforeEach(async () => {
    if (at === url) await server?.empty(url);
    if (at !== undefined) store = await openStore(at, noon);
  });
  afterEach(() => store?.close());

  const told = async (n: number, text: string, to = ann, hire = "h1") => {
    const send: Send = { to, who: "hirer:Ann", person: "p1", message: { text }, safety: false };
    const key = `k${n}`;
    await addSends(store.db, { key, lane: lane(hire) }, [send], noon, new Set());
    return `${key}#1`;
  };
  const mark = (key: string, sentAt: number | null, more = {}) =>
    markSend(store.db, key, {
      state: sentAt === null ? "waiting" : "sent",
      tries: 1,
      unsure: 0,
      nextAt: noon,
      sentAt: sentAt as typeof noon | null,
      error: null,
      outsideId: null,
      ...more,
    });
  const texts = async (minutes: number) =>
    (await readAt(store.db, lane(), ann, later(noon, minutes))).map((m) => m.text);

  it.skipIf(at === undefined)(
    "a reader has what arrived, or may have, and nothing that came later",
    async () => {
      await mark(await told(1, "first"), later(noon, 1));
      await mark(await told(2, "overtaken"), later(noon, 3));
      await mark(await told(3, "safety"), later(noon, 2));
      await mark(await told(4, "in doubt"), null, { unsure: 1 });
      await told(5, "not tried");
      await mark(await told(6, "somebody else's", { ...ann, to: "+447700900501" }), noon);
      await mark(await told(7, "of another hire", ann, "h2"), noon);
      expect(await texts(5)).toEqual(["overtaken", "safety", "first", "in doubt"]);
      expect(await texts(2)).toEqual(["safety", "first", "in doubt"]);
      expect(await texts(-5)).toEqual([]);
      expect(await texts(37 * 60)).toEqual([]);
    },
  );

  it.skipIf(at === undefined)("what is under way may have arrived", async () => {
    await told(1, "under way");
    expect(await texts(0)).toEqual([]);
    await takeSends(store.db, noon, 5);
    expect(await texts(0)).toEqual(["under way"]);
  });

  it.skipIf(at === undefined)(
    "a reply up to two seconds before its question answers it: clocks differ",
    async () => {
      await mark(await told(1, "question"), noon + 1_900);
      expect(await texts(0)).toEqual(["question"]);
      await mark(await told(2, "later"), noon + 2_100);
      expect(await texts(0)).toEqual(["question"]);
    },
  );

  it.skipIf(at === undefined)(
    "a contact was told at the desk what came from an instant on, the newest first",
    async () => {
      const desk = { channel: "desk", to: "morag" } as const;
      for (const n of [1, 2, 3]) await told(n, `${n}`, desk);
      const before = { made_at: later(noon, -5) };
      await store.db.updateTable("sends").set(before).where("key", "=", "k1#1").execute();
      const lately = await toldAtDesk(store.db, "morag", later(noon, -4));
      expect(lately.map((t) => [t.send.message.text, t.at])).toEqual([
        ["3", noon],
        ["2", noon],
      ]);
    },
  );

  it.skipIf(at === undefined)(
    "what went to an address is found, the newest first, and can be marked anew",
    async () => {
      const first = await told(1, "first");
      await told(2, "second");
      await mark(first, noon);
      const rows = await sendsTo(store.db, ann);
      expect(rows.map((r) => [r.send.message.text, r.state])).toEqual([
        ["second", "waiting"],
        ["first", "sent"],
      ]);
      await reopenSend(store.db, first);
      expect((await sendsTo(store.db, ann))[1]?.state).toBe("waiting");
    },
  );

  const hire = async (
    id: string,
    [from, to]: [number, number],
    more: { back?: number; status?: "cancelled" } = {},
  ) => {
    const { back, status = "booked" } = more;
    const times = { pickup_at: later(noon, from * 1440), return_at: later(noon, to * 1440) };
    await store.db
      .insertInto("hires")
      .values({
        ...{ id, lane: lane(id), registration: "SX26 ABC", van_type: "wren", surname: "S" },
        ...{ booker: "Ann", zone: "Europe/London", region: "gb", status, ...times },
        return_record_at: back === undefined ? null : later(noon, back * 1440),
      })
      .execute();
    const people = [{ id: `${id}-a`, name: "Ann", booker: true, phone: "07700 900500" }];
    await savePhones(
      store.db,
      lane(id),
      people.map((p) => ({ ...p, reached: [], greeted: false })),
    );
  };
  const meant = async (days: number) =>
    (await whoseNumber(store.db, ann, ways, later(noon, days * 1440)))?.person;

  it.skipIf(at === undefined)("a number is that of the hire that is meant now", async () => {
    expect(await meant(0)).toBeUndefined();
    await hire("back", [-9, -2], { back: -2 });
    await hire("now", [-1, 3]);
    await hire("overlaps", [2, 6]);
    await hire("next", [20, 25]);
    expect(await meant(-1.5)).toBe("back-a");
    expect(await meant(0)).toBe("now-a");
    expect(await meant(2.5)).toBe("overlaps-a");
    expect(await meant(100)).toBe("next-a");
    expect(await whoseNumber(store.db, ann, ["+447700900501"], noon)).toBeUndefined();
    await savePhones(store.db, lane("now"), []);
    expect(await meant(0)).toBe("overlaps-a");
  });

  const joins = (id: string, to: Address) =>
    fileArrival(store.db, {
      ...{ key: `join:${id}`, lane: lane(id), receivedAt: noon },
      body: { kind: "joined", from: { person: `${id}-a`, via: to } },
    });
  const chat: Address = { channel: "telegram", to: "555" };
  const chatOf = async (days: number) =>
    (await whoseChat(store.db, chat, later(noon, days * 1440)))?.person;

  it.skipIf(at === undefined)(
    "a chat is that of the hire that is meant now, whichever it joined last",
    async () => {
      await hire("now", [-1, 3]);
      await joins("now", chat);
      await hire("next", [20, 25]);
      await joins("next", chat);
      expect(await chatOf(0)).toBe("now-a");
      expect(await chatOf(21)).toBe("next-a");
      await store.db.updateTable("hires").set({ status: "cancelled" }).execute();
      // A chat that joined stays known: a danger in it is told of its hire.
      expect(await chatOf(0)).toBeDefined();
      expect(await whoseChat(store.db, { ...chat, to: "556" }, noon)).toBeUndefined();
    },
  );

  it.skipIf(at === undefined)(
    "of two hires on the road a chat is that of the one that wrote there last",
    async () => {
      for (const [id, from] of [
        ["h1", -1],
        ["h2", -2],
      ] as const) {
        await hire(id, [from, 3]);
        await joins(id, chat);
      }
      expect(await chatOf(0)).toBe("h1-a");
      await told(1, "check the oil", chat, "h2");
      expect(await chatOf(0)).toBe("h2-a");
      await told(2, "check the oil", chat, "h1");
      expect(await chatOf(0)).toBe("h1-a");
      await told(3, "the van is due back", chat, "h2");
      await store.db
        .updateTable("hires")
        .set({ return_at: noon - 1 })
        .where("id", "=", "h2")
        .execute();
      expect(await chatOf(0)).toBe("h1-a");
    },
  );

  it.skipIf(at === undefined)(
    "a message is of the hire that sent it, while the chat is of somebody who joined that hire",
    async () => {
      for (const id of ["h1", "h2"]) {
        await hire(id, [-1, 3]);
        await joins(id, chat);
      }
      await mark(await told(1, "Is it a safe place?", chat, "h1"), noon, { outsideId: "70 71" });
      await mark(await told(2, "the van is due back", chat, "h2"), noon, { outsideId: "72" });
      const h1 = { lane: lane("h1"), person: "h1-a" };
      expect(await sentIn(store.db, chat, "71")).toEqual(h1);
      expect(await sentIn(store.db, chat, "72")).toEqual({ lane: lane("h2"), person: "h2-a" });
      expect(await sentIn(store.db, chat, "73")).toBeUndefined();
      await store.db.deleteFrom("addresses").where("lane", "=", lane("h1")).execute();
      expect(await sentIn(store.db, chat, "71")).toBeUndefined();
    },
  );

  it.skipIf(at === undefined)(
    "what staff write without a reply is of the only matter that they have, unless somebody else's stands last in their chat",
    async () => {
      const staff: Address = { channel: "telegram", to: "900" };
      const target = () => staffTarget(store.db, staff, ["morag"], undefined);
      let n = 0;
      const alerted = async (of: ReturnType<typeof lane>, callout?: number) => {
        const message = { text: "STOP" };
        const marks = { safety: true, ...(callout === undefined ? {} : { callout }) };
        const send: Send = { to: staff, who: "duty:Morag", contact: "morag", message, ...marks };
        const key = `s${++n}`;
        await addSends(store.db, { key, lane: of }, [send], noon, new Set());
        return `${key}#1`;
      };
      await hire("h1", [-1, 3]);
      await store.db
        .insertInto("callouts")
        .values({
          ...{ hire: "h1", n: 1, state: "with", severity: "soon", kind: "light", title: "T" },
          ...{ with_contact: "morag", opened_at: noon, answer_by: noon, promised_at: null },
          hear_from_by: null,
        })
        .execute();
      const held = { lane: lane("h1"), by: "morag", callout: 1 };
      expect(await target()).toEqual(held);
      await mark(await alerted(lane("h1"), 1), later(noon, 1));
      expect(await target()).toEqual(held);
      const other = await alerted(lane("h2"), 1);
      expect(await target()).toEqual(held);
      await mark(other, later(noon, 2));
      expect(await target()).toBeUndefined();
      await mark(await alerted(lane("h1"), 1), later(noon, 3));
      await mark(await alerted(lane("h2")), later(noon, 4));
      await mark(await alerted(firmLane), later(noon, 5));
      expect(await target()).toEqual(held);
      await mark(await alerted(laneNamed("chat:telegram:555")), later(noon, 6));
      expect(await target()).toBeUndefined();
    },
  );

  it.skipIf(at === undefined)(
    "a number that was put right is known as nobody's, whoever wrote from it",
    async () => {
      await hire("now", [-1, 3]);
      const person = { id: "now-a", name: "Ann", booker: true, greeted: true };
      const of = (phone: string, reached: Address[]) =>
        ({ people: [{ ...person, phone, reached }] }) as unknown as Hire;
      const [wrong, right] = [of(ann.to, [ann, chat]), of("07700 900501", [chat])];
      await joinChats(store.db, lane("now"), undefined, wrong);
      expect(await meant(0)).toBe("now-a");
      await savePhones(store.db, lane("now"), right.people);
      await dropNumbers(store.db, lane("now"), wrong, right);
      expect(await meant(0)).toBeUndefined();
      expect(await chatOf(0)).toBe("now-a");
    },
  );

  it.skipIf(at === undefined)(
    "a number is that of a cancelled hire while something of it is open, first of all while a sign of life is awaited",
    async () => {
      const matter = (n: number, state: "with" | "done", hearFromBy: number | null) =>
        store.db
          .insertInto("callouts")
          .values({
            ...{ hire: "off", n, state, severity: "stop", kind: "light", title: "T" },
            ...{ with_contact: "morag", opened_at: noon, answer_by: noon, promised_at: null },
            hear_from_by: hearFromBy,
          })
          .execute();
      await hire("off", [-3, 3], { status: "cancelled" });
      await matter(1, "done", noon);
      expect(await meant(0)).toBeUndefined();
      await matter(2, "with", null);
      expect(await meant(0)).toBe("off-a");
      await hire("anew", [-1, 3]);
      expect(await meant(0)).toBe("anew-a");
      await matter(3, "with", noon);
      expect(await meant(0)).toBe("off-a");
    },
  );
});

describe("a database from before there were text messages", () => {
  it("knows the numbers of its hires after the start", async () => {
    const { file, remove } = tempFile();
    const fixture = join(import.meta.dirname, "fixtures", "after-0001-first.sql");
    const old = new Database(file).exec(readFileSync(fixture, "utf8"));
    const people = [
      { id: "p1", phone: "07700 900500, +44 7700 900501", reached: [] },
      { id: "p2", reached: [{ channel: "telegram", to: "4711" }] },
    ];
    old
      .prepare("insert into lanes (lane, version, state) values (?, 1, ?)")
      .run("hire:old", JSON.stringify({ kind: "hire", hire: { people } }));
    old.close();
    const store = await openStore(file, noon);
    // A chat that joined a later hire since then is this one's as well.
    const chats = await store.db.selectFrom("addresses").selectAll().execute();
    expect(chats).toContainEqual({
      ...{ channel: "telegram", to_addr: "4711", lane: "hire:old", person: "p2" },
    });
    const rows = await store.db.selectFrom("phones").selectAll().orderBy("number").execute();
    await store.close();
    remove();
    expect(rows).toEqual([
      { number: "+447700900501", lane: "hire:old", person: "p1" },
      { number: "07700900500", lane: "hire:old", person: "p1" },
    ]);
  });
});
