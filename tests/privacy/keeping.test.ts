/** Terms kept, a copy given and a hirer erased, through the whole service and on both engines: nothing is left, nothing needed goes. */
import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { sql } from "kysely";
import request from "supertest";
import { afterAll, afterEach, beforeEach, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { after } from "../../src/calendar.js";
import type { ArrivalBody, DeskAct, LaneId } from "../../src/post.js";
import { addPhoto, type PhotoRow } from "../../src/store/care/records.js";
import { addEvents } from "../../src/store/events.js";
import { forgottenOf } from "../../src/store/keeping/terms.js";
import { enterDesk, plainPhoto } from "../kit/desk.js";
import { book } from "../kit/hire.js";
import { noon, scriptClock } from "../kit/small-house.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";

const server = await openServer();
afterAll(() => server?.close());
const url = (await server?.database()) ?? "";
const engines: [string, string | undefined][] = [
  ["SQLite", ":memory:"],
  ["PostgreSQL", url || undefined],
];
const day = 24 * 60;
const { talk, photos, hire: whole, stranger, signIns, trail } = book.keeping;
/** What of people is anywhere in the service. */
const people = [
  "Annmarked",
  "Benmarked",
  "Stonemarked",
  "0501",
  "+447700900501",
  "wordsmarked",
  "drivermarked",
  "notemarked",
];

describe.each(engines)("on %s", { timeout: 180_000 }, (_name, at) => {
  const rule = it.skipIf(at === undefined);
  const clock = scriptClock();
  let service: WebHouse;
  let folder: string;
  let keys = 0;
  beforeEach(async () => {
    if (at === undefined) return;
    if (at === url) await server?.empty(url);
    clock.moveTo(noon);
    folder = mkdtempSync(join(tmpdir(), "passing-place-keeping-"));
    service = await openWebHouse("curlew", ["Annmarked", "Benmarked"], {
      clock,
      surname: "Stonemarked",
      phone: "07700 900501",
      ...(at === url ? { databaseUrl: at } : {}),
      settings: { photoFolder: folder, ...(at === url ? {} : { databaseFile: at }) },
    });
    mkdirSync(join(folder, "records"));
    await settled();
  }, 60_000);
  afterEach(async () => {
    if (at === undefined) return;
    await service.close();
    rmSync(folder, { recursive: true, force: true });
  });

  async function settled(): Promise<void> {
    for (let i = 0; i < 2_000; i++) {
      const waiting = await service.house.db
        .selectFrom("arrivals")
        .select("seq")
        .where("state", "=", "waiting")
        .executeTakeFirst();
      if (!waiting) return;
      await new Promise((resolve) => setTimeout(resolve, 10));
    }
    throw new Error("turns do not come to an end");
  }
  async function arrive(body: ArrivalBody, lane: LaneId = service.lane): Promise<void> {
    await service.house.file({ key: `keeping-${++keys}`, lane, receivedAt: clock.now(), body });
    await settled();
  }
  const from = (person: string) => ({ person, via: { channel: "web", to: person } }) as const;
  const says = (person: string, text: string) => arrive({ kind: "said", from: from(person), text });
  const staff = (act: DeskAct) => arrive({ kind: "desk", by: "morag", act });
  /** Every row of every table as text. */
  async function rows(): Promise<string> {
    const { db } = service.house;
    const all: string[] = [];
    for (const { name } of await db.introspection.getTables()) {
      const found = await sql<object>`select * from ${sql.table(name)}`.execute(db);
      all.push(...found.rows.map((row) => `${name} ${JSON.stringify(row)}`));
    }
    return all.join("\n");
  }
  async function left(words: readonly string[] = people): Promise<string[]> {
    const all = await rows();
    return words.filter((word) => all.includes(word));
  }
  const files = (): string[] =>
    readdirSync(folder, { recursive: true, encoding: "utf8" }).filter(
      (f) => !f.endsWith("records"),
    );
  async function keepTerms(): Promise<void> {
    // What it files has its turn; what is to go from the disk goes at the next round.
    for (let i = 0; i < 2; i++) {
      await service.house.keepTerms();
      await settled();
    }
    await service.house.keepTerms();
  }
  const photo = (id: string, mark: string | null): PhotoRow => ({
    ...{ id, hire: "h1", kind: "return", registration: "SX26 ABC", side: "front", mark },
    ...{ type: "image/jpeg", bytes: 9, sha256: "ab", shown: 1, taken_at: null },
    ...{ received_at: noon, by: "morag", kept_at: noon },
  });

  /** Talk of both, a photo of Ann's, a light that blocks the van, a record of return. Nothing of it is done yet. */
  async function live(): Promise<void> {
    const agent = request.agent(service.url);
    await agent.post(new URL(service.links[0] ?? "").pathname);
    await agent
      .post("/chat/photo?id=a-photo")
      .type("application/octet-stream")
      .send(await plainPhoto());
    await says("p1", "wordsmarked of Ann: where is the spare wheel");
    await says("p2", "benwords: where is the spare wheel");
    await arrive({ kind: "located", from: from("p2"), lat: 57.123456, lon: -4.2 });
    await says("p1", "brake pedal goes to the floor, wordsmarked");
    await staff({ do: "note", note: "notemarked" });
    for (const [id, mark] of [
      ["A".repeat(22), null],
      ["B".repeat(22), "scratch"],
    ] as const) {
      await addPhoto(service.house.db, photo(id, mark));
      for (const what of ["original", "shown"])
        writeFileSync(join(folder, "records", `${id}.${what}`), "x");
    }
    const marked = {
      id: "B".repeat(22),
      side: "front",
      receivedAt: noon,
      sha256: "ab",
      mark: "scratch",
    };
    await staff({
      do: "return-record",
      reading: { at: clock.now(), by: "Morag", odometerKm: 12_000 },
      handover: {
        ...{
          registration: "SX26 ABC",
          by: "morag",
          unit: "miles",
          kit: [],
          points: [],
          faults: [],
        },
        ...{ drivers: ["drivermarked"], confirmed: [], photos: [marked] },
      },
    });
  }
  async function settle(): Promise<void> {
    await staff({ do: "take", callout: 1 });
    const state = await service.house.laneState(service.lane);
    const open =
      state?.kind === "hire" ? state.hire.callouts.filter((c) => c.state !== "done") : [];
    for (const { n } of open) await staff({ do: "done", callout: n, outcome: "by-advice" });
    const van = { registration: "SX26 ABC", type: "curlew", by: "morag" };
    await arrive(
      { kind: "van", ...van, act: { do: "clear", fault: 1, what: "topped up" } },
      "van:SX26 ABC" as LaneId,
    );
  }
  const erase = async (fields: Record<string, string>) => {
    const desk = await enterDesk(service.url);
    const got = await desk.post("/desk/hires/h1/data/erase", {
      id: `erase-${++keys}-form`,
      sure: "yes",
      ...fields,
    });
    await settled();
    return got;
  };

  rule(
    "erases nothing while the hire, a call-out or a block needs it, and says which",
    async () => {
      expect((await erase({ person: "", what: "hire" })).text).toContain(
        "its van is not checked in",
      );
      expect(await left(["Annmarked"])).toEqual(["Annmarked"]);
      await live();
      const open = await erase({ person: "", what: "talk" });
      expect([open.status, open.text.includes("call-out 1 is open")]).toEqual([409, true]);
      await keepTerms();
      clock.move((whole.days + 1) * day);
      await keepTerms();
      expect(await left(["wordsmarked", "Annmarked", "drivermarked"])).toEqual([
        "wordsmarked",
        "Annmarked",
        "drivermarked",
      ]);
      expect(await forgottenOf(service.house.db, "h1")).toEqual([]);
      const state = await service.house.laneState(service.lane);
      for (const { n } of state?.kind === "hire" ? state.hire.callouts : [])
        await staff({ do: "done", callout: n, outcome: "by-advice" });
      expect((await erase({ person: "", what: "talk" })).text).toContain("the van is blocked");
      // What was chosen stays chosen: the next press is of the same person.
      await settle();
      const unsure = await erase({ person: "p2", what: "hire", sure: "" });
      expect([unsure.status, unsure.text.includes('value="p2" selected')]).toEqual([400, true]);
      expect(unsure.text).toContain('name="what" value="hire" checked');
      expect((await erase({ person: "nobody", what: "talk" })).status).toBe(400);
      expect(await left(["wordsmarked"])).toEqual(["wordsmarked"]);
    },
  );

  rule(
    "erases nothing while a van that it gave up is blocked by what was reported in it",
    async () => {
      await says("p1", "brake pedal goes to the floor, wordsmarked");
      const van = { registration: "SX26 WRN", type: "wren" };
      await arrive({ kind: "changed", by: "morag", change: { van } });
      await staff({ do: "return-record", reading: { at: clock.now(), by: "Morag" } });
      const state = await service.house.laneState(service.lane);
      for (const { n } of state?.kind === "hire" ? state.hire.callouts : [])
        await staff({ do: "done", callout: n, outcome: "by-advice" });
      const kept = await erase({ person: "", what: "talk" });
      expect([kept.status, kept.text.includes("gave up is blocked")]).toEqual([409, true]);
      clock.move((talk.days + 1) * day);
      await keepTerms();
      expect(await left(["wordsmarked"])).toEqual(["wordsmarked"]);
    },
  );

  rule(
    "erases one person's part on request: the other's stays, and it is written down who did it",
    async () => {
      await arrive({ kind: "tapped", from: from("p2"), tap: "person" });
      // By message, a reply goes to whoever raised the matter, and names nobody.
      await staff({ do: "reply", callout: 1, text: "look under the step, benreply" });
      const to = { channel: "gateway", to: "+447700900502" } as const;
      await arrive({ kind: "undelivered", send: "keeping-1#1", to });
      await live();
      await settle();
      expect(await left(["benreply", "0502"])).toHaveLength(2);
      expect((await erase({ person: "p2", what: "talk" })).status).toBe(303);
      expect(await left(["benwords", "57.123456", "benreply", "0502"])).toEqual([]);
      expect(await left(["wordsmarked", "Annmarked", "Benmarked"])).toHaveLength(3);
      expect(await forgottenOf(service.house.db, "h1")).toMatchObject([
        { what: "talk", person: "p2", by: "morag" },
      ]);
      const links = await service.house.db.selectFrom("links").select("person").execute();
      expect(links.some((l) => l.person === "p1") && !links.some((l) => l.person === "p2")).toBe(
        true,
      );
      // Its time comes for the rest all the same.
      clock.move((talk.days + 1) * day);
      await keepTerms();
      expect(await left(["wordsmarked", "0501"])).toEqual([]);
    },
  );

  rule("gives a copy to who was taken off the hire, and erases theirs alone", async () => {
    await live();
    await settle();
    await arrive({ kind: "changed", by: "morag", change: { people: [{ name: "Annmarked" }] } });
    const desk = await enterDesk(service.url);
    const page = async () => (await desk.get("/desk/hires/h1/data")).text;
    const said = '<option value="p2">Benmarked, not on the hire any more</option>';
    expect(await page()).toContain(said);
    const got = await desk
      .post("/desk/hires/h1/data/copy", { id: `copy-${++keys}-form`, person: "p2" })
      .buffer(true);
    expect(got.status).toBe(200);
    expect((await erase({ person: "p2", what: "talk" })).status).toBe(303);
    expect(await left(["benwords", "57.123456", "wordsmarked"])).toEqual(["wordsmarked"]);
    expect(await page()).not.toContain(said);
    expect(await forgottenOf(service.house.db, "h1")).toMatchObject([{ person: "p2" }]);
  });

  rule("says that nothing is erased yet where its turn has not come, and erases then", async () => {
    await live();
    await settle();
    await service.house.stop();
    const desk = await enterDesk(service.url);
    const form = { id: "erase-later-form", sure: "yes", person: "p2", what: "talk" };
    const got = await desk.post("/desk/hires/h1/data/erase", form);
    expect([got.status, got.text.includes("Not erased yet")]).toEqual([202, true]);
    expect(await left(["benwords"])).toHaveLength(1);
    service.house.start();
    await settled();
    expect(await left(["benwords"])).toEqual([]);
  });

  rule(
    "lets go of talk, photos and names at their times, of nothing before, and of all in the end",
    async () => {
      await live();
      await settle();
      await arrive(
        {
          kind: "said",
          from: { via: { channel: "web", to: "+447700900509" } },
          text: "strangemarked",
        },
        "chat:gateway:+447700900509" as LaneId,
      );
      const own = { id: "S".repeat(22), kind: "image/jpeg" };
      for (const file of [own, { id: "telegrams", kind: "image/jpeg", telegram: "photo" } as const])
        await arrive(
          { kind: "photo", from: { via: { channel: "web", to: "+447700900509" } }, file },
          "chat:gateway:+447700900509" as LaneId,
        );
      writeFileSync(join(folder, own.id), "x");
      expect(files()).toHaveLength(6);
      // Of a danger that nobody takes for days, more keys than one statement of either engine takes.
      const sends = Array.from({ length: 70_000 }, (_, i) => `rung#${i}`);
      await addEvents(service.house.db, "chat:gateway:+447700900509" as LaneId, clock.now(), [
        {
          ...{ kind: "out", person: null, channel: null, who: "hook", text: "" },
          more: { sends },
        },
      ]);
      clock.move(stranger.days * day - 60);
      await keepTerms();
      expect(await left(["strangemarked"])).toHaveLength(1);
      expect(files()).toContain(own.id);
      clock.move(120);
      await keepTerms();
      expect(await left(["strangemarked", "0509", own.id])).toEqual([]);
      expect(files()).toHaveLength(5);
      expect(await left()).toEqual(people.filter((p) => p !== "+447700900501"));
      clock.move((talk.days - stranger.days) * day);
      await keepTerms();
      expect(await left()).toEqual([
        "Annmarked",
        "Benmarked",
        "Stonemarked",
        "drivermarked",
        "notemarked",
      ]);
      expect(files()).toHaveLength(4);
      clock.move((photos.days - talk.days) * day);
      await keepTerms();
      expect(
        files()
          .map((f) => f.split("/").at(-1))
          .sort(),
      ).toEqual([`${"B".repeat(22)}.original`, `${"B".repeat(22)}.shown`]);
      clock.move((whole.days - photos.days) * day);
      await keepTerms();
      expect(await left()).toEqual([]);
      expect(files()).toEqual([]);
      // What is no person's stays: times, van, outcome, reading.
      expect(
        await service.house.db
          .selectFrom("hires")
          .select(["id", "registration", "surname"])
          .execute(),
      ).toEqual([{ id: "h1", registration: "SX26 ABC", surname: "" }]);
      const callouts = await service.house.db
        .selectFrom("callouts")
        .select(["state", "severity"])
        .execute();
      expect(callouts[0]).toEqual({ state: "done", severity: "stop" });
      expect((await forgottenOf(service.house.db, "h1")).map((g) => [g.what, g.by])).toEqual([
        ["hire", "keeping"],
        ["photos", "keeping"],
        ["talk", "keeping"],
      ]);
      const before = await rows();
      clock.move(day);
      await keepTerms();
      expect(await rows()).toBe(before);
      // The desk still shows what there is.
      const desk = await enterDesk(service.url);
      for (const page of [
        "/desk/hires/h1",
        "/desk/hires/h1/data",
        "/desk/hires/h1/sheet",
        "/desk/vans/SX26%20ABC",
        "/desk",
      ])
        expect((await desk.get(page)).status, page).toBe(200);
    },
  );

  rule("lets go of tries to sign in and of who did what, each at its time", async () => {
    const { db } = service.house;
    const count = async (table: "sign_ins" | "desk_sessions" | "trail") =>
      (await db.selectFrom(table).selectAll().execute()).length;
    const all = async () => [
      await count("sign_ins"),
      await count("desk_sessions"),
      await count("trail"),
    ];
    await enterDesk(service.url);
    const before = await all();
    expect(before.every((n) => n > 0)).toBe(true);
    clock.move((signIns.days - 1) * day);
    await keepTerms();
    expect(await all()).toEqual(before);
    clock.move(2 * day);
    await keepTerms();
    expect(await all()).toEqual([0, 0, before[2]]);
    clock.move((trail.days - signIns.days) * day);
    await keepTerms();
    expect(await all()).toEqual([0, 0, 0]);
  });

  rule("lets nothing of it come back with what a booking program pushes again", async () => {
    const { house } = service;
    const person = { name: "Pushedmarked", phone: "07700 900507" };
    const content = {
      ...{ van: { registration: "SX26 PSH", type: "wren" }, zone: "Europe/London", region: "gb" },
      ...{ pickupAt: after(noon, -3 * day), returnAt: after(noon, -day), lang: "en" },
      ...{ surname: "Pushedmarked", status: "cancelled" as const, people: [person] },
    };
    const push = async (more = {}) => {
      const [done] = await house.pushHires(
        [{ reference: "B-1", content: { ...content, ...more } }],
        "program",
      );
      await settled();
      return done;
    };
    const made = await push();
    await push({ people: [{ ...person, phone: "07700 900508" }] });
    expect(await left(["Pushedmarked", "900507", "900508"])).toHaveLength(3);
    clock.move((talk.days + 1) * day);
    await keepTerms();
    expect(await left(["900507", "900508"])).toEqual([]);
    clock.move((whole.days + 1) * day);
    await keepTerms();
    expect(await left(["Pushedmarked"])).toEqual([]);
    expect(await push()).toMatchObject({ hire: made?.hire, result: "same" });
    expect(await left(["Pushedmarked", "900507"])).toEqual([]);
  });

  rule(
    "leaves a hire without names out of the file of all hires, which can be brought in",
    async () => {
      const content = {
        ...{ van: { registration: "SX26 OUT", type: "wren" }, zone: "Europe/London", region: "gb" },
        ...{ pickupAt: after(noon, -3 * day), returnAt: after(noon, -day), lang: "en" },
        ...{ surname: "Outmarked", status: "cancelled" as const, people: [{ name: "Outmarked" }] },
      };
      await service.house.pushHires([{ reference: "B-2", content }], "program");
      await settled();
      const taken = async () =>
        (await (await enterDesk(service.url)).get("/desk/bookings/hires.csv")).text;
      expect(await taken()).toContain("B-2,");
      clock.move((whole.days + 1) * day);
      await keepTerms();
      expect(await left(["Outmarked"])).toEqual([]);
      const csv = await taken();
      expect(csv).toContain("Stone");
      expect(csv).not.toContain("B-2,");
      const desk = await enterDesk(service.url);
      const looked = await desk.post("/desk/bookings/import", { id: `file-${++keys}-form`, csv });
      expect(looked.text).toContain("0 changed");
      expect(looked.status).toBe(200);
    },
  );

  rule(
    "gives one person a copy of theirs as one file that programs open, with nothing of the other",
    async () => {
      await live();
      const desk = await enterDesk(service.url);
      const of = async (person: string) => {
        const got = await desk
          .post("/desk/hires/h1/data/copy", { id: `copy-${++keys}-form`, person })
          .buffer(true)
          .parse((res, done) => {
            const chunks: Buffer[] = [];
            res
              .on("data", (c: Buffer) => chunks.push(c))
              .on("end", () => done(null, Buffer.concat(chunks)));
          });
        expect(got.headers["content-type"]).toBe("application/zip");
        return got.body as Buffer;
      };
      const [ann, ben] = [await of("p1"), await of("p2")];
      expect(ann.includes("wordsmarked of Ann") && ann.includes("photos/1.jpeg")).toBe(true);
      expect(ben.includes("benwords") && ben.includes("57.123456")).toBe(true);
      for (const other of ["wordsmarked", "Annmarked", "photos/1", "notemarked"])
        expect(ben.includes(other), other).toBe(false);
      expect(ann.includes("benwords")).toBe(false);
      expect(await left(["takes a copy of what is kept of Annmarked"])).toHaveLength(1);
      expect((await desk.post("/desk/hires/h1/data/copy", { person: "p9" })).status).toBe(400);
      const file = join(folder, "copy.zip");
      writeFileSync(file, ann);
      // A reader of somebody else's, where there is one.
      const read =
        "import sys,zipfile,json\nz=zipfile.ZipFile(sys.argv[1])\nassert z.testzip() is None\nd=json.loads(z.read('data.json'))\nprint(sorted(z.namelist()), d['person']['name'], len(d['messages'])>0)";
      let told: string | undefined;
      try {
        told = execFileSync("python3", ["-c", read, file], { encoding: "utf8" }).trim();
      } catch (error) {
        if (!(error instanceof Error && "code" in error && error.code === "ENOENT")) throw error;
        console.log("python3 is not there: the archive was not opened by another program");
      }
      if (told !== undefined) expect(told).toBe("['data.json', 'photos/1.jpeg'] Annmarked True");
    },
  );
});
