/** A record that several people write, or one by one: nothing of anybody is lost, and none takes another's place unseen. */
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Instant, after as later } from "../../src/calendar.js";
import type { Hire } from "../../src/hires/hire.js";
import { laneOf } from "../../src/lanes.js";
import type { ArrivalBody, DeskAct, HireId } from "../../src/post.js";
import { vanOf } from "../../src/store/care/vans.js";
import type { Handover } from "../../src/vans/handover.js";
import { bookingOf, peopleOf } from "../kit/booking.js";
import { type DeskVisitor, enterDesk, plainPhoto } from "../kit/desk.js";
import { untilTrue } from "../kit/until.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";

let service: WebHouse;
let morag: DeskVisitor;
let callum: DeskVisitor;
beforeAll(async () => {
  service = await openWebHouse("wren");
  morag = await enterDesk(service.url);
  callum = await enterDesk(service.url, "callum");
});
afterAll(() => service?.close());

const hire = async (id: string): Promise<Hire> => {
  const lane = await service.house.laneState(laneOf(id));
  if (lane?.kind !== "hire") throw new Error(`no hire ${id}`);
  return lane.hire;
};
const registration = (id: string) => `SX26 ${id.toUpperCase()}`;
async function book(id: string) {
  const made = await service.house.makeHire(
    bookingOf({
      hire: id as HireId,
      van: { registration: registration(id), type: "wren" },
      people: peopleOf(["Kit"]),
    }),
  );
  await untilTrue(async () => (await service.house.laneState(laneOf(id))) !== undefined);
  return made;
}
let keys = 0;
const arrive = (id: string, body: ArrivalBody, receivedAt = service.house.clock.now()) =>
  service.house.file({ key: `two-phones-${++keys}`, lane: laneOf(id), receivedAt, body });
const act = (id: string, does: DeskAct, receivedAt?: Instant) =>
  arrive(id, { kind: "desk", by: "morag", act: does }, receivedAt);
const full = { odometer: "57,340", unit: "miles", fuel: "8", fluid: "8", oil: "between" };
const one = (page: string, shape: RegExp): string => shape.exec(page)?.[1] ?? "";
const baseOn = (page: string) => one(page, /name="base" value="(\d*)"/);
/** The answers "it is right" to all that a page asks. */
const answers = (page: string) =>
  Object.fromEntries(
    [...page.matchAll(/name="(sure-[a-z-]+)" value="([^"]*)"/g)].map(
      ([, name = "", value = ""]) => [name, value.replaceAll("&#39;", "'")],
    ),
  );
/** Keeps a record without script, and says yes to whatever is asked. */
async function keep(by: DeskVisitor, path: string, fields: Record<string, string>) {
  const asked = await by.post(path, { ...fields, id: `two-phones-${++keys}` });
  if (asked.status !== 400) return asked;
  return by.post(path, { ...fields, ...answers(asked.text), id: `two-phones-${++keys}` });
}
const photoId = (n: number) => `two${n}`.padEnd(22, "x");
const shoot = async (path: string, n: number) => {
  const sent = await morag.photo(`${path}/photo?id=${photoId(n)}&side=front`, await plainPhoto());
  expect(sent.status).toBe(200);
};

describe("a record on two phones", () => {
  const path = "/desk/hires/t1/return";
  /** Morag's form as her page has it, drawn before the other wrote anything. */
  const form = { ...full, "fault-1": "", "fault-1-severity": "", remark: "", base: "" };
  const scripted = (fields: Record<string, string> = {}) =>
    morag.post(path, { ...form, drafted: "yes", id: `two-phones-${++keys}`, ...fields });

  it("is kept with what the other wrote, faults that stop the van and ticks too", async () => {
    await book("t1");
    await callum.draft(path, {
      "fault-1": "brake pipe wet",
      "fault-1-severity": "stop",
      "point-swept": "yes",
    });
    await morag.draft(path, full);
    expect((await scripted()).status).toBe(400);
    const page = (await morag.get(`${path}?look=1&base=`)).text;
    expect(page).toContain("brake pipe wet");
    expect(page).toContain("Please look once more");
    const sure = answers(page);
    await morag.draft(path, sure);
    expect((await scripted(sure)).status).toBe(303);
    expect((await hire("t1")).back).toMatchObject({
      by: "morag",
      faults: [{ title: "brake pipe wet", severity: "stop" }],
      points: ["swept"],
    });
    await untilTrue(
      async () => (await vanOf(service.house.db, registration("t1")))?.faults.length === 1,
    );
  });
  it("tells on the hire's page what came for it after it was kept", async () => {
    const page = async () => (await morag.get("/desk/hires/t1")).text;
    expect(await page()).not.toContain("written after it was kept");
    expect((await callum.draft(path, { remark: "step bent too" })).status).toBe(200);
    expect(await page()).toMatch(/Return record: kept .*written after it was kept: Callum/);
  });
  it("takes no other's place that was kept after its page was drawn, and says whose it is", async () => {
    const before = (await hire("t1")).back;
    const late = await callum.post(path, { ...form, remark: "step bent too" });
    expect(late.status).toBe(409);
    expect(late.text).toContain("Morag kept this record at");
    expect(late.text).toContain("step bent too");
    expect((await hire("t1")).back).toEqual(before);
    const page = (await callum.get(`${path}?look=1&base=`)).text;
    expect(page).toContain("Morag kept this record at");
    expect(page).toContain("brake pipe wet");
    expect(page).toContain("step bent too");
    const base = baseOn(page);
    expect(base).toBe(`${before?.at}`);
    expect((await callum.get(path)).text).not.toContain("kept this record at");
    const sure = answers((await callum.get(`${path}?look=1`)).text);
    await callum.draft(path, sure);
    const drawn = { ...full, "fault-1": "brake pipe wet", "fault-1-severity": "stop" };
    const again = { ...drawn, ...sure, base, drafted: "yes", id: "callum-keeps-it" };
    expect((await callum.post(path, again)).status).toBe(303);
    const after = (await hire("t1")).back;
    expect(after).toMatchObject({
      by: "morag",
      corrected: { by: "callum" },
      remark: "step bent too",
      faults: [{ title: "brake pipe wet" }],
    });
    // The answer was lost on the way, and the phone asks once more.
    expect((await callum.post(path, again)).status).toBe(303);
    expect((await hire("t1")).back).toEqual(after);
  });
  it("keeps what was written while the record was on its way", async () => {
    await book("t2");
    const there = "/desk/hires/t2/return";
    await callum.draft(there, { remark: "step bent" });
    const handover: Handover = {
      ...{ registration: registration("t2"), by: "morag", unit: "miles", kit: [], photos: [] },
      ...{ drivers: [], points: [], faults: [], confirmed: [] },
    };
    const sentAt = later(service.house.clock.now(), -1);
    const reading = { at: sentAt, by: "Morag" };
    await act("t2", { do: "return-record", reading, handover }, sentAt);
    await untilTrue(async () => (await hire("t2")).back !== undefined);
    expect((await morag.get(there)).text).toContain("step bent");
    expect((await morag.get("/desk/hires/t2")).text).toContain("written after it was kept: Callum");
  });
});

