/** A danger of somebody without a hire rings staff until one of them looks after it, and nothing is said that is not so. */
import { describe, expect, it } from "vitest";
import { staffTap } from "../../src/channels/staff-taps.js";
import type { LaneState, Step } from "../../src/hires/hire.js";
import { step } from "../../src/hires/step.js";
import { openHouse } from "../../src/house.js";
import { openLog } from "../../src/log.js";
import type { Address, ArrivalBody, LaneId } from "../../src/post.js";
import { book, hireWith, matcher, toldTo } from "../kit/hire.js";
import { noon, scriptClock, scriptDoor } from "../kit/small-house.js";

const via: Address = { channel: "gateway", to: "+447700900999" };
const lane = "chat:gateway:+447700900999" as LaneId;

/** A chat without a hire; staff are at the desk unless nobody is. */
function chat(atDesk = ["morag", "callum"]) {
  let state: LaneState | undefined;
  let n = 0;
  const arrives = (body: ArrivalBody): Step => {
    const arrival = { key: `k${++n}`, lane, receivedAt: noon, body };
    const reach = { atDesk, telegram: {}, hook: false };
    const made = step(state, arrival, { now: noon, book, matcher, reach });
    state = made.state;
    return made;
  };
  const again = { kind: "due", due: "stranger:again", generation: 0, matter: { kind: "stranger" } };
  return {
    arrives,
    says: (text: string) => arrives({ kind: "said", from: { via }, text }),
    rings: () => arrives(again as ArrivalBody),
    seen: (by: string) => arrives({ kind: "desk", by, act: { do: "seen" } }),
  };
}
const told = ({ sends }: Step) => sends.filter((s) => s.person).map((s) => s.message.text);
const staff = ({ sends }: Step) => sends.filter((s) => s.contact).map((s) => s.contact);
const noBody = "I could not reach anybody of ours";

describe("a danger of somebody without a hire", () => {
  it("rings everybody, with a button, and again after two minutes", () => {
    const one = chat();
    const made = one.says("my friend is not breathing");
    expect(staff(made)).toEqual(expect.arrayContaining(["morag", "callum"]));
    const alert = made.sends.find((s) => s.contact === "morag");
    expect(alert).toMatchObject({ ring: true, severity: "danger" });
    expect(alert?.message.buttons).toEqual([{ tap: `seen:${lane}`, label: "I look after it" }]);
    expect(made.dues).toMatchObject([{ key: "stranger:again", at: noon + 2 * 60_000 }]);
    expect(told(made)[0]).toMatch(/^Ring 999/);
    const later = one.rings();
    expect(staff(later)).toEqual(staff(made));
    expect(told(later)).toEqual([]);
    expect(later.dues).toMatchObject([{ key: "stranger:again", at: noon + 2 * 60_000 }]);
  });
  it("says so where nobody of staff can be reached, and rings on", () => {
    const made = chat([]).says("my friend is not breathing");
    expect(told(made)[0]).toContain(noBody);
    expect(made.dues).toHaveLength(1);
    expect(told(chat().says("my friend is not breathing"))[0]).not.toContain(noBody);
  });
  it("rings nobody any more once one looks after it, and whoever wrote reads who", () => {
    const one = chat();
    one.says("my friend is not breathing");
    const made = one.seen("morag");
    expect(made.dues).toMatchObject([{ key: "stranger:again", at: null }]);
    expect(told(made)).toEqual(["Morag has read this and has it now."]);
    expect(staff(made)).toContain("callum");
    expect(staff(made)).not.toContain("morag");
    expect(one.rings()).toMatchObject({ sends: [], dues: [] });
    expect(one.seen("callum").sends).toEqual([]);
  });
  it("keeps the place for whoever is rung later, and passes on what else is written", () => {
    const one = chat();
    one.says("my friend is not breathing");
    one.arrives({ kind: "located", from: { via }, lat: 57.48625, lon: -4.21926 });
    const more = one.says("lay-by on the A9 past Tain");
    expect(staff(more)).toEqual(expect.arrayContaining(["morag", "callum"]));
    expect(told(more)[0]).toContain("Our staff see what you wrote.");
    const text = one.rings().sends[0]?.message.text ?? "";
    expect(text).toContain("my friend is not breathing");
    expect(text).toContain("57.48625");
  });
  it("passes on a photo or voice message too, and says that nothing of it was read", () => {
    const one = chat();
    const file = { id: "f", kind: "image/jpeg" };
    const photo = (caption?: string) =>
      one.arrives({ kind: "photo", from: { via }, file, ...(caption ? { caption } : {}) });
    expect(told(photo())[0]).toContain("write your van's registration");
    one.says("my friend is not breathing");
    const voice = one.arrives({ kind: "unreadable", from: { via }, what: "voice message" });
    expect(staff(voice)).toEqual(expect.arrayContaining(["morag", "callum"]));
    expect(voice.sends[0]).toMatchObject({ ring: true, severity: "danger" });
    expect(told(voice)).toEqual([expect.stringContaining("I cannot read a voice message.")]);
    const made = photo();
    expect(made.sends.find((s) => s.contact)?.message).toMatchObject({ file });
    expect(told(made)).toEqual([expect.stringContaining("I cannot read a photo.")]);
    const captioned = photo("this is the house");
    expect(captioned.sends.some((s) => s.contact && s.message.file)).toBe(true);
    expect(told(captioned)).toEqual([expect.stringContaining("Our staff see what you wrote.")]);
    const none = chat([]);
    none.says("my friend is not breathing");
    const lost = none.arrives({ kind: "unreadable", from: { via }, what: "voice message" });
    expect(told(lost)).toEqual([expect.stringContaining(noBody)]);
  });
  it("is looked after by a tap, on whatever channel; nobody else's tap does it", () => {
    const data = `seen:${lane}`;
    expect(data.length).toBeLessThanOrEqual(64);
    const act = { do: "seen" };
    expect(staffTap(data, ["morag"], noon)).toEqual({
      lane,
      body: { kind: "desk", by: "morag", act },
    });
    expect(staffTap(data, [], noon)).toBeUndefined();
    expect(staffTap("seen:hire:h1", ["morag"], noon)).toBeUndefined();
  });
});

