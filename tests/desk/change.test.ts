/** Changing a hire over HTTP: looked at first, kept by name, never on what somebody else changed meanwhile. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { isoIn, after as later } from "../../src/calendar.js";
import type { Booking, HireId } from "../../src/post.js";
import { type DeskVisitor, enterDesk } from "../kit/desk.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";

let service: WebHouse;
let morag: DeskVisitor;
let n = 0;
const path = "/desk/hires/h1/change";
const local = (at: number) => isoIn(at as never, "Europe/London").slice(0, 16);
const bare = (text: string) => text.replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");
async function booking(): Promise<Booking> {
  const state = await service.house.laneState(service.lane);
  if (state?.kind !== "hire") throw new Error("no hire");
  return state.hire.booking;
}
async function fields(more: Record<string, string> = {}): Promise<Record<string, string>> {
  const b = await booking();
  return {
    ...{ id: `form-of-change-${++n}`, do: "change", registration: b.van.registration },
    ...{ type: b.van.type, pickup: local(b.pickupAt), return: local(b.returnAt), zone: b.zone },
    ...{ region: b.region, lang: b.lang, surname: b.surname, booker: "Ann" },
    ...{ phone: "07700 900500", others: "Ben", ...more },
  };
}
/** The hidden fields of the preview that keep it. */
const kept = (page: string) =>
  Object.fromEntries(
    [...page.matchAll(/<input type="hidden" name="([\w-]+)" value="([^"]*)">/g)].map((m) => [
      m[1] ?? "",
      m[2] ?? "",
    ]),
  );

beforeAll(async () => {
  service = await openWebHouse("wren");
  morag = await enterDesk(service.url);
}, 60_000);
afterAll(() => service?.close());

