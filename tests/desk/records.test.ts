/** Records over HTTP: drafts, what is asked about, blocking, photos sealed and shown, the key box, the sheet as a file. */

import { createHash } from "node:crypto";
import { parse } from "csv-parse/sync";
import sharp from "sharp";
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { after as later } from "../../src/calendar.js";
import type { Hire } from "../../src/hires/hire.js";
import { laneOf } from "../../src/lanes.js";
import type { Booking, HireId } from "../../src/post.js";
import { vanOf } from "../../src/store/care/vans.js";
import { bookingOf, peopleOf } from "../kit/booking.js";
import { cameraPhoto, type DeskVisitor, enterDesk, heicPhoto, plainPhoto } from "../kit/desk.js";
import { untilTrue } from "../kit/until.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";

let service: WebHouse;
let morag: DeskVisitor;
const now = () => service.house.clock.now();
const hire = async (id = "h1"): Promise<Hire> => {
  const lane = await service.house.laneState(laneOf(id));
  if (lane?.kind !== "hire") throw new Error(`no hire ${id}`);
  return lane.hire;
};
async function book(id: string, more: Partial<Booking> = {}): Promise<void> {
  await service.house.makeHire(
    bookingOf({
      hire: id as HireId,
      van: { registration: `SX26 ${id.toUpperCase()}`, type: "wren" },
      pickupAt: later(now(), -60),
      returnAt: later(now(), 3 * 24 * 60),
      surname: "Reed",
      people: peopleOf(["Kit"]),
      ...more,
    }),
  );
  await untilTrue(async () => (await service.house.laneState(laneOf(id))) !== undefined);
}
const newPhotoId = (n: number) => `photo${n}`.padEnd(22, "x");
const full = { odometer: "57,340", unit: "miles", fuel: "8", fluid: "8", oil: "between" };
const sure = /name="(sure-[a-z-]+)" value="([^"]*)"/g;
/** The answers "it is right" to all that a page asks. */
const answers = (page: string) =>
  Object.fromEntries(
    [...page.matchAll(sure)].map(([, name = "", value = ""]) => [
      name,
      value.replaceAll("&amp;", "&").replaceAll("&#39;", "'"),
    ]),
  );
let forms = 0;
/** Keeps a record and says yes to whatever is asked; each time from a page of its own. */
async function keep(id: string, kind: "pickup" | "return", fields: Record<string, string>) {
  const path = `/desk/hires/${id}/${kind}`;
  const asked = await morag.post(path, { ...fields, id: `form-${++forms}-asked` });
  if (asked.status === 303) return asked;
  return morag.post(path, { ...fields, ...answers(asked.text), id: `form-${forms}-sure` });
}

beforeAll(async () => {
  service = await openWebHouse("wren");
  morag = await enterDesk(service.url);
});
afterAll(() => service?.close());

