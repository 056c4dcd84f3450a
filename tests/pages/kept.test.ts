/** What a phone keeps of what is not sent, where its storage takes it and where it does not. */
import { afterEach, describe, expect, it, vi } from "vitest";
import { Kept, type Queued } from "../../src/pages/kept.js";
import { Queue } from "../../src/pages/talk/queue.js";

const item = (id: string, writtenAt: number, more: Partial<Queued> = {}): Queued => ({
  ...{ id, path: "say", body: {}, shown: id, writtenAt, state: "waiting" },
  ...more,
});

/** Storage as browsers give it, with room for so many entries; 0 where it is full or forbidden. */
function storage(room: number): void {
  const entries = new Map<string, string>();
  vi.stubGlobal("localStorage", {
    get length() {
      return entries.size;
    },
    key: (i: number) => [...entries.keys()][i] ?? null,
    getItem: (key: string) => entries.get(key) ?? null,
    setItem(key: string, value: string) {
      if (entries.size >= room) throw new DOMException("full", "QuotaExceededError");
      entries.set(key, value);
    },
    removeItem: (key: string) => entries.delete(key),
  });
}
afterEach(() => vi.unstubAllGlobals());

describe("what is kept", () => {
  it("stands in the order of writing, whether storage took it or not", () => {
    storage(1);
    const kept = new Kept("talk:h1:p1");
    for (const at of [2, 1, 3]) kept.put(item(`m${at}`, at));
    expect(kept.all().map((q) => q.id)).toEqual(["m1", "m2", "m3"]);
    kept.drop("m3");
    expect(kept.all().map((q) => q.id)).toEqual(["m1", "m2"]);
  });
  it("is as it was put last, where storage took only what was before", () => {
    storage(1);
    const kept = new Kept("talk:h1:p1");
    kept.put(item("m1", 1));
    kept.put(item("m1", 1, { state: "refused", why: "Too odd." }));
    expect(kept.all()).toEqual([item("m1", 1, { state: "refused", why: "Too odd." })]);
  });
  it("lives as long as the page where browsers forbid even looking", () => {
    vi.stubGlobal("localStorage", undefined);
    const kept = new Kept("talk:h1:p1");
    kept.put(item("m1", 1));
    expect(kept.all().map((q) => q.id)).toEqual(["m1"]);
    expect(new Kept("talk:h1:p1").all()).toEqual([]);
  });
});

describe("what waits to be sent", () => {
  it("holds back nothing behind words that were too many: what comes after them is tried, too", async () => {
    storage(9);
    const taken: string[] = [];
    let isMinuteOver = false;
    vi.stubGlobal("fetch", (_address: string, { body }: { body: string }) => {
      const { text } = JSON.parse(body) as { text: string };
      const passes = isMinuteOver || text === "smoke";
      if (passes) taken.push(text);
      return Promise.resolve(
        new Response(JSON.stringify({ ok: passes }), { status: passes ? 200 : 429 }),
      );
    });
    const queue = new Queue(new Kept("talk:h1:p1"), "h1", () => {});
    for (const text of ["one", "two", "smoke"]) await queue.add("say", { text }, text);
    await vi.waitFor(() => expect(taken).toEqual(["smoke"]));
    expect(queue.items.map((q) => q.state)).toEqual(["waiting", "waiting", "sent"]);
    isMinuteOver = true;
    await vi.waitFor(() => expect(taken).toEqual(["smoke", "one", "two"]), 5_000);
  });
});
