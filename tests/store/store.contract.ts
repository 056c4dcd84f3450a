/** What every engine's store must do; each engine's test file runs this once. */
import { sql } from "kysely";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { instantOf, after as minutesAfter } from "../../src/calendar.js";
import type { LaneState, Step } from "../../src/hires/hire.js";
import type { Due, Send } from "../../src/post.js";
import { whoseChat } from "../../src/store/addresses/phones.js";
import {
  closeArrival,
  failedArrivals,
  fileArrival,
  nextWaiting,
  oldestWaitingAt,
} from "../../src/store/arrivals.js";
import { commit } from "../../src/store/commit.js";
import { duesOf, fileDues, nextDueAt, setDue } from "../../src/store/dues.js";
import { eventsOf, eventsOfPerson, findButton } from "../../src/store/events.js";
import {
  hiresBack,
  hiresOnRoad,
  hiresToCome,
  loadLane,
  makeHire,
  openCallouts,
  vansKnown,
} from "../../src/store/hires.js";
import type { Store } from "../../src/store/open.js";
import {
  markSend,
  nextSendAt,
  notDelivered,
  startedSends,
  takeSends,
} from "../../src/store/sends.js";
import type { Db } from "../../src/store/tables.js";
import {
  closeDeskSession,
  contactsSeenSince,
  findDeskSession,
  findLink,
  newLink,
  openDeskSession,
  revokeLinks,
  seeDeskSession,
} from "../../src/store/tokens.js";
import { booking, lane, noon, said, smallStep } from "../kit/small-house.js";

const none = new Set<string>();
const facts = { now: noon } as never;

/** Takes one turn by hand with the small step; gives what the commit said. */
async function turn(db: Db, now = noon, change: (step: Step) => Step = (s) => s) {
  const waiting = await nextWaiting(db);
  if (!waiting) throw new Error("nothing waits");
  const before = await loadLane(db, waiting.arrival.lane);
  const step = change(smallStep(before.state, waiting.arrival, facts));
  return commit(db, { waiting, before, step, now, atOnce: none, nameOf: (c) => c });
}

async function booked(db: Db, hire = "h1"): Promise<void> {
  await makeHire(db, booking(hire), noon);
  await turn(db);
}