describe("a record's draft", () => {
  const path = "/desk/hires/h1/pickup";
  it("joins what two phones write, and is on the page that is opened next", async () => {
    const callum = await enterDesk(service.url, "callum");
    expect((await morag.draft(path, { odometer: "57,340", fuel: "8" })).status).toBe(200);
    expect((await callum.draft(path, { fluid: "6", remark: 'a <b>"mark"</b>' })).status).toBe(200);
    const page = (await morag.get(path)).text;
    expect(page).toContain('value="57,340"');
    expect(page).toMatch(/name="fuel" value="8" checked/);
    expect(page).toMatch(/name="fluid" value="6" checked/);
    expect(page).toContain("a &lt;b&gt;&quot;mark&quot;&lt;/b&gt;");
    expect(page).toContain("Callum");
    expect((await hire()).pickup).toBeUndefined();
  });
  it("takes nothing from somebody who is not signed in or whose page is an old one", async () => {
    const stranger = await request(service.url)
      .post(`${path}/draft`)
      .set("Accept", "application/json")
      .send({ fields: { odometer: "1" } });
    expect(stranger.status).toBe(401);
    const old = await request(service.url).post(path).type("form").send(full);
    expect(old.status).toBe(401);
    expect((await morag.post(path, { ...full, csrf: "old" })).status).toBe(403);
    expect((await morag.get(path)).text).toContain('value="57,340"');
  });
  it("leaves out what is no field of ours", async () => {
    await morag.draft(path, { "Bad Name": "x", __proto__: "y", remark: "z".repeat(5000) });
    const [row] = await service.house.db.selectFrom("record_drafts").selectAll().execute();
    const fields = JSON.parse(row?.fields ?? "{}") as Record<string, string>;
    expect(Object.keys(fields).sort()).toEqual(["fluid", "fuel", "odometer", "remark"]);
    expect(fields["remark"]).toHaveLength(2000);
  });
  it("is of one van: with another it begins empty, and a page of the first is refused", async () => {
    const at = "/desk/hires/d1/pickup";
    await book("d1");
    const before = (await morag.get(at)).text;
    expect(before).toContain('name="van" value="SX26 D1"');
    const first = encodeURIComponent("SX26 D1");
    const taken = await morag.draft(at, { odometer: "57,340", fuel: "8" }).set("x-van", first);
    expect(taken.status).toBe(200);
    await morag.draft("/desk/hires/d1/return", { odometer: "57,900" });
    await book("d1", { surname: "Loch" });
    await untilTrue(async () => (await hire("d1")).booking.surname === "Loch");
    expect((await morag.get(at)).text).toContain('value="57,340"');
    await book("d1", { van: { registration: "SX26 NEXT", type: "wren" } });
    await untilTrue(async () => (await hire("d1")).booking.van.registration === "SX26 NEXT");
    for (const path of [at, "/desk/hires/d1/return"]) {
      const page = (await morag.get(path)).text;
      expect(page).toContain('name="van" value="SX26 NEXT"');
      expect(page).not.toMatch(/value="57,\d+"/);
      expect(page).not.toMatch(/name="fuel" value="8" checked/);
    }
    // On the phone at the van the page of the first van is still open.
    const drafted = await morag.draft(at, { odometer: "57,340" }).set("x-van", first);
    const shot = await morag
      .photo(`${at}/photo?id=${newPhotoId(90)}&side=front`, await plainPhoto())
      .set("x-van", first);
    const sent = await morag.post(at, { ...full, van: "SX26 D1" });
    expect([drafted.status, shot.status, sent.status]).toEqual([412, 412, 412]);
    expect(sent.text).toContain("another van");
    expect((await morag.get(at)).text).not.toContain('value="57,340"');
    expect(await hire("d1")).not.toHaveProperty("pickup");
  });
});

