/** The vans' pages over HTTP: faults cleared by name, service by date and distance, the history as drawing and table. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { after as later } from "../../src/calendar.js";
import { readVanAct } from "../../src/desk/vans/read-act.js";
import type { HireId } from "../../src/post.js";
import { vanOf } from "../../src/store/care/vans.js";
import { type DeskVisitor, enterDesk } from "../kit/desk.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";

let service: WebHouse;
let morag: DeskVisitor;
const path = "/desk/vans/SX26%20ABC";
const page = async () => (await morag.get(path)).text;
let n = 0;
const act = (fields: Record<string, string>) =>
  morag.post(path, { id: `form-of-van-${++n}`, back: path, ...fields });

beforeAll(async () => {
  service = await openWebHouse("wren");
  morag = await enterDesk(service.url);
});
afterAll(() => service?.close());

describe("a van's page", () => {
  it("keeps a fault until somebody clears it by name, with what was done", async () => {
    expect((await act({ do: "note-fault", title: "step bent", severity: "soon" })).status).toBe(
      303,
    );
    expect(await page()).toContain("step bent");
    const bare = await act({ do: "clear", n: "1", what: "" });
    expect([bare.status, bare.text.includes("Say what was done")]).toEqual([400, true]);
    expect((await act({ do: "clear", n: "1", what: "new <step> fitted" })).status).toBe(303);
    const after = await page();
    expect(after).toContain("Cleared: 1");
    expect(after).toContain("step bent: new &lt;step&gt; fitted, Morag");
    expect((await vanOf(service.house.db, "SX26 ABC"))?.faults[0]?.cleared).toMatchObject({
      by: "morag",
    });
  });
  it("that was reported again since it was looked at is not cleared, and says so", async () => {
    await act({ do: "note-fault", title: "door rattles", severity: "soon" });
    const seen = /name="seen" value="(\d+)"/.exec(await page())?.[1] ?? "";
    await act({ do: "note-fault", title: "door rattles", severity: "stop" });
    const [fault] = (await vanOf(service.house.db, "SX26 ABC"))?.faults.slice(-1) ?? [];
    const form = { do: "clear", n: String(fault?.n), what: "hinge greased" };
    const late = await act({ ...form, seen });
    expect([late.status, late.text.includes("reported again since")]).toEqual([409, true]);
    expect(late.text).toContain('name="what" maxlength="500" value="hinge greased"');
    const now = /name="seen" value="(\d+)"/.exec(await page())?.[1] ?? "";
    expect((await act({ ...form, seen: now })).status).toBe(303);
  });
  it("sent twice from one form acts once", async () => {
    const form = { do: "note-fault", title: "horn weak", severity: "note", id: "double-click-1" };
    for (let i = 0; i < 2; i++) await act(form);
    const faults = (await vanOf(service.house.db, "SX26 ABC"))?.faults ?? [];
    expect(faults.filter((f) => f.title === "horn weak")).toHaveLength(1);
  });
  it("says which service is over, and sets the next when it is done", async () => {
    await act({ do: "service", what: "gas check", "due-on": "2020-01-15" });
    await act({ do: "service", what: "oil and filter", "due-at": "60,000", unit: "miles" });
    expect(await page()).toMatch(/gas check[\s\S]*over by \d+ days/);
    expect(await page()).toContain("odometer not known");
    await act({ do: "service-done", n: "1", "due-on": "2099-01-15", "due-at": "" });
    expect(await page()).not.toContain("over by");
    expect(await page()).toContain("last done");
    const [, oil] = (await vanOf(service.house.db, "SX26 ABC"))?.service ?? [];
    // 60,000 miles of 1.609344 km.
    expect(oil).toMatchObject({ what: "oil and filter", dueKm: 96_560.6 });
    expect((await act({ do: "service", n: "2", what: "oil", "due-on": "soon" })).text).toContain(
      "such as 2026-09-01",
    );
  });
  it("shows its readings as a drawing and as a table of the same values", async () => {
    const now = service.house.clock.now();
    await service.house.makeHire({
      hire: "old" as HireId,
      van: { registration: "SX26 OLD", type: "wren" },
      pickupAt: later(now, -9 * 1440),
      returnAt: later(now, -1440),
      zone: "Europe/London",
      region: "gb",
      lang: "en",
      surname: "Reed",
      status: "booked",
      people: [{ id: "p1", name: "Kit", booker: true }],
      readings: [
        { at: later(now, -9 * 1440), by: "Kit", odometerKm: 92_000, oil: "max", fluid: 1 },
        { at: later(now, -5 * 1440), by: "Kit", odometerKm: 92_500, oil: "low" },
        { at: later(now, -2 * 1440), by: "Kit", odometerKm: 93_000, fluid: 0.5 },
      ],
    });
    let text = "";
    for (let i = 0; i < 100 && !text.includes("<svg"); i++) {
      text = (await morag.get("/desk/vans/SX26%20OLD")).text;
      await new Promise((r) => setTimeout(r, 20));
    }
    const svg = /<svg[\s\S]*<\/svg>/.exec(text)?.[0] ?? "";
    const dots = (of: string) =>
      [
        ...(new RegExp(`<g class="${of}">[\\s\\S]*?</g>`).exec(svg)?.[0] ?? "").matchAll(
          /<circle cx="([\d.]+)" cy="([\d.]+)"/g,
        ),
      ].map((m) => [Number(m[1]), Number(m[2])] as const);
    const km = dots("odometer");
    expect(km).toHaveLength(3);
    // 4 of 7 days, half of the way.
    const [first, mid, last] = km;
    expect(
      ((mid?.[0] ?? 0) - (first?.[0] ?? 0)) / ((last?.[0] ?? 0) - (first?.[0] ?? 0)),
    ).toBeCloseTo(4 / 7, 2);
    expect(mid?.[1]).toBeCloseTo(((first?.[1] ?? 0) + (last?.[1] ?? 0)) / 2, 0);
    expect([dots("oil").length, dots("exhaust-fluid").length]).toEqual([2, 2]);
    expect((dots("oil")[1]?.[1] ?? 0) > (dots("oil")[0]?.[1] ?? 0)).toBe(true);
    expect(text.replaceAll(/ data-label="[^"]*"/g, "")).toContain(
      "<td>57,166 miles</td><td>Top mark</td><td>100 %</td>",
    );
    // It is not back, and says so.
    expect(text).toContain("No return record of Reed's hire");
    expect((await morag.get("/desk/vans")).text).toMatch(
      /SX26 OLD<\/span> Wren<\/a><\/th><td[^>]*><b class="nobody">blocked/,
    );
  });
  it("is the same however its plate is spelt on a new hire", async () => {
    const made = await morag.post("/desk/hires/new", {
      id: "new-hire-of-van",
      registration: "sx26-abc",
      type: "wren",
      pickup: "2030-06-03T10:00",
      return: "2030-06-10T10:00",
      zone: "Europe/London",
      region: "gb",
      surname: "Field",
      booker: "Jo",
    });
    expect(made.status).toBe(201);
    for (let i = 0; i < 100 && !(await page()).includes("Field"); i++)
      await new Promise((r) => setTimeout(r, 20));
    expect(await page()).toContain("Field</a>");
  });
  it("that nobody knows says so", async () => {
    expect((await morag.get("/desk/vans/SX99%20ZZZ")).status).toBe(404);
    expect((await morag.post("/desk/vans/SX99%20ZZZ", { do: "clear" })).status).toBe(404);
    expect((await morag.get("/desk/vans/%E0%A4%A")).status).toBe(400);
  });
});

describe("a form about a van", () => {
  it.each([
    [{ do: "release", reason: "seen" }, "Nothing blocks"],
    [{ do: "release", reason: " ", covers: "fault:1" }, "Say why"],
    [{ do: "release", reason: "seen", covers: "DROP TABLE" }, "Nothing blocks"],
    [{ do: "clear", n: "0", what: "x" }, "not known"],
    [{ do: "note-fault", title: "x", severity: "awful" }, "Choose whether"],
    [{ do: "service", what: "oil" }, "a date, an odometer, or both"],
    [{ do: "service", what: "oil", "due-at": "soon" }, "such as 60,000"],
    [{ do: "service", what: "oil", "due-on": "2026-02-31" }, "is no date"],
    [{ do: "service-done", n: "1", "due-on": "", "due-at": "" }, "Give the next date"],
    [{ do: "mended", photo: "../x" }, "not known"],
    [{ do: "explode" }, "not known here"],
  ] as const)("%o is told what would be right", (form, says) => {
    expect(readVanAct(form, undefined)).toContain(says);
  });
  it("about a service that is not due again sets no next one", () => {
    const form = { do: "service-done", n: "1", "no-next": "yes" };
    expect(readVanAct(form, undefined)).toEqual({ do: "service-done", n: 1 });
  });
  it("releases what was shown, one or many", () => {
    const form = { do: "release", reason: "seen", covers: ["fault:1", "return:h1"] };
    expect(readVanAct(form, undefined)).toMatchObject({ covers: ["fault:1", "return:h1"] });
    expect(readVanAct({ ...form, covers: "fault:1" }, undefined)).toMatchObject({
      covers: ["fault:1"],
    });
  });
});
