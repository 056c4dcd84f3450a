/** Kept wordings and what was heard, on both engines: in order, once, and followed by every process. */
import { afterAll, afterEach, beforeEach, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { after as later } from "../../src/calendar.js";
import type { Callout } from "../../src/callouts/callout.js";
import type { Hire } from "../../src/hires/hire.js";
import { matcherReader } from "../../src/matcher-now.js";
import { fileArrival, nextWaiting } from "../../src/store/arrivals.js";
import { commit } from "../../src/store/commit.js";
import { loadLane, makeHire } from "../../src/store/hires.js";
import { openStore, type Store } from "../../src/store/open.js";
import { heardSince } from "../../src/store/wordings/heard.js";
import {
  actOnWording,
  type WordingAct,
  wordingsKept,
  wordingsSince,
} from "../../src/store/wordings/kept.js";
import { openedSince } from "../../src/store/wordings/opened.js";
import { verdictOf } from "../../src/wordings/changes.js";
import { matcher } from "../kit/hire.js";
import { booking, noon, said, smallStep } from "../kit/small-house.js";

const server = await openServer();
afterAll(() => server?.close());
const url = (await server?.database()) ?? "";
const engines: [string, string | undefined][] = [
  ["SQLite", ":memory:"],
  ["PostgreSQL", url || undefined],
];
const act = (does: "keep" | "drop", ask: string, entry = "first-aid"): WordingAct => ({
  does,
  ask,
  entry,
  by: "morag",
  at: noon,
});

describe.each(engines)("on %s", (_name, at) => {
  let store: Store;
  beforeEach(async () => {
    if (at === url) await server?.empty(url);
    if (at !== undefined) store = await openStore(at, noon);
  });
  afterEach(() => store?.close());
  const rule = it.skipIf(at === undefined);

  rule("a wording is kept once, taken back, and may be kept again", async () => {
    const { db } = store;
    expect(await actOnWording(db, act("drop", "one zork"))).toBe("known");
    expect(await actOnWording(db, act("keep", "one zork"))).toBe("new");
    expect(await actOnWording(db, act("keep", "one zork"))).toBe("known");
    expect(await actOnWording(db, act("keep", "two zork"))).toBe("new");
    expect(await actOnWording(db, act("drop", "one zork"))).toBe("new");
    expect((await wordingsKept(db)).map((k) => k.ask)).toEqual(["two zork"]);
    expect(await actOnWording(db, act("keep", "one zork"))).toBe("new");
    expect((await wordingsSince(db, 0)).map((a) => [a.version, a.does, a.ask])).toEqual([
      [1, "keep", "one zork"],
      [2, "keep", "two zork"],
      [3, "drop", "one zork"],
      [4, "keep", "one zork"],
    ]);
  });

  rule("acts at the same moment get numbers without a gap, and none is lost", async () => {
    const asks = Array.from({ length: 8 }, (_, i) => `zork ${i}`);
    await Promise.all(asks.map((ask) => actOnWording(store.db, act("keep", ask))));
    expect((await wordingsSince(store.db, 0)).map((a) => a.version)).toEqual([
      1, 2, 3, 4, 5, 6, 7, 8,
    ]);
    expect((await wordingsKept(store.db)).map((k) => k.ask).sort()).toEqual(asks);
  });

  rule(
    "every reader follows at its next look, also one that starts later; an unknown entry changes nothing",
    {
      timeout: 60_000,
    },
    async () => {
      const { db } = store;
      const early = matcherReader(matcher);
      const told = async (read: typeof early, text: string) =>
        verdictOf(await read(db), { text, van: "curlew" })?.entries[0];
      expect(await early(db)).toBe(matcher);
      await actOnWording(db, act("keep", "where did the flumsticks go"));
      await actOnWording(db, act("keep", "zork zork", "gone-entry"));
      const late = matcherReader(matcher);
      for (const read of [early, late]) {
        expect(await told(read, "where did the flumsticks go")).toBe("first-aid");
        expect((await read(db)).taught).toHaveLength(1);
      }
      await actOnWording(db, act("drop", "where did the flumsticks go"));
      await actOnWording(db, act("drop", "zork zork", "gone-entry"));
      for (const read of [early, late]) {
        expect(await told(read, "where did the flumsticks go")).not.toBe("first-aid");
        expect((await read(db)).index).toBe(matcher.index);
      }
    },
  );

  rule(
    "what was heard comes with its reasons, van and names, in order, and nothing older",
    async () => {
      const { db } = store;
      const turn = async (now = noon) => {
        const waiting = await nextWaiting(db);
        if (!waiting) throw new Error("nothing waits");
        const before = await loadLane(db, waiting.arrival.lane);
        const step = smallStep(before.state, waiting.arrival, { now } as never);
        await commit(db, { waiting, before, step, now, atOnce: new Set(), nameOf: (c) => c });
      };
      await makeHire(db, booking("h1"), noon);
      await turn();
      for (const [n, text] of ["say one", "say two", "say three"].entries()) {
        await fileArrival(db, said(text, n));
        await turn(later(noon, n));
      }
      const heard = await heardSince(db, later(noon, 1));
      expect(heard.map((h) => [h.text, h.because, h.van, h.person])).toEqual([
        ["say two", ["said"], "curlew", "p1"],
        ["say three", ["said"], "curlew", "p1"],
      ]);
      expect(heard[0]?.names).toEqual(["Example", "Ann"]);
      expect((await heardSince(db, noon, 1)).map((h) => h.text)).toEqual(["say three"]);
    },
  );

  rule(
    "call-outs come with the van of then, and are taken, joined or ended; a task of staff is none",
    async () => {
      const { db } = store;
      const turn = async (minutes: number, make: (hire: Hire) => void) => {
        const now = later(noon, minutes);
        const waiting = await nextWaiting(db);
        if (!waiting) throw new Error("nothing waits");
        const before = await loadLane(db, waiting.arrival.lane);
        const { state } = before.state
          ? { state: structuredClone(before.state) }
          : smallStep(undefined, waiting.arrival, { now } as never);
        if (state?.kind !== "hire") throw new Error("no hire");
        make(state.hire);
        const step = { state, sends: [], dues: [], because: [], posts: [] };
        await commit(db, { waiting, before, step, now, atOnce: new Set(), nameOf: (c) => c });
      };
      const next = async (minutes: number, make: (hire: Hire) => void) => {
        await fileArrival(db, said("say thanks", minutes));
        await turn(minutes, make);
      };
      const callout = (n: number, minutes: number, more: Partial<Callout>): Callout => ({
        ...{ n, kind: "light", matter: `m${n}`, title: "t", severity: "stop", state: "nobody-yet" },
        ...{ openedAt: later(noon, minutes), person: "p1", answerBy: later(noon, minutes + 5) },
        ...{ alerted: [], round: 0, generation: 0, ...more },
      });
      await makeHire(db, booking("h1"), noon);
      await turn(0, (hire) => {
        hire.callouts.push(
          ...[callout(1, 0, {}), callout(2, 0, {}), callout(3, 0, {})],
          callout(4, 0, { kind: "reading", severity: "note", state: "with", with: "morag" }),
        );
      });
      await next(4, (hire) => {
        const [first, second] = hire.callouts;
        if (first) Object.assign(first, { state: "with", with: "morag" });
        if (second) Object.assign(second, { state: "done", outcome: "joined", joinedTo: 1 });
      });
      await next(9, (hire) => {
        hire.vansBefore = [{ ...hire.booking.van, until: later(noon, 9) }];
        hire.booking.van = { ...hire.booking.van, registration: "SX26 XYZ" };
        hire.callouts.push(callout(5, 9, {}));
      });
      const opened = await openedSince(db, noon);
      expect(opened.map((o) => [o.registration, o.takenAt]).sort()).toEqual([
        ["SX26 ABC", undefined],
        ["SX26 ABC", later(noon, 4)],
        ["SX26 ABC", later(noon, 4)],
        ["SX26 XYZ", undefined],
      ]);
    },
  );
});
