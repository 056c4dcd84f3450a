/** A hire's page over HTTP: its whole trip log a part at a time, and telephone calls. */
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { isoIn, after as later } from "../../src/calendar.js";
import type { Hire } from "../../src/hires/hire.js";
import { addEvents, fileOf, type NewEvent } from "../../src/store/events.js";
import { type DeskVisitor, enterDesk } from "../kit/desk.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";

let service: WebHouse;
let morag: DeskVisitor;
let n = 0;
const call = (fields: Record<string, string>) =>
  morag.post("/desk/hires/h1/call", { id: `form-of-call-${++n}`, person: "p1", ...fields });
async function hire(): Promise<Hire> {
  const state = await service.house.laneState(service.lane);
  if (state?.kind !== "hire") throw new Error("no hire");
  return state.hire;
}

beforeAll(async () => {
  service = await openWebHouse("wren");
  morag = await enterDesk(service.url);
}, 60_000);
afterAll(() => service?.close());

describe("a telephone call", () => {
  it("stands in the trip log with who wrote it down, and opens nothing where it was answered", async () => {
    const kept = await call({ about: "where is the <hose>", outcome: "answered" });
    expect([kept.status, kept.headers["location"]]).toEqual([303, "/desk/hires/h1"]);
    const page = (await morag.get("/desk/hires/h1")).text;
    expect(page).toContain(
      "writes down a telephone call of Ann: where is the &lt;hose&gt; (answered)",
    );
    expect((await hire()).callouts).toEqual([]);
  });
  it("a promised ring is a call-out with whoever took the call, until a time", async () => {
    const inAnHour = isoIn(later(service.house.clock.now(), 60), "Europe/London").slice(11, 16);
    await call({ about: "asks for another day", outcome: "ring", clock: inAnHour });
    const [opened] = (await hire()).callouts;
    expect(opened).toMatchObject({
      state: "with",
      with: "morag",
      severity: "note",
      kind: "person",
    });
    expect(opened?.promisedAt).toBeGreaterThan(service.house.clock.now());
  });
  it("what must not move is put to the call order where nobody sees to it, and stays on the van", async () => {
    const about = "the brake pedal goes to the floor";
    await call({ about, outcome: "matter", severity: "stop", mine: "" });
    const opened = (await hire()).callouts.find((c) => c.words?.includes(about));
    const title = "What was told by telephone";
    expect(opened).toMatchObject({ state: "nobody-yet", severity: "stop", title });
    expect(opened?.alerted.length).toBeGreaterThan(0);
    await vi.waitFor(async () =>
      expect((await morag.get("/desk/vans/SX26%20ABC")).text).toContain(title),
    );
  });
  it("two calls about the same are two matters, and one form sent twice is one", async () => {
    const before = (await hire()).callouts.length;
    const same = { about: "step loose", outcome: "matter", severity: "soon", mine: "1" };
    for (const id of ["double-click", "double-click", "another-form"]) await call({ ...same, id });
    expect((await hire()).callouts.length).toBe(before + 2);
  });
  it("of somebody else stays theirs where their name is missing; of two names it asks which", async () => {
    const said = { about: "a crash on the A9", outcome: "answered" };
    const refused = await call({ ...said, person: "" });
    expect(refused.status).toBe(400);
    expect(refused.text).toContain('<option value="" selected>somebody else');
    expect(refused.text).toMatch(/<details open>/);
    const both = await call({ ...said, who: "the police" });
    expect([both.status, both.text.includes("Who rang: Ann or the police?")]).toEqual([400, true]);
    expect((await call({ ...said, person: "", who: "the police" })).status).toBe(303);
  });
  it("keeps what was typed where something is missing", async () => {
    const refused = await call({ about: "a <long> story", outcome: "ring", clock: "" });
    expect(refused.status).toBe(400);
    expect(refused.text).toContain("a &lt;long&gt; story</textarea>");
    expect(refused.text).toContain("Give the time by which you ring back");
  });
});

describe("a trip log of thousands of lines", () => {
  const lines = async (of: readonly Pick<NewEvent, "text" | "more">[]) => {
    const { db, clock } = service.house;
    const said = { kind: "in", person: "p1", channel: "web", who: "hirer:Ann" } as const;
    let last = 0;
    for (let i = 0; i < of.length; i += 500) {
      const some = of.slice(i, i + 500).map((event) => ({ ...said, ...event }));
      last = await addEvents(db, service.lane, clock.now(), some);
    }
    return last;
  };
  const numbered = (count: number) =>
    Array.from({ length: count }, (_, i) => ({ text: `line-${i}.`, more: {} }));

  it("shows its newest lines, and leads to every other one", async () => {
    await lines(numbered(1200));
    const seen = new Set<string>();
    let path = "/desk/hires/h1";
    const newest = (await morag.get(path)).text;
    expect(newest).toContain("line-1199.");
    for (let pages = 0; path !== "" && pages < 20; pages++) {
      const { text } = await morag.get(path);
      for (const [line] of text.matchAll(/line-\d+\./g)) seen.add(line);
      const earlier = /href="([^"]+)">Earlier lines/.exec(text)?.[1];
      path = earlier?.split("#")[0] ?? "";
    }
    expect(seen.size).toBe(1200);
    expect((await morag.get("/desk/hires/h1?before=20")).text).toContain("Newest lines");
  });
  it("leads from its latest words to why they were understood so, whatever they are", async () => {
    const n = await lines([{ text: "joined by accident", more: {} }]);
    expect((await morag.get("/desk/hires/h1")).text).toContain(`/desk/hires/h1/why?n=${n}"`);
    const why = await morag.get(`/desk/hires/h1/why?n=${n}`);
    expect([why.status, why.text.includes("joined by accident")]).toEqual([200, true]);
    for (const wrong of [n + 1, n - 0.5, -1])
      expect((await morag.get(`/desk/hires/h1/why?n=${wrong}`)).status, `${wrong}`).toBe(404);
  });
  it("keeps the latest photos within reach, on the return sheet too", async () => {
    await lines(numbered(4000));
    const file = { id: "photo-of-late", kind: "image/jpeg" };
    await lines([{ text: 'the "file":{', more: { file } }]);
    const { db } = service.house;
    expect(await fileOf(db, service.lane, file.id, "p1")).toEqual(file);
    expect(await fileOf(db, service.lane, file.id, "p2")).toBeUndefined();
    expect((await morag.get("/desk/hires/h1/sheet")).text).toContain(
      `/desk/photo/${file.id}?hire=h1`,
    );
  });
});

describe("finding", () => {
  it("leads from a misspelt name to the hire and to its call", async () => {
    const { text } = await morag.get("/desk/find?q=stoen");
    expect(text).toContain('href="/desk/hires/h1"');
    expect(text).toContain('href="/desk/hires/h1/call"');
    expect((await morag.get("/desk/find?q=0500&part=1")).text).toContain("call?person=p");
    expect((await morag.get("/desk/find?q=nobody-at-all")).text).toContain("No hire is found");
  });
});
