/** Roster and contacts as they were changed at the desk, and what the firm's lane sets going in a hire's, on both engines. */
import { afterAll, afterEach, beforeEach, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { firmReader } from "../../src/firm-now.js";
import type { Step } from "../../src/hires/hire.js";
import { firmLane } from "../../src/lanes.js";
import type { Arrival, FirmAct } from "../../src/post.js";
import type { FirmState } from "../../src/roster/duty/state.js";
import { fileArrival, nextWaiting, outcomeOf } from "../../src/store/arrivals.js";
import { commit } from "../../src/store/commit.js";
import { latestEvents } from "../../src/store/events.js";
import { latestChanges } from "../../src/store/firm/rosters.js";
import { loadLane } from "../../src/store/hires.js";
import { openStore, type Store } from "../../src/store/open.js";
import type { Db } from "../../src/store/tables.js";
import { book } from "../kit/hire.js";
import { lane, noon } from "../kit/small-house.js";

const server = await openServer();
afterAll(() => server?.close());
const url = (await server?.database()) ?? "";
const engines: [string, string | undefined][] = [
  ["SQLite", ":memory:"],
  ["PostgreSQL", url || undefined],
];
const none = { version: 0, contacts: {} };

/** The same database, whose answers come only after `until` has; `asked` is called when it has given the first. */
function answeringLate<T extends object>(of: T, asked: () => void, until: Promise<void>): T {
  return new Proxy(of, {
    get(target, name) {
      const part: unknown = Reflect.get(target, name, target);
      if (typeof part !== "function") return part;
      return (...args: unknown[]) => {
        const made: unknown = part.apply(target, args);
        if (made instanceof Promise)
          return made.then((answer) => {
            asked();
            return until.then(() => answer);
          });
        return typeof made === "object" && made ? answeringLate(made, asked, until) : made;
      };
    },
  });
}

describe.each(engines)("on %s", (_name, at) => {
  let store: Store;
  beforeEach(async () => {
    if (at === url) await server?.empty(url);
    if (at !== undefined) store = await openStore(at, noon);
  });
  afterEach(() => store?.close());

  const state = (version: number): FirmState => ({
    version,
    contacts: {},
    roster: { weekly: [], exceptions: [], fallback: version % 2 === 0 ? "morag" : "isla" },
    changedBy: "morag",
    changedAt: noon,
    says: `change ${version}`,
    on: ["morag"],
    lookedAt: noon,
    tests: [],
  });
  /** One turn of the firm's lane that ends in this state; `fails`: its last part is refused. */
  async function turn(n: number, posts: Arrival[] = [], fails = false): Promise<void> {
    const act: FirmAct = {
      do: "roster",
      base: n - 1,
      roster: { weekly: [], exceptions: [], fallback: "isla" },
      says: `change ${n}`,
    };
    await fileArrival(store.db, {
      key: `k${n}`,
      lane: firmLane,
      receivedAt: noon,
      body: { kind: "firm", by: "morag", act },
    });
    const waiting = await nextWaiting(store.db);
    if (!waiting) throw new Error("nothing waits");
    const before = await loadLane(store.db, firmLane);
    const step: Step = {
      state: { kind: "firm", firm: state(n) },
      sends: [],
      dues: [],
      because: [`version ${n} by morag`],
      posts,
    };
    const crash = (point: string) => {
      if (fails && point === "commit: all but the end") throw new Error("cut off");
    };
    await commit(
      store.db,
      { waiting, before, step, now: noon, atOnce: new Set(), nameOf: () => "Morag" },
      crash,
    );
  }
  const versions = async () =>
    (await store.db.selectFrom("rosters").select("version").orderBy("version").execute()).map(
      (r) => r.version,
    );

  it.skipIf(at === undefined)("every version is kept, and the latest holds", async () => {
    expect(await latestChanges(store.db, none)).toBe(none);
    for (const n of [1, 2, 3]) await turn(n);
    expect(await versions()).toEqual([1, 2, 3]);
    const latest = await latestChanges(store.db, none);
    expect(latest).toMatchObject({ version: 3, roster: { fallback: "isla" } });
    // Nothing is read anew that is known.
    expect(await latestChanges(store.db, latest)).toBe(latest);
    const [event] = (await latestEvents(store.db, firmLane, 9)).filter((e) => e.kind === "staff");
    expect(event).toMatchObject({ kind: "staff", who: "duty:Morag", text: "change 3" });
    expect(await outcomeOf(store.db, "k3")).toEqual(["version 3 by morag"]);
    expect(await outcomeOf(store.db, "k9")).toBeUndefined();
  });
  it.skipIf(at === undefined)("no reader goes back behind what another has read", async () => {
    const clock = { now: () => noon };
    const read = firmReader({ book, clock, hook: false });
    const fallback = ({ book: { firm } }: Awaited<ReturnType<typeof read>>) => firm.roster.fallback;
    let answer = () => {};
    const until = new Promise<void>((done) => {
      answer = done;
    });
    let late = Promise.resolve<Awaited<ReturnType<typeof read>> | undefined>(undefined);
    await new Promise<void>((asked) => {
      late = read(answeringLate<Db>(store.db, asked, until), []);
    });
    await turn(1);
    const first = await read(store.db, []);
    expect([first.version, fallback(first)]).toEqual([1, "isla"]);
    answer();
    expect((await late)?.version).toBe(1);
    expect((await read(store.db, [])).book).toBe(first.book);
  });
  it.skipIf(at === undefined)(
    "a version and what it sets going in a hire come together, or not at all",
    async () => {
      const matter = { kind: "hand-over", callout: 1, from: "morag" } as const;
      const post: Arrival = {
        key: "k1:hand",
        lane: lane(),
        receivedAt: noon,
        body: { kind: "due", due: "callout:1:hand", generation: 0, matter },
      };
      await expect(turn(1, [post], true)).rejects.toThrow("cut off");
      expect(await versions()).toEqual([]);
      expect((await nextWaiting(store.db))?.arrival.key).toBe("k1");
      await turn(1, [post]);
      expect(await versions()).toEqual([1]);
      expect((await nextWaiting(store.db))?.arrival).toEqual(post);
    },
  );
});