/** Runs the contract against stores that `open` makes: empty ones, each time. */
export function storeContract(name: string, open: () => Promise<Store>): void {
  describe(`a store on ${name}`, () => {
    let store: Store;
    let db: Db;
    beforeEach(async () => {
      store = await open();
      db = store.db;
    });
    afterEach(() => store.close());

    it("keeps an arrival once per key and hands out the oldest first", async () => {
      expect(await fileArrival(db, said("say one", 1))).toBe("new");
      expect(await fileArrival(db, said("say other", 1))).toBe("known");
      expect(await fileArrival(db, said("say two", 2, "h2"))).toBe("new");
      expect((await nextWaiting(db))?.arrival).toEqual(said("say one", 1));
      expect((await nextWaiting(db, [lane()]))?.arrival.lane).toBe(lane("h2"));
      expect(await oldestWaitingAt(db)).toBe(noon);
    });

    it("gives back instants, nested bodies and letters of any script as they were", async () => {
      const arrival = said("Fährt nicht 🔥 停 \u0000 \" '", 1, "h1", minutesAfter(noon, 0.0001));
      await fileArrival(db, arrival);
      expect((await nextWaiting(db))?.arrival).toEqual(arrival);
    });

    it("commits state, sends, dues, trip log and lists together", async () => {
      await booked(db);
      await fileArrival(db, said("danger", 1));
      const done = await turn(db, minutesAfter(noon, 1));
      expect(done).toEqual({ kind: "done", lastEvent: 5, events: 4 });
      const { state, version } = await loadLane(db, lane());
      expect(version).toBe(2);
      expect(state?.kind === "hire" && state.hire.callouts.length).toBe(1);
      expect((await duesOf(db, lane())).map((d) => d.key)).toEqual(["callout:1:next"]);
      const events = await eventsOf(db, lane());
      expect(events.map((e) => [e.n, e.kind, e.who, e.text])).toEqual([
        [1, "change", "desk", "hire booked"],
        [2, "in", "hirer:Ann", "danger"],
        [3, "change", "house", "Fire: nobody yet, danger"],
        [4, "out", "hirer:Ann", "Get out. 999."],
        [5, "out", "duty:Morag", "DANGER"],
      ]);
      expect(events[2]?.more).toMatchObject({
        callout: 1,
        state: "nobody-yet",
        severity: "danger",
        because: ["danger"],
      });
      expect((await openCallouts(db)).map((c) => [c.hire, c.registration, c.severity])).toEqual([
        ["h1", "SX26 ABC", "danger"],
      ]);
      expect(await nextWaiting(db)).toBeUndefined();
    });

    it("shows a person what they said and were told, and nothing of staff", async () => {
      await booked(db);
      await fileArrival(db, said("danger", 1));
      await turn(db);
      expect((await eventsOfPerson(db, lane(), "p1")).map((e) => e.text)).toEqual([
        "danger",
        "Get out. 999.",
      ]);
      expect((await eventsOfPerson(db, lane(), "p1", 2)).map((e) => e.n)).toEqual([4]);
      expect(await eventsOfPerson(db, lane(), "p2")).toEqual([]);
    });

    it("tells one message once in the trip log, however many channels carry it", async () => {
      await booked(db);
      await fileArrival(db, said("say hello", 1));
      await turn(db, noon, (s) => ({
        ...s,
        sends: s.sends.flatMap((send): Send[] => [
          send,
          { ...send, to: { channel: "web", to: "p1" } },
        ]),
      }));
      const out = (await eventsOf(db, lane())).filter((e) => e.kind === "out");
      expect(out.map((e) => e.more.sends)).toEqual([["test:h1:1#1", "test:h1:1#2"]]);
    });

    it("names the button that was tapped", async () => {
      await booked(db);
      await fileArrival(db, said("say hello", 1));
      const buttons = [{ tap: "ok:1", label: "That worked" }];
      await turn(db, noon, (s) => ({
        ...s,
        sends: s.sends.map((send) => ({ ...send, message: { ...send.message, buttons } })),
      }));
      await fileArrival(db, {
        ...said("", 2),
        body: {
          kind: "tapped",
          from: { person: "p1", via: { channel: "telegram", to: "100" } },
          tap: "ok:1",
        },
      });
      await turn(db);
      expect((await eventsOf(db, lane())).at(-1)).toMatchObject({
        kind: "in",
        text: "That worked",
        more: { tap: "ok:1" },
      });
      expect(await findButton(db, lane(), (b) => b.tap === "ok:1")).toEqual(buttons[0]);
    });

    it("refuses a turn on a state that has moved on, and leaves no trace of it", async () => {
      await booked(db);
      await fileArrival(db, said("danger", 1));
      const waiting = await nextWaiting(db);
      const stale = await loadLane(db, lane());
      if (!waiting) throw new Error("nothing waits");
      await db.updateTable("lanes").set({ version: 7 }).where("lane", "=", lane()).execute();
      const step = smallStep(stale.state, waiting.arrival, facts);
      expect(
        await commit(db, {
          waiting,
          before: stale,
          step,
          now: noon,
          atOnce: none,
          nameOf: (c) => c,
        }),
      ).toEqual({ kind: "conflict" });
      expect(await takeSends(db, noon, 10)).toEqual([]);
      expect(await duesOf(db, lane())).toEqual([]);
      expect(await eventsOf(db, lane())).toHaveLength(1);
      expect((await nextWaiting(db))?.seq).toBe(waiting.seq);
    });

    it("does an arrival once even when two take it", async () => {
      await booked(db);
      await fileArrival(db, said("say hello", 1));
      const waiting = await nextWaiting(db);
      const before = await loadLane(db, lane());
      if (!waiting) throw new Error("nothing waits");
      const turned = {
        waiting,
        before,
        step: smallStep(before.state, waiting.arrival, facts),
        now: noon,
        atOnce: none,
        nameOf: (c: string) => c,
      };
      expect((await commit(db, turned)).kind).toBe("done");
      expect((await commit(db, turned)).kind).toBe("known");
      expect(await takeSends(db, noon, 10)).toHaveLength(1);
    });

    it("undoes everything when any part of a commit fails", async () => {
      await booked(db);
      for (const point of [
        "commit: state saved",
        "commit: sends added",
        "commit: all but the end",
      ]) {
        await fileArrival(db, said("danger", 1));
        const waiting = await nextWaiting(db);
        const before = await loadLane(db, lane());
        if (!waiting) throw new Error("nothing waits");
        const turned = {
          waiting,
          before,
          step: smallStep(before.state, waiting.arrival, facts),
          now: noon,
          atOnce: none,
          nameOf: (c: string) => c,
        };
        await expect(
          commit(db, turned, (at) => {
            if (at === point) throw new Error("crash");
          }),
        ).rejects.toThrow("crash");
        expect((await loadLane(db, lane())).version, point).toBe(1);
        expect(await takeSends(db, noon, 10), point).toEqual([]);
        expect(await duesOf(db, lane()), point).toEqual([]);
        expect(await eventsOf(db, lane()), point).toHaveLength(1);
        expect(await openCallouts(db), point).toEqual([]);
      }
    });

    it("replaces a due of the same key, drops it at null, and files it once when it comes", async () => {
      const due = (at: number): Due => ({
        key: "k",
        at: minutesAfter(noon, at),
        generation: 3,
        matter: { kind: "promise", callout: 1 },
      });
      await setDue(db, lane(), due(10), 1);
      await setDue(db, lane(), due(5), 2);
      expect(await nextDueAt(db)).toBe(minutesAfter(noon, 5));
      expect((await fileDues(db, minutesAfter(noon, 4))).filed).toBe(0);
      expect((await fileDues(db, minutesAfter(noon, 5))).filed).toBe(1);
      expect((await fileDues(db, minutesAfter(noon, 60))).filed).toBe(0);
      expect((await nextWaiting(db))?.arrival).toMatchObject({
        lane: lane(),
        body: { kind: "due", due: "k", generation: 3, matter: { kind: "promise", callout: 1 } },
      });
      await setDue(db, lane(), due(5), 3);
      await setDue(db, lane(), { ...due(5), at: null }, 4);
      expect(await nextDueAt(db)).toBeUndefined();
    });

    it("lets a due be set again for the same instant and generation: it is a new one", async () => {
      const due: Due = {
        key: "k",
        at: noon,
        generation: 0,
        matter: { kind: "hear-from", callout: 1 },
      };
      await setDue(db, lane(), due, 1);
      expect((await fileDues(db, noon)).filed).toBe(1);
      await setDue(db, lane(), due, 2);
      expect((await fileDues(db, noon)).filed).toBe(1);
    });

    it("hands out sends in order per address, safety first, and holds back what is behind a retry", async () => {
      await booked(db);
      for (const [n, text] of [
        [1, "say one"],
        [2, "say two"],
        [3, "danger"],
      ] as const) {
        await fileArrival(db, said(text, n));
        await turn(db);
      }
      const texts = async (limit = 10) =>
        (await takeSends(db, noon, limit)).map((row) => row.send.message.text);
      const mark = (key: string, state: "waiting" | "sent" | "undelivered", inMin = 0) =>
        markSend(db, key, {
          state,
          tries: 1,
          unsure: 0,
          nextAt: minutesAfter(noon, inMin),
          sentAt: state === "sent" ? noon : null,
          error: state === "undelivered" ? "gone" : null,
          outsideId: null,
        });
      expect(await texts()).toEqual(["Get out. 999.", "DANGER"]);
      expect(await texts()).toEqual([]);
      expect((await startedSends(db)).map((s) => s.key)).toEqual(["test:h1:3#1", "test:h1:3#2"]);
      await mark("test:h1:3#1", "sent");
      await mark("test:h1:3#2", "undelivered");
      expect(await texts()).toEqual(["one"]);
      await mark("test:h1:1#1", "waiting", 5);
      expect(await texts()).toEqual([]);
      expect(await nextSendAt(db, noon)).toBe(minutesAfter(noon, 5));
      expect((await notDelivered(db)).map((s) => [s.key, s.error])).toEqual([
        ["test:h1:3#2", "gone"],
      ]);
      const states = await db
        .selectFrom("sends")
        .select(["key", "state"])
        .where("key", "in", ["test:h1:3#1", "test:h1:2#1"])
        .orderBy("key")
        .execute();
      expect(states.map((row) => [row.key, row.state])).toEqual([
        ["test:h1:2#1", "waiting"],
        ["test:h1:3#1", "sent"],
      ]);
    });

    it("hands out the same where thousands wait for a few addresses", async () => {
      const lanes = ["h1", "h2", "h3"];
      for (const hire of lanes) await booked(db, hire);
      const rows = Array.from({ length: 1_500 }, (_, n) => ({
        key: `many#${n}`,
        lane: `hire:${lanes[(n * 7) % 3]}`,
        channel: n % 5 === 0 ? "hook" : "telegram",
        to_addr: String((n * 11) % 2),
        body: JSON.stringify({ message: { text: String(n) } }),
        safety: n % 97 === 0 ? 1 : 0,
        state: "waiting" as const,
        ...{ made_at: noon, tries: 0, unsure: 0, next_at: noon },
        ...{ started_at: null, started_by: null, sent_at: null, error: null, outside_id: null },
      }));
      for (let i = 0; i < rows.length; i += 50)
        await db
          .insertInto("sends")
          .values(rows.slice(i, i + 50))
          .execute();
      // Reckoned apart: of each address what is for safety, else the older; safety before all else.
      const left = [...rows];
      const heads = () => {
        const first = new Map<string, (typeof rows)[number]>();
        for (const row of [...left].sort((a, b) => b.safety - a.safety)) {
          const line = `${row.lane} ${row.channel} ${row.to_addr}`;
          if (!first.has(line)) first.set(line, row);
        }
        const inOrder = [...first.values()].sort(
          (a, b) => b.safety - a.safety || left.indexOf(a) - left.indexOf(b),
        );
        return inOrder.map((row) => row.key);
      };
      expect(heads()).toHaveLength(12);
      const sent = { state: "sent", tries: 1, unsure: 0, nextAt: noon, sentAt: noon } as const;
      for (let n = 0; n < 20; n++) {
        const wanted = heads().slice(0, 9);
        const taken = (await takeSends(db, noon, 9)).map((row) => row.key);
        expect(taken).toEqual(wanted);
        for (const key of taken) {
          await markSend(db, key, { ...sent, error: null, outsideId: null });
          left.splice(
            left.findIndex((row) => row.key === key),
            1,
          );
        }
      }
      expect(await nextSendAt(db, noon)).toBe(noon);
    });

    it("hands out answers to people before reminders and what has waited for long, and only safety of a held channel", async () => {
      for (const hire of ["h1", "h2", "h3", "h4"]) await booked(db, hire);
      await fileArrival(db, said("say old", 1, "h1", noon));
      await turn(db);
      const now = minutesAfter(noon, 10);
      await fileArrival(db, { ...said("say reminder", 1, "h2", now), key: "due:hire:h2:k:0:1" });
      await turn(db, now);
      await fileArrival(db, said("say fresh", 1, "h3", now));
      await turn(db, now);
      await fileArrival(db, said("danger", 1, "h4", now));
      await turn(db, now);
      const texts = async (limit: number, held: string[] = []) =>
        (await takeSends(db, now, limit, "", held)).map((row) => row.send.message.text);
      expect(await texts(9, ["telegram"])).toEqual(["Get out. 999.", "DANGER"]);
      expect(await texts(9, ["telegram"])).toEqual([]);
      expect(await texts(1)).toEqual(["fresh"]);
      expect(await texts(9)).toEqual(["old", "reminder"]);
    });

    it("files what somebody waits for before reminders, and only so many late ones", async () => {
      const put = (key: string, at: number, kind: "reminder" | "promise") =>
        setDue(
          db,
          lane(key),
          {
            key,
            at: minutesAfter(noon, at),
            generation: 0,
            matter: kind === "reminder" ? { kind, keys: [] } : { kind, callout: 1 },
          },
          1,
        );
      await put("a", -90, "reminder");
      await put("b", -80, "reminder");
      await put("c", -1, "reminder");
      await put("d", 0, "promise");
      await put("e", 5, "promise");
      const late = { before: minutesAfter(noon, -5), most: 1 };
      expect(await fileDues(db, noon, 9, { late })).toEqual({ filed: 3, late: 1 });
      const rows = await db.selectFrom("arrivals").select("lane").orderBy("seq").execute();
      expect(rows.map((row) => row.lane)).toEqual(["d", "c", "a"].map((key) => lane(key)));
      expect(await fileDues(db, noon, 9)).toEqual({ filed: 1, late: 0 });
      expect(await nextDueAt(db)).toBe(minutesAfter(noon, 5));
    });

    it("gives links out once, keeps only their hash, and forgets revoked ones", async () => {
      const { links } = await makeHire(db, booking(), noon, "book:1");
      expect((await makeHire(db, booking(), noon, "book:1")).links).toEqual([]);
      const token = links[0]?.token ?? "";
      expect(token).toMatch(/^[\w-]{22}$/);
      expect(await findLink(db, token, noon)).toEqual({ hire: "h1", person: "p1", kind: "chat" });
      expect(await findLink(db, token, noon, "calendar")).toBeUndefined();
      const all = JSON.stringify(await db.selectFrom("links").selectAll().execute());
      expect(all).not.toContain(token);
      const fresh = await newLink(db, booking().hire, "p1", noon);
      expect(await findLink(db, token, noon)).toBeUndefined();
      expect(await findLink(db, fresh, noon)).toMatchObject({ person: "p1" });
      expect(await revokeLinks(db, { hire: booking().hire }, noon)).toBe(1);
      expect(await findLink(db, fresh, noon)).toBeUndefined();
    });

    it("lets links live until the hire has ended for the set time, by check-in or as cancelled", async () => {
      const { links } = await makeHire(db, booking(), noon, "book:1");
      const token = links[0]?.token ?? "";
      const { pickupAt, returnAt } = booking();
      const ends = async (of: {
        return_record_at: number | null;
        status: "booked" | "cancelled";
      }) => {
        await db.deleteFrom("hires").execute();
        const van = {
          registration: "SX26 ABC",
          van_type: "curlew",
          zone: "Europe/London",
          region: "gb",
        };
        const who = { id: "h1", lane: lane(), surname: "Example", booker: "Ann" };
        const times = { pickup_at: pickupAt, return_at: returnAt };
        await db
          .insertInto("hires")
          .values({ ...who, ...van, ...times, ...of })
          .execute();
        const opens = async (at: number) =>
          (await findLink(db, token, instantOf(at))) !== undefined;
        return opens;
      };
      const never = await ends({ return_record_at: null, status: "booked" });
      expect(await never(returnAt + 1e12)).toBe(true);
      const checkedIn = await ends({ return_record_at: noon, status: "booked" });
      expect([await checkedIn(noon), await checkedIn(noon + 1)]).toEqual([true, false]);
      const cancelled = await ends({ return_record_at: null, status: "cancelled" });
      expect([await cancelled(returnAt), await cancelled(returnAt + 1)]).toEqual([true, false]);
    });

    it("knows a desk session so long after it was opened, however lately it was seen", async () => {
      const { token, csrf } = await openDeskSession(db, "morag", noon);
      expect(
        await seeDeskSession(db, token, minutesAfter(noon, 5), minutesAfter(noon, -60)),
      ).toMatchObject({
        contact: "morag",
        csrf,
        seenAt: minutesAfter(noon, 5),
      });
      expect(await contactsSeenSince(db, minutesAfter(noon, 5))).toEqual(["morag"]);
      expect(await contactsSeenSince(db, minutesAfter(noon, 6))).toEqual([]);
      const late = minutesAfter(noon, 100);
      expect(await findDeskSession(db, token, noon)).toMatchObject({ madeAt: noon });
      expect((await findDeskSession(db, token, noon))?.seenAt).toBe(minutesAfter(noon, 5));
      expect(await seeDeskSession(db, token, late, noon)).toMatchObject({ seenAt: late });
      expect(await findDeskSession(db, token, minutesAfter(noon, 1))).toBeUndefined();
      expect(await seeDeskSession(db, token, late, minutesAfter(noon, 1))).toBeUndefined();
      expect(await seeDeskSession(db, "other", noon, noon)).toBeUndefined();
      await closeDeskSession(db, token);
      expect(await seeDeskSession(db, token, noon, minutesAfter(noon, -60))).toBeUndefined();
    });

    it("lists hires by where they are, with the next reminder and the open call-outs", async () => {
      await booked(db, "h1");
      await makeHire(db, booking("h2", { pickupAt: minutesAfter(noon, 60) }), noon);
      await turn(db);
      await fileArrival(db, said("danger", 1));
      await turn(db);
      await fileArrival(db, said("later 30", 2));
      await turn(db);
      expect(
        (await hiresOnRoad(db, noon)).map((h) => [h.id, h.next_reminder_at, h.open_callouts]),
      ).toEqual([["h1", minutesAfter(noon, 30), 1]]);
      expect((await hiresToCome(db, noon)).map((h) => [h.id, h.booker])).toEqual([["h2", "Ann"]]);
      expect(await hiresBack(db)).toEqual([]);
      expect((await vansKnown(db)).map((v) => v.registration)).toEqual(["SX26 ABC"]);
    });

    it("lets the latest to join have the chat", async () => {
      await booked(db, "h1");
      await booked(db, "h2");
      const via = { channel: "telegram", to: "555" } as const;
      const join = (hire: string, n: number) =>
        fileArrival(db, {
          key: `j${n}`,
          lane: lane(hire),
          receivedAt: noon,
          body: { kind: "joined", from: { person: "p1", via } },
        });
      for (const [n, hire] of ["h1", "h2", "h1"].entries()) {
        await join(hire, n);
        await turn(db);
        expect(await whoseChat(db, via, noon)).toEqual({ lane: lane(hire), person: "p1" });
      }
      expect(await whoseChat(db, { channel: "telegram", to: "556" }, noon)).toBeUndefined();
    });

    it("writes readings once and keeps the van's latest odometer", async () => {
      await booked(db);
      const read =
        (km: number) =>
        (s: Step): Step => {
          const state = structuredClone(s.state) as Extract<LaneState, { kind: "hire" }>;
          state.hire.readings.push({
            at: noon,
            by: "p1",
            odometerKm: km,
            oil: "between",
            fluid: 0.5,
          });
          return { ...s, state };
        };
      for (const [n, km] of [92_000.5, 92_340].entries()) {
        await fileArrival(db, said("say thanks", n));
        await turn(db, noon, read(km));
      }
      const rows = await db
        .selectFrom("readings")
        .select(["n", "odometer_km", "oil", "fluid"])
        .orderBy("n")
        .execute();
      expect(rows).toEqual([
        { n: 0, odometer_km: 92_000.5, oil: "between", fluid: 0.5 },
        { n: 1, odometer_km: 92_340, oil: "between", fluid: 0.5 },
      ]);
      expect((await vansKnown(db))[0]?.odometer_km).toBe(92_340);
    });

    it("puts a failed arrival aside for a person", async () => {
      await fileArrival(db, said("throw", 1));
      expect(
        await closeArrival(db, "test:h1:1", { state: "failed", at: noon, because: ["failed"] }),
      ).toBe(true);
      expect(
        await closeArrival(db, "test:h1:1", { state: "failed", at: noon, because: ["failed"] }),
      ).toBe(false);
      expect((await failedArrivals(db)).map((a) => a.key)).toEqual(["test:h1:1"]);
    });

    it("works inside a transaction of the caller: no function goes round it", {
      timeout: 5000,
    }, async () => {
      await db.transaction().execute(async (tx) => {
        await makeHire(tx, booking(), noon);
        await fileArrival(tx, said("danger", 1));
        await setDue(
          tx,
          lane(),
          { key: "k", at: noon, generation: 0, matter: { kind: "promise", callout: 1 } },
          1,
        );
        await fileDues(tx, noon);
        await takeSends(tx, noon, 5);
        await newLink(tx, booking().hire, "p1", noon);
        await openDeskSession(tx, "morag", noon);
        await Promise.all([
          nextWaiting(tx),
          nextDueAt(tx),
          nextSendAt(tx, noon),
          openCallouts(tx),
          hiresOnRoad(tx, noon),
          notDelivered(tx),
        ]);
      });
      expect(
        await db.selectFrom("arrivals").select(sql<number>`count(*)`.as("n")).executeTakeFirst(),
      ).toEqual({ n: 3 });
    });
  });
}