describe("a pick-up record", () => {
  it.each([
    ["odometer", { odometer: "about 57 thousand" }, "such as 57,340"],
    ["odometer", { odometer: "57340.5" }, "such as 57,340"],
    ["fuel", { fuel: "" }, "Choose the level"],
    ["oil", { oil: "greasy" }, "Choose the mark"],
    ["keys", { keys: "two" }, "How many keys"],
    ["cartridges", { cartridges: "-1" }, "How many full cartridges"],
    ["fault-1-severity", { "fault-1": "door rattles" }, "Choose whether the van may move"],
    [
      "fault-2-severity",
      { "fault-2": "inner tyre wall cut", "fault-2-severity": "stop" },
      "With this it may not go out.",
    ],
  ] as const)(
    "with a wrong %s is not kept, and says what would be right",
    async (field, change, says) => {
      const answer = await morag.post("/desk/hires/h1/pickup", { ...full, ...change });
      expect(answer.status).toBe(400);
      expect(answer.text).toContain(`id="wrong-${field}"`);
      expect(answer.text).toContain(says);
      expect((await hire()).pickup).toBeUndefined();
    },
  );
  it("is asked about where it was left half empty, and kept once that is said to be right", async () => {
    const first = await morag.post("/desk/hires/h1/pickup", full);
    expect(first.status).toBe(400);
    expect(first.text).toContain("photos of: front; left side");
    // An answer to another question counts for nothing.
    const other = await morag.post("/desk/hires/h1/pickup", { ...full, "sure-left-out": "keys" });
    expect(other.status).toBe(400);
    expect((await keep("h1", "pickup", full)).status).toBe(303);
    const kept = await hire();
    expect(kept.pickup).toMatchObject({ by: "morag", reading: { fuel: 1, oil: "between" } });
    expect(kept.pickup?.confirmed[0]).toContain("Left out");
    expect(kept.readings).toHaveLength(1);
    expect((await morag.get("/desk/hires/h1")).text).toContain("Pick-up record: kept");
    expect(await service.house.db.selectFrom("record_drafts").selectAll().execute()).toEqual([]);
  });
  it("that is corrected takes the place of the first, reading and all", async () => {
    const page = (await morag.get("/desk/hires/h1/pickup")).text;
    expect(page).toContain('value="57340"');
    expect((await keep("h1", "pickup", { ...full, fuel: "6" })).status).toBe(303);
    const { readings, pickup } = await hire();
    expect(readings).toHaveLength(1);
    expect(readings[0]).toMatchObject({ fuel: 0.75 });
    expect(pickup?.reading.fuel).toBe(0.75);
  });
  it("with an odometer that goes back, or too far, is asked about in the unit of the van", async () => {
    await book("h2", {
      van: { registration: "SX26 ABC", type: "wren" },
      pickupAt: later(now(), 5),
    });
    await keep("h1", "return", { ...full, odometer: "57,900" });
    const back = await morag.post("/desk/hires/h2/pickup", { ...full, odometer: "57,240" });
    expect(back.text).toContain("57,240 miles, but the last reading was 57,900 miles");
    const km = await morag.post("/desk/hires/h2/pickup", {
      ...full,
      unit: "km",
      odometer: "93,190",
    });
    expect(km.text).not.toContain("An odometer does not go back");
    const far = await morag.post("/desk/hires/h2/pickup", { ...full, odometer: "67,900" });
    expect(far.text).toContain("10,000 miles in one day");
  });
});

describe("a van that is blocked", () => {
  it("does not go out until a named person releases it with a reason, and what comes later blocks again", async () => {
    const van = { registration: "SX26 BLK", type: "wren" };
    await book("b1", { van, surname: "Stone", returnAt: later(now(), 600) });
    await book("b2", { van, pickupAt: later(now(), 10) });
    const path = "/desk/hires/b2/pickup";
    // The hire before has no return record, and reported a red light.
    await service.house.file({
      key: "said-b1",
      lane: laneOf("b1"),
      receivedAt: now(),
      body: {
        kind: "said",
        from: { person: "p1", via: { channel: "web", to: "p1" } },
        text: "red oil can light came on",
      },
    });
    await untilTrue(
      async () => ((await vanOf(service.house.db, "SX26 BLK"))?.faults.length ?? 0) > 0,
    );
    const page = (await morag.get(path)).text;
    expect(page).toContain("This van may not go out yet");
    expect(page).toContain("Red oil can");
    expect(page).toContain("No return record of Stone's hire");
    const refused = await keep("b2", "pickup", full);
    expect(refused.status).toBe(409);
    expect((await hire("b2")).pickup).toBeUndefined();
    // What was typed is there still.
    expect((await morag.get(path)).text).toContain('value="57,340"');
    expect((await morag.get("/desk/hires")).text).toContain("blocked");

    const covers = [...page.matchAll(/name="covers" value="([^"]+)"/g)].map((m) => m[1] ?? "");
    expect(covers).toEqual(["fault:1", "return:b1"]);
    const act = { do: "release", back: path, covers };
    const bare = await morag.post("/desk/vans/SX26%20BLK", { ...act, reason: " " });
    expect(bare.status).toBe(400);
    expect(bare.text).toContain("Say why");
    const done = await morag.post("/desk/vans/SX26%20BLK", {
      ...act,
      reason: "sender was loose; seen in the yard",
    });
    expect(done.headers["location"]).toBe(path);
    expect((await morag.get(path)).text).not.toContain("may not go out yet");
    expect((await keep("b2", "pickup", { ...full, odometer: "57,500" })).status).toBe(303);
    const log = await service.house.db
      .selectFrom("events")
      .selectAll()
      .where("lane", "=", "van:SX26 BLK")
      .where("text", "like", "releases%")
      .execute();
    expect(log).toMatchObject([
      { who: "Morag", text: expect.stringContaining("sender was loose") },
    ]);
  });
});