describe("a return record that was taken out", () => {
  const path = "/desk/hires/n1/return";
  it("leaves its photos to no van's marks, and out of the next record until they are taken in", async () => {
    await book("n1");
    await keep(morag, "/desk/hires/n1/pickup", full);
    await shoot(path, 1);
    await keep(morag, path, { ...full, [`mark-${photoId(1)}`]: "scratch, rear" });
    const marks = async () => (await morag.get(`/desk/vans/${registration("n1")}`)).text;
    expect(await marks()).toContain("scratch, rear");
    const base = baseOn((await morag.get(path)).text);
    await act("n1", { do: "not-back" });
    await untilTrue(async () => (await hire("n1")).returnRecordAt === undefined);
    expect(await marks()).not.toContain("scratch, rear");
    // A page that was drawn on it does not bring it back.
    const old = await keep(morag, path, { ...full, base });
    expect([old.status, old.text.includes("was taken out")]).toEqual([409, true]);
    const page = (await morag.get(path)).text;
    expect(page).toContain(`name="drop-${photoId(1)}" value="yes" checked`);
    await shoot(path, 2);
    const asked = await morag.post(path, { ...full, [`drop-${photoId(1)}`]: "yes" });
    expect(asked.text).not.toContain("photos of: front");
    await keep(morag, path, { ...full, [`drop-${photoId(1)}`]: "yes" });
    expect((await hire("n1")).back?.photos.map((p) => [p.id, p.mark])).toEqual([
      [photoId(2), undefined],
    ]);
  });
});

describe("photos by chat in a return record", () => {
  it("stay in it when it is corrected after the talk is no longer kept", async () => {
    const { links } = await book("e1");
    const path = "/desk/hires/e1/return";
    const opened = await request(service.url).post(`/h/${links[0]?.token ?? ""}`);
    const cookie = String(opened.headers["set-cookie"]?.[0]).split(";")[0] ?? "";
    const sent = await request(service.url)
      .post("/chat/photo?id=left-at-yard")
      .set("Cookie", cookie)
      .set("Content-Type", "image/jpeg")
      .send(await plainPhoto("#246"));
    expect(sent.status).toBe(200);
    let page = "";
    await untilTrue(async () => {
      page = (await morag.get(path)).text;
      return page.includes("Photos that they sent by chat: 1");
    });
    const chat = one(page, /name="(chat-[\w-]{22})"/);
    await keep(morag, path, { ...full, way: "key-box", [chat]: "yes" });
    const { photos } = (await hire("e1")).back ?? { photos: [] };
    expect(photos).toHaveLength(1);
    await arrive("e1", { kind: "forget", by: "morag", what: "talk" });
    await untilTrue(async () =>
      (await morag.get("/desk/hires/e1/data")).text.includes("No longer"),
    );
    page = (await morag.get(path)).text;
    expect(page).toContain(`name="${chat}" value="yes" checked`);
    const shown = one(page, /src="(\/desk\/records\/photo\/[\w-]{22})"/);
    expect((await morag.get(shown)).status).toBe(200);
    const corrected = { ...full, way: "key-box", [chat]: "yes", remark: "mat is wet" };
    expect((await keep(morag, path, corrected)).status).toBe(303);
    expect((await hire("e1")).back).toMatchObject({ remark: "mat is wet", photos });
  });
});