describe("a chat that joins its hire", () => {
  const to = "hire:h1" as LaneId;
  const join: ArrivalBody = { kind: "joined", from: { via, person: "p1" }, to };
  it("takes an open danger along, and rings no more by itself", () => {
    const one = chat();
    one.says("my friend is not breathing");
    one.arrives({ kind: "located", from: { via }, lat: 57.48625, lon: -4.21926 });
    const made = one.arrives(join);
    expect(made.sends).toEqual([]);
    expect(made.dues).toMatchObject([{ key: "stranger:again", at: null }]);
    expect(one.rings()).toMatchObject({ sends: [], dues: [] });
    const [told] = made.posts ?? [];
    expect(told).toMatchObject({ lane: to, writtenAt: noon });
    const play = hireWith("curlew").arrives(told?.body as ArrivalBody);
    expect(play.callouts()).toMatchObject([{ kind: "danger", state: "nobody-yet" }]);
    expect(play.hirer()[0]).toMatch(/^Ring 999/);
    expect(play.hire().place).toMatchObject({ lat: 57.48625 });
    expect(toldTo(play, "morag")).toContain("Van SX26 ABC");
  });
  it("takes nothing along where nothing is open, or one of staff looks after it", () => {
    const one = chat();
    expect(one.arrives(join).posts ?? []).toEqual([]);
    one.says("my friend is not breathing");
    one.seen("morag");
    expect(one.arrives(join)).toMatchObject({ sends: [], dues: [] });
    expect(one.arrives(join).posts ?? []).toEqual([]);
  });
});

describe("words of somebody without a hire, read as a hirer's are", () => {
  it.each([
    "a generator ran under our window and now we feel ill",
    "gasping now and then but not awake",
    "pan of oil has gone up and I cant put it out",
    "strong smel of gass in the van",
  ])("are a danger: %s", (words) => {
    const made = chat().says(words);
    expect(staff(made)).toEqual(expect.arrayContaining(["morag", "callum"]));
    expect(made.dues).toHaveLength(1);
  });
  it("ring one of staff where they may be a danger, once, and get the number", () => {
    const words = "it smells odd in the van, not sure if something is burning";
    const made = chat().says(words);
    expect(staff(made)).toHaveLength(1);
    expect(made.sends.find((s) => s.contact)).toMatchObject({ ring: true });
    expect(made.dues).toEqual([]);
    expect(told(made)).toEqual([expect.stringMatching(/ring 999.*passed that to our staff/s)]);
    expect(told(chat([]).says(words))).toEqual([expect.stringContaining(noBody)]);
  });
  it.each(["hello do you have a van for saturday", "You won a prize, click here", "yes"])(
    "reach nobody where they are neither: %s",
    (words) => expect(staff(chat().says(words))).toEqual([]),
  );
});

describe("a registration of somebody without a hire", () => {
  it("counts as passed to staff only where it was", () => {
    const words = "I'm with the van SX26 CRL, name of Field";
    expect(told(chat().says(words))[0]).toContain("I have passed that to our staff");
    expect(told(chat([]).says(words))).toEqual([expect.stringContaining(noBody)]);
  });
});

describe("the log of a danger by text message", () => {
  it("has of the number its end alone, however often it rings", async () => {
    const lines: string[] = [];
    const clock = scriptClock();
    const [texts, hook] = [scriptDoor("gateway"), scriptDoor("hook")];
    texts.outcomes.push({ kind: "refused", why: "no such number" });
    hook.outcomes.push({ kind: "later", afterMs: 0, why: "away" });
    const log = openLog("debug", { write: (line: string) => void lines.push(line) });
    const house = await openHouse({
      ...{ book, matcher, clock, log, dbFile: ":memory:" },
      doors: [texts.door, hook.door],
    });
    const body = { kind: "said", from: { via }, text: "my friend is not breathing" } as const;
    await house.file({ key: "gw:1", lane, receivedAt: noon, body });
    for (let n = 0; n < 6; n++) {
      await house.runUntilIdle();
      clock.move(1);
    }
    await house.close();
    const told = lines.map((line) => JSON.parse(line) as { msg: string; arrival?: string });
    expect(told.map((line) => line.msg)).toEqual(
      expect.arrayContaining(["turn taken", "sent", "send put off", "not delivered"]),
    );
    expect(told.some((line) => line.arrival?.startsWith("due:chat:gateway:+…999:"))).toBe(true);
    expect(lines.join("")).not.toContain("7700900");
  });
});