describe("photos of a record", () => {
  const path = (side: string, n: number) =>
    `/desk/hires/p1/pickup/photo?id=${newPhotoId(n)}&side=${side}`;
  beforeAll(() => book("p1"));

  it("are sealed as they came and shown without what the camera wrote into them", async () => {
    const bytes = await cameraPhoto("2026:06:03 10:12:05", { offset: "+01:00" });
    const sent = await morag.photo(path("front", 1), bytes);
    expect(sent.body).toEqual({
      id: newPhotoId(1),
      shown: true,
      takenAt: "2026-06-03T10:12:05+01:00",
    });
    const original = await morag.get(`/desk/records/photo/${newPhotoId(1)}/original`);
    const hash = createHash("sha256").update(bytes).digest();
    expect(
      createHash("sha256")
        .update(original.body as Buffer)
        .digest(),
    ).toEqual(hash);
    expect(original.headers["repr-digest"]).toBe(`sha-256=:${hash.toString("base64")}:`);
    expect(original.headers["content-disposition"]).toContain("attachment");
    const shown = (await morag.get(`/desk/records/photo/${newPhotoId(1)}`)).body as Buffer;
    const meta = await sharp(shown).metadata();
    // 640 by 480 held upright (Exif orientation 6): turned once, and no data left.
    expect([meta.width, meta.height, meta.exif, meta.orientation]).toEqual([
      480,
      640,
      undefined,
      undefined,
    ]);
    expect(shown.includes("Example 1")).toBe(false);
    const page = (await morag.get("/desk/hires/p1/pickup")).text;
    expect(page).toContain("taken 2026-06-03 10:12 by the camera&#39;s clock");
  });
  it("without a time in them are told so", async () => {
    const sent = await morag.photo(path("rear", 2), await plainPhoto());
    expect(sent.body).toMatchObject({ takenAt: null, shown: true });
    expect((await morag.get("/desk/hires/p1/pickup")).text).toContain("time of taking not known");
  });
  it("sent again are one photo; another under the same id is refused", async () => {
    const again = await morag.photo(
      path("front", 1),
      await cameraPhoto("2026:06:03 10:12:05", { offset: "+01:00" }),
    );
    expect(again.status).toBe(200);
    expect((await morag.photo(path("front", 1), await plainPhoto("#111"))).status).toBe(409);
    const rows = await service.house.db
      .selectFrom("record_photos")
      .select("id")
      .where("hire", "=", "p1")
      .execute();
    expect(rows).toHaveLength(2);
  });
  it("that are too large, no photo, or of no side get a clear answer and are not kept", async () => {
    const large = await morag.photo(
      path("rear", 3),
      Buffer.concat([await plainPhoto(), Buffer.alloc(8 * 1024 * 1024)]),
    );
    expect([large.status, large.body]).toEqual([413, { error: expect.stringContaining("8 MB") }]);
    const text = await morag.photo(path("rear", 4), Buffer.from("<svg onload=alert(1)>"));
    expect([text.status, text.body]).toEqual([415, { error: expect.stringContaining("JPEG") }]);
    expect((await morag.photo(path("underneath", 5), await plainPhoto())).status).toBe(400);
    expect(
      (await morag.photo("/desk/hires/p1/pickup/photo?id=../../x&side=rear", await plainPhoto()))
        .status,
    ).toBe(400);
    const empty = await morag.photo(path("rear", 6), Buffer.alloc(0));
    expect([empty.status, empty.body]).toEqual([
      400,
      { error: expect.stringContaining("send it again") },
    ]);
  });
  it("that cannot be decoded here are sealed all the same, and said to be so", async () => {
    const heic = heicPhoto();
    expect((await morag.photo(path("inside", 7), heic)).body).toMatchObject({ shown: false });
    const original = `/desk/records/photo/${newPhotoId(7)}/original`;
    const said = `A HEIC photo cannot be shown here: <a href="${original}" download>`;
    expect((await morag.get("/desk/hires/p1/pickup")).text).toContain(said);
    expect((await morag.get(`/desk/records/photo/${newPhotoId(7)}`)).status).toBe(404);
    expect((await morag.get(`/desk/records/photo/${newPhotoId(7)}/original`)).body).toEqual(heic);
  });
  it("are for staff alone", async () => {
    for (const what of ["", "/original"]) {
      const answer = await request(service.url)
        .get(`/desk/records/photo/${newPhotoId(1)}${what}`)
        .set("Accept", "application/json");
      expect(answer.status).toBe(401);
    }
    const bare = await request(service.url)
      .post(path("front", 9))
      .set("Accept", "application/json")
      .send("x");
    expect(bare.status).toBe(401);
  });
  it("kept with a mark stand on the van's page until somebody says that it is mended", async () => {
    const fields = {
      ...full,
      [`mark-${newPhotoId(1)}`]: "dent, 3 cm",
      [`drop-${newPhotoId(2)}`]: "yes",
    };
    expect((await keep("p1", "pickup", fields)).status).toBe(303);
    expect((await hire("p1")).pickup?.photos.map((p) => [p.side, p.mark])).toEqual([
      ["front", "dent, 3 cm"],
      ["inside", undefined],
    ]);
    const page = () => morag.get("/desk/vans/SX26%20P1");
    expect((await page()).text).toContain("dent, 3 cm");
    await morag.post("/desk/vans/SX26%20P1", { do: "mended", photo: newPhotoId(1) });
    expect((await page()).text).toContain("Mended: 1");
    // A photo that was taken out stays out when the record is corrected.
    expect((await morag.get("/desk/hires/p1/pickup")).text).toMatch(
      new RegExp(`name="drop-${newPhotoId(2)}" value="yes" checked`),
    );
  });
});

