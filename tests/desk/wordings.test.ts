/** New wordings at the desk over HTTP: from what was not understood to a wording that holds at once. */
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { eventsOf } from "../../src/store/events.js";
import { actOnWording, wordingsKept } from "../../src/store/wordings/kept.js";
import type { Change, Trial, Verdict } from "../../src/wordings/changes.js";
import { type DeskVisitor, enterDesk } from "../kit/desk.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";

/** In place of the thread: changes that the test sets. */
const changes: Change[] = [];
let slow = false;
const trial: Trial = {
  warm: () => {},
  ask: async () => (slow ? undefined : { looked: 3, of: 9, changes: [...changes] }),
  close: () => Promise.resolve(),
};
const verdict = (gravity: number): Verdict => ({
  outcome: "triage",
  entries: ["oil-pressure"],
  gravity,
});
const ask = "where did the flumsticks go";
let service: WebHouse;
let desk: DeskVisitor;

beforeAll(async () => {
  service = await openWebHouse("curlew", ["Ann"], { trial });
  desk = await enterDesk(service.url);
  await says(`${ask} Ann`, "where did those flumsticks go, ring 07700 900123", "thanks");
}, 60_000);
afterAll(() => service?.close());

async function says(...texts: string[]): Promise<void> {
  const { house, lane } = service;
  const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
  const before = (await eventsOf(house.db, lane)).filter((e) => e.kind === "in").length;
  for (const text of texts)
    await house.file({
      key: `t:${text}`,
      lane,
      receivedAt: house.clock.now(),
      body: { kind: "said", from, text },
    });
  for (let i = 0; i < 1000; i++) {
    const now = (await eventsOf(house.db, lane)).filter((e) => e.kind === "in").length;
    if (now >= before + texts.length) return;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}
const look = (more: Record<string, string> = {}) =>
  desk.post("/desk/wordings/try", { ask, entry: "first-aid", ...more });
const keep = (more: Record<string, string> = {}) =>
  desk.post("/desk/wordings/keep", { ask, entry: "first-aid", ...more });
const kept = async () => (await wordingsKept(service.house.db)).map((k) => k.ask);

describe("new wordings", { timeout: 60_000 }, () => {
  it("the page groups what was not understood, without names and numbers", async () => {
    const { status, text } = await desk.get("/desk/wordings");
    expect(status).toBe(200);
    expect(text).toContain("2 times");
    expect(text).toMatch(/flumsticks go, ring \(number\)|flumsticks go \(name\)/);
    expect(text).not.toContain("07700 900123");
    expect(text).not.toContain(`${ask} Ann`);
    expect(text).not.toContain("thanks");
    // What is offered to be taught has no gap where a name was.
    expect(text).not.toMatch(/name="ask" value="[^"]*\(/);
  });

  it("a look tells the wording before and after, and keeps nothing", async () => {
    const { status, text } = await look();
    expect(status).toBe(200);
    expect(text).toContain("handed to a person");
    expect(text).toContain("told: ");
    expect(text).toContain("of 3 looked at: those most like it, of 9 asks");
    expect(text).toMatch(/<span[^>]*>●<\/span> better/);
    expect(await kept()).toEqual([]);
  });

  it("that takes too long to try is not kept, the page says so, and what was typed stays", async () => {
    slow = true;
    const typed = { ask: "flumsticks gone for long" };
    for (const answer of [await look(typed), await keep(typed)]) {
      expect(answer.status).toBe(503);
      expect(answer.text).toContain("Not tried: it took too long.");
      expect(answer.text).toContain(typed.ask);
    }
    slow = false;
    expect(await kept()).toEqual([]);
    expect((await look(typed)).status).toBe(200);
  });

  it.each<[string, Record<string, string>, string]>([
    ["no entry of the book", { entry: "no-such-entry" }, "Choose the entry"],
    ["no word", { ask: "…" }, "no word"],
    ["a number of somebody", { ask: "ring 07700 900123 flumsticks" }, "leave out"],
    ["an ask of the entry", { ask: "" }, "already"],
    ["an ask of another entry", { ask: "", entry: "rubbish" }, "word for word"],
    ["too long", { ask: "flum ".repeat(80) }, "too long"],
  ])("is refused in one line: %s", async (_what, more, why) => {
    const own = service.house.book.entries.get("first-aid")?.asks[0] ?? "";
    const { status, text } = await look({ ...more, ...(more["ask"] === "" ? { ask: own } : {}) });
    expect(status).toBe(400);
    expect(text).toContain(why);
  });

  it("what would get worse must be ticked, and a danger is never taken away", async () => {
    const worse = { ask: "where went the flumsticks then" };
    changes.push({ text: "oil light on", before: verdict(1), after: verdict(3), kind: "worse" });
    expect((await look(worse)).text).toContain("I have looked at what gets worse (1)");
    expect((await keep(worse)).status).toBe(409);
    expect((await keep({ ...worse, seen: "yes" })).status).toBe(303);
    expect(await kept()).toEqual([worse.ask]);
    changes.push({ text: "smoke", before: verdict(0), after: verdict(3), kind: "unsafe" });
    const unsafe = { ask: "flumsticks smoke", seen: "yes" };
    expect((await look(unsafe)).text).toContain("It cannot be kept");
    expect((await keep(unsafe)).status).toBe(409);
    changes.length = 0;
    await desk.post("/desk/wordings/drop", { ...worse, entry: "first-aid" });
    expect(await kept()).toEqual([]);
  });

  it("kept it holds at once: the hirer is told, and the group is gone from the page", async () => {
    expect((await keep()).headers["location"]).toBe("/desk/wordings#kept");
    expect((await keep()).status).toBe(303);
    expect(await kept()).toEqual([ask]);
    await says(`${ask.toUpperCase()}??`);
    const title = service.house.book.entries.get("first-aid")?.title ?? "no title";
    const last = (await eventsOf(service.house.db, service.lane)).filter(
      (e) => e.kind === "out" && e.person === "p1",
    );
    expect(last.at(-1)?.text).toContain(title);
    const { text } = await desk.get("/desk/wordings");
    expect(text).not.toContain("2 times");
    expect(text).toContain("understood by now");
    expect(text).toContain("Take back: where did the flumsticks go");
  });

  it("the patch adds the kept asks as a file, and says nothing of one whose entry is gone", async () => {
    const { db } = service.house;
    const at = service.house.clock.now();
    await actOnWording(db, { does: "keep", entry: "gone-entry", ask: "zork", by: "morag", at });
    const { text, headers } = await desk.get("/desk/wordings/patch");
    expect(headers["content-disposition"]).toMatch(
      /attachment; filename="desk-\d{4}-\d\d-\d\d.patch"/,
    );
    expect(text).toContain(`+first-aid:\n+  - "${ask}"\n`);
    expect(text).not.toContain("zork");
    expect((await desk.get("/desk/wordings")).text).toContain("its entry is gone from the book");
  });

  it("taken back it is gone as fast", async () => {
    await desk.post("/desk/wordings/drop", { ask, entry: "first-aid" });
    await says(`${ask}!`);
    const last = (await eventsOf(service.house.db, service.lane)).filter(
      (e) => e.kind === "out" && e.person === "p1",
    );
    const title = service.house.book.entries.get("first-aid")?.title ?? "no title";
    expect(last.at(-1)?.text).not.toContain(title);
  });

  it("only who is signed in sees any of it", async () => {
    for (const path of ["/desk/wordings", "/desk/wordings/patch"]) {
      const { text } = await request(service.url).get(path).set("Accept", "text/html");
      expect(text, path).toContain("Password");
      expect(text, path).not.toContain("flumsticks");
    }
  });
});
