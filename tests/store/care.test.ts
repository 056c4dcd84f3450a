/** Drafts, photos and vans on both engines: what two phones write is joined, and what a turn posts is stored with it. */
import { afterAll, afterEach, beforeEach, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { after as later } from "../../src/calendar.js";
import type { Callout } from "../../src/callouts/callout.js";
import type { Hire, LaneState } from "../../src/hires/hire.js";
import type { Arrival, LaneId } from "../../src/post.js";
import { fileArrival, nextWaiting } from "../../src/store/arrivals.js";
import {
  addPhoto,
  draftOf,
  marksOf,
  type PhotoRow,
  photosOf,
  saveDraft,
} from "../../src/store/care/records.js";
import { notBackBefore, overdue, readingsOf, vanOf, vansCare } from "../../src/store/care/vans.js";
import { commit } from "../../src/store/commit.js";
import { openMatters } from "../../src/store/firm/rosters.js";
import { loadLane, makeHire, vansKnown } from "../../src/store/hires.js";
import { openStore, type Store } from "../../src/store/open.js";
import type { Handover } from "../../src/vans/handover.js";
import { newVan } from "../../src/vans/van.js";
import { booking, lane, noon, said, smallStep } from "../kit/small-house.js";

const server = await openServer();
afterAll(() => server?.close());
const url = (await server?.database()) ?? "";
const engines: [string, string | undefined][] = [
  ["SQLite", ":memory:"],
  ["PostgreSQL", url || undefined],
];
const photo = (id: string, more: Partial<PhotoRow> = {}): PhotoRow => ({
  ...{ id, hire: "h1", kind: "pickup", registration: "SX26 ABC", side: "front" },
  ...{ type: "image/jpeg", bytes: 9, sha256: "ab", shown: 1, taken_at: null },
  ...{ received_at: noon, by: "morag", mark: null, kept_at: null, ...more },
});
const handover = (photos: Handover["photos"]): Handover => ({
  ...{ registration: "SX26 ABC", by: "morag", unit: "miles", kit: [], photos, drivers: [] },
  ...{ points: [], faults: [], confirmed: [] },
});

describe.each(engines)("on %s", (_name, at) => {
  let store: Store;
  beforeEach(async () => {
    if (at === url) await server?.empty(url);
    if (at !== undefined) store = await openStore(at, noon);
  });
  afterEach(() => store?.close());
  const rule = it.skipIf(at === undefined);

  /** Takes the next turn; `change` says what its step made. */
  async function turn(change: (state: LaneState | undefined) => LaneState, posts: Arrival[] = []) {
    const waiting = await nextWaiting(store.db);
    if (!waiting) throw new Error("nothing waits");
    const before = await loadLane(store.db, waiting.arrival.lane);
    const step = { state: change(before.state), sends: [], dues: [], because: [], posts };
    const rest = { atOnce: new Set<string>(), nameOf: (c: string) => c };
    return commit(store.db, { waiting, before, step, now: noon, ...rest });
  }
  async function booked(hire = "h1", more = {}): Promise<void> {
    await makeHire(store.db, booking(hire, more), noon);
    await turn((state) => {
      const made = smallStep(
        state,
        { body: { kind: "booked", booking: booking(hire, more) } } as Arrival,
        {} as never,
      );
      return made.state as LaneState;
    });
  }
  const hireIn = (state: LaneState | undefined): Hire => {
    if (state?.kind !== "hire") throw new Error("no hire");
    return state.hire;
  };

  rule("twenty writers on one draft lose nothing of each other", async () => {
    const names = Array.from({ length: 20 }, (_, i) => `field-${i}`);
    await Promise.all(
      names.map((name, i) =>
        saveDraft(store.db, "h1", "pickup", { [name]: `${i}` }, "morag", noon),
      ),
    );
    const draft = await draftOf(store.db, "h1", "pickup");
    expect(Object.keys(draft?.fields ?? {}).sort()).toEqual(names.sort());
    expect(await draftOf(store.db, "h1", "return")).toBeUndefined();
  });

  rule(
    "a record that is kept ends its draft, and keeps its photos and marks and no others",
    async () => {
      await booked();
      expect(await addPhoto(store.db, photo("a"))).toBe(true);
      expect(await addPhoto(store.db, photo("a", { sha256: "other" }))).toBe(false);
      await addPhoto(store.db, photo("b", { received_at: later(noon, 1) }));
      await saveDraft(store.db, "h1", "pickup", { odometer: "1" }, "morag", noon);
      const keep = async (id: string, minutes: number) => {
        const photos = [{ id, side: "front", mark: "dent", receivedAt: noon, sha256: "ab" }];
        const reading = { at: noon, by: "Morag" };
        await fileArrival(store.db, said("record", minutes));
        await turn((state) => ({
          kind: "hire",
          hire: {
            ...hireIn(state),
            pickup: { ...handover(photos), reading, at: later(noon, minutes) },
          },
        }));
      };
      await keep("a", 5);
      expect(await draftOf(store.db, "h1", "pickup")).toBeUndefined();
      expect((await marksOf(store.db, "SX26 ABC")).map((m) => [m.id, m.mark])).toEqual([
        ["a", "dent"],
      ]);
      await keep("b", 6);
      expect((await marksOf(store.db, "SX26 ABC")).map((m) => m.id)).toEqual(["b"]);
      expect(
        (await photosOf(store.db, "h1", "pickup")).map((p) => [p.id, p.kept_at === null]),
      ).toEqual([
        ["a", true],
        ["b", false],
      ]);
    },
  );

  rule(
    "an open call-out of a van that was given up is listed with that van, any other with the one they have",
    async () => {
      await booked("h1", { van: { registration: "SX26 NEW", type: "wren" } });
      const of = (n: number, van?: Callout["van"]): Callout => ({
        ...{
          n,
          kind: "light",
          matter: `m${n}`,
          title: `Light ${n}`,
          severity: "stop",
          person: "p1",
        },
        ...{ state: "nobody-yet", openedAt: noon, answerBy: later(noon, n), alerted: [] },
        ...{ round: 0, generation: 0, ...(van ? { van } : {}) },
      });
      const before = { registration: "SX26 ABC", type: "curlew" };
      await fileArrival(store.db, said("light", 1));
      await turn((state) => ({
        kind: "hire",
        hire: { ...hireIn(state), callouts: [of(1, before), of(2)], vansBefore: [before] },
      }));
      expect((await openMatters(store.db)).map((m) => [m.n, m.registration])).toEqual([
        [1, "SX26 ABC"],
        [2, "SX26 NEW"],
      ]);
    },
  );

  rule("the marks of a van that was given up stay when the next van's record is kept", async () => {
    await booked();
    await addPhoto(store.db, photo("a"));
    await addPhoto(store.db, photo("b", { registration: "SX26 XYZ" }));
    for (const [id, registration, minutes] of [
      ["a", "SX26 ABC", 5],
      ["b", "SX26 XYZ", 6],
    ] as const) {
      const photos = [{ id, side: "front", mark: "dent", receivedAt: noon, sha256: "ab" }];
      const record = { ...handover(photos), registration, reading: { at: noon, by: "Morag" } };
      await fileArrival(store.db, said("record", minutes));
      await turn((state) => ({
        kind: "hire",
        hire: { ...hireIn(state), pickup: { ...record, at: later(noon, minutes) } },
      }));
    }
    for (const [id, registration] of [
      ["a", "SX26 ABC"],
      ["b", "SX26 XYZ"],
    ] as const)
      expect((await marksOf(store.db, registration)).map((m) => m.id)).toEqual([id]);
  });

  rule("what a turn posts to a van's lane is stored with it, once, and waits there", async () => {
    await booked();
    const of = "van:SX26 ABC" as LaneId;
    const act = { do: "note-fault", title: "step bent", severity: "soon" } as const;
    const body = {
      kind: "van",
      by: "morag",
      registration: "SX26 ABC",
      type: "curlew",
      act,
    } as const;
    const post: Arrival = { key: "k:van1", lane: of, receivedAt: noon, body };
    await fileArrival(store.db, said("fault", 1));
    expect((await turn((state) => state as LaneState, [post, post])).kind).toBe("done");
    expect((await nextWaiting(store.db))?.arrival).toEqual(post);
    await turn(() => ({ kind: "van", van: newVan("SX26 ABC", "curlew") }));
    expect(await nextWaiting(store.db)).toBeUndefined();
    expect((await vanOf(store.db, "SX26 ABC"))?.type).toBe("curlew");
    expect([...(await vansCare(store.db)).keys()]).toEqual(["SX26 ABC"]);
  });

  rule(
    "a hire past its time without a return record is overdue; one before another is not back",
    async () => {
      await booked("h1", {
        surname: "Stone",
        pickupAt: later(noon, -600),
        returnAt: later(noon, -60),
      });
      await booked("h2", { pickupAt: later(noon, -30) });
      await booked("h3", {
        pickupAt: later(noon, -700),
        returnAt: later(noon, -650),
        status: "cancelled",
      });
      const stone = { hire: "h1", surname: "Stone" };
      expect(await overdue(store.db, noon)).toEqual(new Map([["SX26 ABC", [stone]]]));
      expect(await notBackBefore(store.db, "SX26 ABC", "h2", later(noon, -30))).toEqual([stone]);
      expect(await notBackBefore(store.db, "SX26 XYZ", "h2", noon)).toEqual([]);
    },
  );

  rule("the readings of a van come in order of time, over all its hires", async () => {
    for (const [hire, minutes, odometerKm] of [
      ["h1", 5, 100],
      ["h2", 3, 90.5],
    ] as const) {
      await booked(hire);
      await fileArrival(store.db, { ...said("read", minutes), lane: lane(hire) });
      await turn((state) => ({
        kind: "hire",
        hire: {
          ...hireIn(state),
          readings: [{ at: later(noon, minutes), by: "Kit", odometerKm, oil: "max" }],
        },
      }));
    }
    expect(
      (await readingsOf(store.db, "SX26 ABC")).map((r) => [r.hire, r.odometerKm, r.fluid]),
    ).toEqual([
      ["h2", 90.5, undefined],
      ["h1", 100, undefined],
    ]);
    expect(await readingsOf(store.db, "SX26 ABC", 1)).toMatchObject([{ hire: "h1", oil: "max" }]);
  });

  rule(
    "a van keeps its latest odometer and its readings where an earlier one is written anew",
    async () => {
      let n = 0;
      const change = async (id: string, make: (hire: Hire) => void) => {
        await fileArrival(store.db, said("say thanks", ++n, id));
        await turn((state) => {
          const hire = structuredClone(hireIn(state));
          make(hire);
          return { kind: "hire", hire };
        });
      };
      const read = (minutes: number, odometerKm: number) => (hire: Hire) => {
        hire.readings.push({ at: later(noon, minutes), by: "Ann", odometerKm });
      };
      const vans = async () =>
        (await vansKnown(store.db)).map((v) => [v.registration, v.odometer_km] as const);
      for (const id of ["h1", "h2"]) await booked(id);
      await change("h1", read(1, 92_000));
      await change("h2", read(2, 93_000));
      // A booking that was given another van, and a hire whose names are let go of.
      await change("h1", (hire) => {
        hire.booking.van = { ...hire.booking.van, registration: "SX26 XYZ" };
        for (const reading of hire.readings) reading.by = "";
      });
      expect(await vans()).toEqual([
        ["SX26 ABC", 93_000],
        ["SX26 XYZ", null],
      ]);
      await change("h1", read(3, 40_000));
      // A record that is corrected later.
      await change("h2", (hire) => {
        for (const reading of hire.readings) reading.odometerKm = 92_900;
      });
      expect(await vans()).toEqual([
        ["SX26 ABC", 92_900],
        ["SX26 XYZ", 40_000],
      ]);
      const kept = async (registration: string) =>
        (await readingsOf(store.db, registration)).map((r) => [r.hire, r.odometerKm]);
      expect(await kept("SX26 ABC")).toEqual([
        ["h1", 92_000],
        ["h2", 92_900],
      ]);
      expect(await kept("SX26 XYZ")).toEqual([["h1", 40_000]]);
    },
  );

  rule("what was read and shot of a van that is back goes with its registration", async () => {
    let n = 0;
    const change = async (make: (hire: Hire) => void) => {
      await fileArrival(store.db, said("say thanks", `plate-${++n}`));
      await turn((state) => {
        const hire = structuredClone(hireIn(state));
        make(hire);
        return { kind: "hire", hire };
      });
    };
    await booked();
    await addPhoto(store.db, photo("front", { kept_at: noon, mark: "dent" }));
    await change((hire) => {
      hire.readings.push({ at: later(noon, 1), by: "Ann", odometerKm: 92_000 });
      hire.returnRecordAt = later(noon, 1);
    });
    await change((hire) => {
      hire.booking.van = { ...hire.booking.van, registration: "SX26 XYZ" };
    });
    expect((await vansKnown(store.db)).map((v) => [v.registration, v.odometer_km])).toEqual([
      ["SX26 ABC", null],
      ["SX26 XYZ", 92_000],
    ]);
    expect(await readingsOf(store.db, "SX26 ABC")).toEqual([]);
    expect((await marksOf(store.db, "SX26 XYZ")).map((p) => p.mark)).toEqual(["dent"]);
  });
});