describe("a return record on the wrong hire", () => {
  it("is taken out from the hire's page once it is ticked that the van is out, with the name of who did it", async () => {
    await book("w1");
    await keep("w1", "pickup", full);
    await keep("w1", "return", { ...full, odometer: "92400" });
    const page = async () => (await morag.get("/desk/hires/w1")).text;
    expect(await page()).toContain("Not back after all");
    const act = { hire: "w1", do: "not-back", back: "/desk/hires/w1" };
    expect((await morag.post("/desk/act", act)).text).toContain("Tick that the van is still");
    expect((await hire("w1")).returnRecordAt).toBeDefined();
    await morag.post("/desk/act", { ...act, sure: "yes" });
    await untilTrue(async () => (await hire("w1")).returnRecordAt === undefined);
    expect(await page()).toContain("takes the return record out");
    expect(await page()).toContain("Write the return record");
    expect(await page()).not.toContain("Not back after all");
  });
});

describe("a return through the key box", () => {
  it("takes the hirers' photos by chat, sealed, and says who checked the van in", async () => {
    await book("k1");
    await keep("k1", "pickup", full);
    await morag.post("/desk/act", { hire: "k1", do: "ask-photos" });
    await untilTrue(async () =>
      (await morag.get("/desk/hires/k1")).text.includes("Please send photos here before you go"),
    );
    const { links } = await service.house.makeHire(
      { ...(await hire("k1")).booking, hire: "k2" as HireId },
      "k2",
    );
    expect(links).toHaveLength(1);
    const opened = await request(service.url).post(`/h/${links[0]?.token ?? ""}`);
    const theirs = String(opened.headers["set-cookie"]?.[0]).split(";")[0] ?? "";
    const bytes = await plainPhoto("#246");
    const sent = await request(service.url)
      .post("/chat/photo?id=left-at-yard")
      .set("Cookie", theirs)
      .set("Content-Type", "image/jpeg")
      .send(bytes);
    expect(sent.status).toBe(200);
    let page = "";
    await untilTrue(async () => {
      page = (await morag.get("/desk/hires/k2/return")).text;
      return page.includes("Photos that they sent by chat: 1");
    });
    const chat = /name="(chat-[\w-]{22})"/.exec(page)?.[1] ?? "";
    const fields = {
      ...full,
      fuel: "4",
      way: "key-box",
      "hirer-remark": "all fine",
      [chat]: "yes",
    };
    expect((await keep("k2", "return", fields)).status).toBe(303);
    const { back } = await hire("k2");
    expect(back).toMatchObject({
      keyBox: true,
      by: "morag",
      hirerRemark: "all fine",
      photos: [{ side: "chat", sha256: createHash("sha256").update(bytes).digest("hex") }],
    });
    expect((await morag.get("/desk/hires/k2/sheet")).text).toContain("key box, checked in");
    // Corrected, it still holds the photo, once.
    const known = (await morag.get("/desk/hires/k2/return")).text;
    expect(known).toContain(`name="${chat}" value="yes" checked`);
    await keep("k2", "return", { ...fields, fuel: "3" });
    expect((await hire("k2")).back?.photos).toHaveLength(1);
    expect((await morag.get("/desk/hires/k2")).text).toContain(
      "writes the return record (key box; checked in by Morag)",
    );
  });
});