describe("a hire is changed", () => {
  it("the form holds what is booked, and unchanged it changes nothing", async () => {
    const page = (await morag.get(path)).text;
    const b = await booking();
    expect(page).toContain(`name="return" type="datetime-local" value="${local(b.returnAt)}"`);
    expect(bare((await morag.post(path, await fields())).text)).toContain("Nothing would change.");
    expect((await booking()).people).toEqual(b.people);
  });
  it("extended: the preview says what moves and whom it hits, and keeps nothing", async () => {
    const b = await booking();
    await service.house.makeHire({
      ...b,
      ...{
        hire: "h2" as HireId,
        surname: "Reed",
        people: [{ id: "p1", name: "Kit", booker: true }],
      },
      ...{ pickupAt: later(b.returnAt, 24 * 60), returnAt: later(b.returnAt, 4 * 24 * 60) },
    });
    await expect.poll(async () => (await morag.get("/desk/hires")).text).toContain("Reed");
    const to = later(b.returnAt, 2 * 24 * 60);
    const page = (await morag.post(path, await fields({ return: local(to) }))).text;
    expect(bare(page)).toContain("return:");
    expect(bare(page)).toContain("The van is promised twice: Reed");
    expect(bare(page)).toMatch(/→ moved/);
    expect((await booking()).returnAt).toBe(b.returnAt);
    const answer = await morag.post(path, kept(page) as Record<string, string>);
    expect([answer.status, answer.headers["location"]]).toEqual([303, "/desk/hires/h1"]);
    // The form's times have no seconds.
    expect(local((await booking()).returnAt)).toBe(local(to));
    expect(bare((await morag.get("/desk/hires/h1")).text)).toMatch(
      /Morag changes the hire: return: .* → /,
    );
  });
  it("on what somebody changed meanwhile it is shown once more, and both changes hold", async () => {
    const seen = (await morag.post(path, await fields({ surname: "Reeds" }))).text;
    const other = { kind: "changed", by: "callum", change: { lang: "de" } } as const;
    await service.house.file({
      key: "meanwhile",
      lane: service.lane,
      receivedAt: service.house.clock.now(),
      body: other,
    });
    await expect.poll(async () => (await booking()).lang).toBe("de");
    const again = await morag.post(path, kept(seen) as Record<string, string>);
    expect([
      again.status,
      bare(again.text).includes("Somebody changed this hire meanwhile"),
    ]).toEqual([200, true]);
    expect(bare(again.text)).not.toContain("language");
    expect((await booking()).surname).toBe("Stone");
    await morag.post(path, kept(again.text) as Record<string, string>);
    expect(await booking()).toMatchObject({ surname: "Reeds", lang: "de" });
  });
  it("cancelled and taken up again", async () => {
    for (const [what, status] of [
      ["cancel", "cancelled"],
      ["restore", "booked"],
    ] as const) {
      const page = (await morag.post(path, { do: what })).text;
      await morag.post(path, kept(page) as Record<string, string>);
      expect((await booking()).status).toBe(status);
    }
  });
  it("given another van on the road: says so, and the first one is to be fetched", async () => {
    await service.house.file({
      ...{ key: "where", lane: service.lane, receivedAt: service.house.clock.now() },
      body: {
        ...{ kind: "located", lat: 57.48625, lon: -4.21926 },
        from: { person: "p1", via: { channel: "web", to: "p1" } },
      },
    });
    const page = (
      await morag.post(path, await fields({ registration: "sx26 new", type: "curlew" }))
    ).text;
    expect(bare(page)).toContain("van: SX26 ABC (wren) → SX26 NEW (curlew)");
    expect(bare(page)).toContain("The van is swapped on the road");
    await morag.post(path, kept(page) as Record<string, string>);
    expect((await booking()).van).toEqual({ registration: "SX26 NEW", type: "curlew" });
    await expect
      .poll(async () => bare((await morag.get("/desk/today")).text))
      .toMatch(/given up on the road by Reeds [\d:]+: .*NH 6705 4617/);
    expect(bare((await morag.get("/desk/vans/SX26%20ABC")).text)).toContain("NH 6705 4617");
  });
  it("whose registration was written wrong, no van is swapped where that is ticked", async () => {
    const page = (await morag.post(path, await fields({ registration: "SX26 NEU" }))).text;
    expect(bare(page)).toContain("No swap: it was this van all the time");
    await morag.post(path, { ...kept(page), "puts-right": "1" } as Record<string, string>);
    expect((await booking()).van.registration).toBe("SX26 NEU");
    const state = await service.house.laneState(service.lane);
    expect(state?.kind === "hire" && state.hire.vansBefore?.length).toBe(1);
  });
  it("whose phone is emptied has none any more", async () => {
    const page = (await morag.post(path, await fields({ phone: "" }))).text;
    expect(bare(page)).toContain(
      "people: Ann 07700 900500, Ben 07700 900500 → Ann, Ben 07700 900500",
    );
    await morag.post(path, kept(page) as Record<string, string>);
    const state = await service.house.laneState(service.lane);
    expect(state?.kind === "hire" && state.hire.people.map((p) => p.phone)).toEqual([
      undefined,
      "07700 900500",
    ]);
    const phones = await service.house.db.selectFrom("phones").select("person").execute();
    expect(phones).toEqual([{ person: "p2" }]);
  });
  it("given a known van with the type of the one before, it asks; a tick keeps it so", async () => {
    const wren = { registration: "SX26 ABC", type: "curlew" };
    const asked = await morag.post(path, await fields(wren));
    expect([asked.status, /SX26 ABC was a Wren[^.]* until now/.test(asked.text)]).toEqual([
      400,
      true,
    ]);
    expect(asked.text).toContain('name="sure" value="SX26 ABC curlew"');
    const shown = await morag.post(path, await fields({ ...wren, sure: "SX26 ABC curlew" }));
    expect(bare(shown.text)).toContain("→ SX26 ABC (curlew)");
    const next = kept(shown.text) as Record<string, string>;
    expect(next["sure"]).toBe("SX26 ABC curlew");
    expect(bare((await morag.post(path, await fields({ ...wren, type: "wren" }))).text)).toContain(
      "→ SX26 ABC (wren)",
    );
  });
  it("what is wrong with a field stands beside it, and what was typed stays", async () => {
    const b = await booking();
    const refused = await morag.post(
      path,
      await fields({ return: local(b.pickupAt), surname: "" }),
    );
    expect(refused.status).toBe(400);
    expect(refused.text).toContain('id="wrong-return">The return is not after the pick-up.');
    expect(refused.text).toContain('id="wrong-surname"');
  });
});
