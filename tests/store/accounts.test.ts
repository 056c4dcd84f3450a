/** Accounts, tries to sign in, and the trail, on both engines. */
import { afterAll, afterEach, beforeEach, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { after as later } from "../../src/calendar.js";
import type { DeskAct } from "../../src/post.js";
import { addEvents } from "../../src/store/events.js";
import { openStore, type Store } from "../../src/store/open.js";
import {
  type Account,
  accountOf,
  accountsOf,
  changeAccount,
  makeAccount,
  seedAccounts,
} from "../../src/store/staff/accounts.js";
import {
  addTrace,
  dropTraces,
  failuresOf,
  noteSignIn,
  tracesOf,
} from "../../src/store/staff/trail.js";
import { openDeskSession, seeDeskSession } from "../../src/store/tokens.js";
import { lane, noon } from "../kit/small-house.js";

const server = await openServer();
afterAll(() => server?.close());
const url = (await server?.database()) ?? "";
const engines: [string, string | undefined][] = [
  ["SQLite", ":memory:"],
  ["PostgreSQL", url || undefined],
];
const account = (contact: string, role: Account["role"] = "duty"): Account => ({
  ...{ contact, role, hash: `hash of ${contact}`, madeAt: noon, madeBy: "isla" },
});

describe.each(engines)("on %s", (_name, at) => {
  let store: Store;
  beforeEach(async () => {
    if (at === url) await server?.empty(url);
    if (at !== undefined) store = await openStore(at, noon);
  });
  afterEach(() => store?.close());
  const rule = it.skipIf(at === undefined);

  rule("an account is made once, and an ended one may be made anew", async () => {
    const { db } = store;
    await makeAccount(db, account("isla", "manager"));
    expect(await makeAccount(db, account("morag"))).toBe(true);
    expect(await makeAccount(db, { ...account("morag"), hash: "other" })).toBe(false);
    expect((await accountOf(db, "morag"))?.hash).toBe("hash of morag");
    expect(await changeAccount(db, "morag", { endedAt: noon })).toBe("done");
    expect(await accountOf(db, "morag")).toBeUndefined();
    expect(await makeAccount(db, { ...account("morag"), hash: "other" })).toBe(true);
    expect((await accountsOf(db)).map((a) => [a.contact, a.hash])).toEqual([
      ["isla", "hash of isla"],
      ["morag", "other"],
    ]);
  });

  rule(
    "settings make a manager once; one that was ended or changed at the desk stays so",
    async () => {
      const { db } = store;
      expect(await seedAccounts(db, { isla: "a", morag: "b" }, noon)).toEqual(["isla", "morag"]);
      await changeAccount(db, "morag", { endedAt: noon });
      await changeAccount(db, "isla", { hash: "mine" });
      expect(await seedAccounts(db, { isla: "a", morag: "b", callum: "c" }, noon)).toEqual([
        "callum",
      ]);
      expect((await accountsOf(db)).map((a) => [a.contact, a.role, a.hash])).toEqual([
        ["callum", "manager", "c"],
        ["isla", "manager", "mine"],
      ]);
    },
  );

  rule("one manager always stays, even when two end each other at once", async () => {
    const { db } = store;
    await seedAccounts(db, { isla: "a", morag: "b" }, noon);
    const ended = await Promise.all(
      ["isla", "morag"].map((who) => changeAccount(db, who, { endedAt: noon })),
    );
    expect([...ended].sort()).toEqual(["done", "last"]);
    const [left] = await accountsOf(db);
    expect(await changeAccount(db, left?.contact ?? "", { role: "duty" })).toBe("last");
    expect(await changeAccount(db, left?.contact ?? "", { hash: "new" })).toBe("done");
    expect(await changeAccount(db, "nobody", { hash: "new" })).toBe("unknown");
  });

  rule("a changed or ended account has no session any more, and others keep theirs", async () => {
    const { db } = store;
    await seedAccounts(db, { isla: "a", morag: "b" }, noon);
    for (const change of [{ hash: "n" }, { role: "duty" as const }, { endedAt: noon }]) {
      const mine = await openDeskSession(db, "morag", noon);
      const theirs = await openDeskSession(db, "isla", noon);
      await changeAccount(db, "morag", change);
      expect(await seeDeskSession(db, mine.token, noon, noon)).toBeUndefined();
      expect((await seeDeskSession(db, theirs.token, noon, noon))?.contact).toBe("isla");
    }
  });

  rule(
    "wrong passwords count for the pair until its next success, for address and account an hour",
    async () => {
      const { db } = store;
      const tried = (minutes: number, contact: string, address: string, fits = false) =>
        noteSignIn(db, { at: later(noon, minutes), contact, address, fits });
      await tried(-90, "morag", "a");
      await tried(-30, "morag", "a");
      await tried(-20, "morag", "a", true);
      await tried(-10, "morag", "a");
      await tried(-5, "morag", "b");
      await tried(-5, "callum", "a");
      const found = async (contact: string, address: string) => {
        const f = await failuresOf(db, { contact, address }, noon);
        return [f.pair.length, f.address.length, f.account.length, f.known];
      };
      expect(await found("morag", "a")).toEqual([1, 3, 3, true]);
      expect(await found("morag", "b")).toEqual([1, 1, 3, false]);
      expect(await found("isla", "c")).toEqual([0, 0, 0, false]);
    },
  );

  rule(
    "the trail gives what was done in a time, by whom it is asked, the latest first",
    async () => {
      const { db } = store;
      for (const [n, contact] of ["morag", "isla", "morag"].entries())
        await addTrace(db, { at: later(noon, n), contact, what: `act ${n}`, about: "h1" });
      const all = { from: noon, until: later(noon, 60), most: 10 };
      expect((await tracesOf(db, all)).map((t) => t.what)).toEqual(["act 2", "act 1", "act 0"]);
      expect(
        (await tracesOf(db, { ...all, contact: "morag", most: 1 })).map((t) => t.what),
      ).toEqual(["act 2"]);
      expect(await tracesOf(db, { ...all, until: later(noon, 1), contact: "isla" })).toEqual([]);
    },
  );

  rule("the trail names what was done by message, and nothing that was written", async () => {
    const acts: [string, string, DeskAct?][] = [
      ["telegram:1", "your code is 4711", { do: "reply", text: "your code is 4711", callout: 2 }],
      ["telegram:2", "a private note", { do: "note", note: "a private note" }],
      ["telegram:3", "stands in"],
      ["desk:4", "has its own row", { do: "take", callout: 2 }],
    ];
    const staff = { kind: "staff", person: null, channel: "desk", who: "duty:Morag" } as const;
    const events = acts.map(([arrival, text, act]) => ({
      ...staff,
      text,
      more: { arrival, contact: "morag", ...(act ? { act } : {}) },
    }));
    await addEvents(store.db, lane(), noon, events);
    const traces = await tracesOf(store.db, { from: noon, until: later(noon, 1), most: 10 });
    expect(traces.map((t) => [t.contact, t.what, t.about]).sort()).toEqual([
      ["morag", "by message: note", "hire:h1"],
      ["morag", "by message: reply", "hire:h1, call-out 2"],
      ["morag", "by message: stands in", "hire:h1"],
    ]);
  });

  rule(
    "lets go of tries and ended sessions before one time, and of traces before another",
    async () => {
      const { db } = store;
      for (const minutes of [0, 10, 20]) {
        const at = later(noon, minutes);
        await noteSignIn(db, { at, contact: "morag", address: "a", fits: true });
        await openDeskSession(db, "morag", at);
        await addTrace(db, { at, contact: "morag", what: `act ${minutes}`, about: "" });
      }
      await dropTraces(db, { signIns: later(noon, 20), trail: later(noon, 10) });
      const left = async (table: "sign_ins" | "desk_sessions") =>
        (await db.selectFrom(table).selectAll().execute()).length;
      expect([await left("sign_ins"), await left("desk_sessions")]).toEqual([1, 1]);
      const all = { from: noon, until: later(noon, 60), most: 10 };
      expect((await tracesOf(db, all)).map((t) => t.what)).toEqual(["act 20", "act 10"]);
    },
  );
});