describe("a photo by chat that its channel does not give out now", () => {
  it("is not left out silently: the record waits until it is there or left out", async () => {
    await book("c1");
    await service.house.file({
      key: "photo-c1",
      lane: laneOf("c1"),
      receivedAt: now(),
      body: {
        kind: "photo",
        from: { person: "p1", via: { channel: "telegram", to: "4711" } },
        file: { id: "AgACAgQAAx-kept-elsewhere_0123456789", kind: "image/jpeg" },
      },
    });
    let page = "";
    await untilTrue(async () => {
      page = (await morag.get("/desk/hires/c1/return")).text;
      return page.includes("sent by chat: 1");
    });
    const chat = /name="(chat-[\w-]{22})"/.exec(page)?.[1] ?? "";
    const answer = await keep("c1", "return", { ...full, [chat]: "yes" });
    expect(answer.status).toBe(400);
    expect(answer.text).toContain("1 of the photos by chat cannot be had just now");
    expect((await morag.get("/desk/hires/c1/return?look=1")).text).toContain(
      "cannot be had just now",
    );
    expect((await hire("c1")).back).toBeUndefined();
    expect((await keep("c1", "return", full)).status).toBe(303);
  });
});

describe("the return sheet", () => {
  it("as a file holds the readings, what is owed with its figures, and no formula", async () => {
    await book("s1", { surname: "=cmd|' /C calc'!A0" });
    await keep("s1", "pickup", { ...full, "kit-all": "yes", cartridges: "2", keys: "1" });
    const back = {
      odometer: "57,640",
      unit: "miles",
      fuel: "4",
      fluid: "6",
      oil: "low",
      keys: "1",
    };
    await keep("s1", "return", {
      ...back,
      "kit-0": "1",
      cartridges: "0",
      "fault-1": '+44 blind torn, "top"',
      "fault-1-severity": "note",
      "point-swept": "yes",
    });
    await untilTrue(
      async () => ((await vanOf(service.house.db, "SX26 S1"))?.faults.length ?? 0) > 0,
    );
    const file = await morag.get("/desk/hires/s1/sheet.csv");
    expect(file.headers["content-type"]).toContain("text/csv");
    const rows = parse(file.text, { columns: true, record_delimiter: "\r\n" }) as Record<
      string,
      string
    >[];
    const row = (section: string, item: string) =>
      rows.find((r) => r["section"] === section && r["item"] === item);
    // 300 miles driven; half of 70 litres of diesel; a quarter of 13 litres of fluid (figures of the wren's van.yaml).
    expect(row("readings", "odometer")).toMatchObject({
      "pick-up": "57340",
      return: "57640",
      difference: "300",
      unit: "miles",
    });
    expect(row("owed", "fuel")).toMatchObject({
      difference: "35",
      unit: "litres",
      note: expect.stringContaining("from 50 % up to 100 %"),
    });
    expect(row("owed", "exhaust fluid")).toMatchObject({ difference: "3.3", unit: "litres" });
    expect(row("to do", "Refill: oil")).toBeDefined();
    expect(row("to do", "Replace: gas cartridges")).toMatchObject({ note: "2" });
    expect(row("to do", "Replace: camping chair")).toMatchObject({ note: "1 of 2 missing" });
    expect(row("to do", "Empty the fridge, turn it off")).toBeDefined();
    expect(row("to do", "Sweep, take the rubbish out")).toBeUndefined();
    expect(row("reported", '\'+44 blind torn, "top"')).toMatchObject({
      note: "a question, at return; open",
    });
    expect(row("hire", "hirer")).toMatchObject({ note: "'=cmd|' /C calc'!A0" });
    for (const cell of rows.flatMap((r) => Object.values(r)))
      expect(cell).toMatch(/^(?![=+\-@\t\r])|^-?\d+(\.\d+)?$/);
    const page = (await morag.get("/desk/hires/s1/sheet")).text;
    for (const said of ["35 litres", "Replace: camping chair", "blind torn"])
      expect(page).toContain(said);
  });
  it("without a pick-up record says that what is owed is not known", async () => {
    await book("s2");
    await keep("s2", "return", full);
    const page = (await morag.get("/desk/hires/s2/sheet")).text;
    expect(page).toContain("not known: it was not read at pick-up");
    expect(page).toContain("no pick-up record");
    expect((await morag.get("/desk/hires/none/sheet")).status).toBe(404);
  });
  it("holds nothing of a threat: no call-out, and no picture of whoever told of it", async () => {
    await book("s4", { people: peopleOf(["Kit", "Lou"]) });
    const files = async (person: string, body: { text: string } | { caption: string }) => {
      const from = { person, via: { channel: "web", to: person } } as const;
      const file = { id: `photo-of-${person}`, kind: "image/jpeg" };
      await service.house.file({
        key: `s4-${Object.values(body).join()}`,
        lane: laneOf("s4"),
        receivedAt: now(),
        body:
          "text" in body ? { kind: "said", from, ...body } : { kind: "photo", from, file, ...body },
      });
    };
    await files("p1", { text: "red oil can light came on" });
    await files("p1", { caption: "the dashboard" });
    await files("p2", { caption: "thanks" });
    await files("p2", { text: "she is threatening me with a knife" });
    await untilTrue(async () => (await hire("s4")).callouts.some((c) => c.matter === "threat"));
    const page = (await morag.get("/desk/hires/s4/sheet")).text;
    const file = (await morag.get("/desk/hires/s4/sheet.csv")).text;
    for (const sheet of [page, file]) {
      expect(sheet).toContain("Red oil can");
      expect(sheet).not.toMatch(/threat/i);
    }
    expect(page).toContain("the dashboard");
    expect(page).not.toContain("photo-of-p2");
  });
  it("of a hire that swapped its van on the road tells both vans", async () => {
    await book("s3");
    const fault = { "fault-1": "step bent", "fault-1-severity": "soon" };
    await keep("s3", "pickup", { ...full, ...fault });
    await book("s3", { van: { registration: "SX26 NEW", type: "curlew" } });
    await untilTrue(async () => (await hire("s3")).vanSince !== undefined);
    await untilTrue(
      async () => ((await vanOf(service.house.db, "SX26 S3"))?.faults.length ?? 0) > 0,
    );
    const page = (await morag.get("/desk/hires/s3/sheet")).text;
    expect(page).toContain('The van before: <span class="plate">SX26 S3</span>');
    expect(page).toContain("Mend: step bent");
    expect(page).toContain("no pick-up record");
    const rows = parse((await morag.get("/desk/hires/s3/sheet.csv")).text, { columns: true });
    const of = (item: string) =>
      (rows as Record<string, string>[])
        .filter((r) => r["item"] === item)
        .map((r) => [r["van"], r["pick-up"], r["return"]]);
    expect(of("odometer")).toEqual([
      ["SX26 NEW", "", ""],
      ["SX26 S3", "57340", "57340"],
    ]);
    expect(of("Mend: step bent")).toEqual([["SX26 S3", "", ""]]);
    await book("s3");
    await untilTrue(async () => (await hire("s3")).vansBefore?.length === 2);
    await keep("s3", "return", { ...full, fuel: "4" });
    const again = (await morag.get("/desk/hires/s3/sheet")).text;
    expect(again).toContain("as it first went out");
    expect(again).toContain("35 litres");
  });
});
