/** Bringing hires in from a table file at the desk: looked at first, all or nothing, once by reference; and taking them out. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type DeskVisitor, enterDesk } from "../kit/desk.js";
import { openWebHouse, type WebHouse } from "../kit/web-house.js";

let service: WebHouse;
let morag: DeskVisitor;
let n = 0;
const head = "reference,van,van type,pick-up,return,surname,first name";
const line = (
  ref: string,
  surname: string,
  more = "SX26 IMP,wren,2031-06-03 15:00,2031-06-10 10:00",
) => `${ref},${more},${surname},Kit`;
const bring = (text: string, more: Record<string, string> = {}) =>
  morag.post("/desk/bookings/import", { id: `form-of-file-${++n}`, csv: text, ...more });
const bare = (text: string) =>
  text
    .replace(/<[^>]+>/g, " ")
    .replaceAll("&quot;", '"')
    .replace(/\s+/g, " ");
const surnames = async () =>
  (await service.house.db.selectFrom("hires").select("surname").orderBy("surname").execute()).map(
    (r) => r.surname,
  );

beforeAll(async () => {
  service = await openWebHouse("wren");
  morag = await enterDesk(service.url);
}, 60_000);
afterAll(() => service?.close());

describe("a file", () => {
  it("with one line wrong keeps none, and names line, column, what is wrong and what would be right", async () => {
    const text = [
      head,
      line("R-1", "Reed"),
      line("R-2", "Loch", "SX26 IMP,swan,soon,2031-06-10 10:00"),
    ].join("\n");
    for (const keep of [{}, { keep: "1" }]) {
      const answer = await bring(text, keep as Record<string, string>);
      expect(answer.status).toBe(400);
      expect(bare(answer.text)).toContain('3 van type "swan" is no van type one of');
      expect(bare(answer.text)).toContain('3 pick-up "soon" is no local time one such as');
      expect(answer.text).toContain("R-1,SX26 IMP");
    }
    expect(await surnames()).toEqual(["Stone"]);
  });
  it("is only looked at first: what is new, and which vans are promised twice", async () => {
    const text = [head, line("R-1", "Reed"), line("R-2", "<Loch>")].join("\n");
    const page = bare((await bring(text)).text);
    expect(page).toContain("2 new, 0 changed, 0 as they are. Nothing is kept yet.");
    expect(page).toContain("van promised twice: Reed (line 2)");
    expect(page).toContain("&lt;Loch&gt;");
    expect(await surnames()).toEqual(["Stone"]);
  });
  it("is kept whole, with the links shown once; again it does nothing, and a changed line changes its hire", async () => {
    const text = [head, line("R-1", "Reed"), line("R-2", "Loch")].join("\n");
    const links = (page: string) => page.match(/\/h\/[\w-]{22}/g);
    const once = { keep: "1", id: "form-clicked-twice" };
    const kept = (await bring(text, once)).text;
    expect(links(kept)).toHaveLength(2);
    expect(links((await bring(text, once)).text)).toEqual(links(kept));
    await expect.poll(surnames).toEqual(["Loch", "Reed", "Stone"]);
    expect(bare((await bring(text, { keep: "1" })).text)).toContain("0 new, 0 changed");
    const moved = text.replace("06-10 10:00,Loch", "06-12 10:00,Loch");
    expect(bare((await bring(moved)).text)).toMatch(
      /1 changed, 1 as they are.*return: Tue 10 Jun 10:00 → Thu 12 Jun 10:00/,
    );
    await bring(moved, { keep: "1" });
    await expect
      .poll(async () => bare((await morag.get("/desk/hires")).text))
      .toContain("Thu 12 Jun 10:00");
    expect(await surnames()).toHaveLength(3);
  });
  it("that was taken out here comes in again as it is, hires of the desk's own too", async () => {
    const out = await morag.get("/desk/bookings/hires.csv");
    expect(out.headers["content-disposition"]).toMatch(/attachment; filename="hires-.*\.csv"/);
    expect(out.text).toContain("desk:h1,SX26 ABC");
    expect(bare((await bring(out.text)).text)).toContain("0 new, 0 changed, 3 as they are.");
    await bring(out.text, { keep: "1" });
    const changed = out.text.replace(/(desk:h1.*),Stone,/, "$1,Stones,");
    await bring(changed, { keep: "1" });
    await expect.poll(surnames).toEqual(["Loch", "Reed", "Stones"]);
  });
});
