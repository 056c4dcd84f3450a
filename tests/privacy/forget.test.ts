/** What a hire lets go, when, and what stands against it; and who asks for it in the chat. Decider tests. */
import { describe, expect, it } from "vitest";
import type { Callout } from "../../src/callouts/callout.js";
import { copyOf } from "../../src/desk/privacy/copy.js";
import { asksForData } from "../../src/hires/heard/data.js";
import { isOver } from "../../src/hires/hire.js";
import { actOnVan } from "../../src/vans/act.js";
import type { Handover } from "../../src/vans/handover.js";
import { mustStay, whyKept } from "../../src/vans/stays.js";
import { newVan, type Van, type VanFault } from "../../src/vans/van.js";
import { book, hireWith, type Play } from "../kit/hire.js";
import { noon } from "../kit/small-house.js";

const record = (more: Partial<Handover> = {}): Handover => ({
  ...{ registration: "SX26 ABC", by: "morag", unit: "miles", kit: [], drivers: ["Ann Marked"] },
  ...{ points: [], faults: [], confirmed: [], remark: "marked remark", hirerRemark: "marked too" },
  photos: [
    { id: "A".repeat(22), side: "front", receivedAt: noon, sha256: "a" },
    { id: "B".repeat(22), side: "left", receivedAt: noon, sha256: "b", mark: "marked scratch" },
  ],
  ...more,
});
const erase = (what: "talk" | "photos" | "hire", person?: string) =>
  ({ kind: "forget", by: "morag", what, ...(person === undefined ? {} : { person }) }) as const;
/** A hire of two that talked, was helped, and is back. */
function back(): Play {
  const play = hireWith("curlew", { people: ["Ann", "Ben"] });
  play.says("marked: where is the spare wheel", { person: "p1" });
  play.arrives({
    kind: "located",
    from: { person: "p1", via: { channel: "web", to: "p1" } },
    lat: 57.5,
    lon: -4.2,
  });
  play.says("let me talk to a person", { person: "p2" });
  const reading = { at: play.at, by: "morag", odometerKm: 1_000, note: "marked note" };
  play.staff("morag", { do: "return-record", reading, handover: record() });
  return play;
}
const done = (play: Play) => {
  const [callout] = play.callouts();
  if (callout)
    play.staff("morag", { do: "done", callout: callout.n, outcome: "by-advice", note: "marked" });
  return play;
};

describe("what is known of a hire", () => {
  it("stays while the hire has not ended or a call-out is open, and the reason is told", () => {
    const on = hireWith("curlew");
    on.arrives(erase("talk"));
    expect(whyKept(on.last.because)).toBe("the hire has not ended: its van is not checked in");
    const open = back();
    expect(open.callouts().map((c) => c.state)).toEqual(["nobody-yet"]);
    const before = JSON.stringify(open.hire());
    open.arrives(erase("hire"));
    expect(whyKept(open.last.because)).toBe("call-out 1 is open");
    expect(open.last.forgets).toBeUndefined();
    expect(JSON.stringify(open.hire())).toBe(before);
  });

  it("stays while its van is blocked by what was reported in it, by nothing else", () => {
    const ended = {
      id: "h1",
      booking: { status: "booked" as const },
      returnRecordAt: 1,
      callouts: [] as Callout[],
    };
    const fault = (more: Partial<VanFault>): Van => ({
      ...newVan("SX26 ABC", "curlew"),
      faults: [
        {
          ...{ n: 1, matter: "oil", title: "Oil", severity: "stop" },
          reports: [{ at: noon, by: "Ann", severity: "stop", words: "red", hire: "h1" }],
          ...more,
        },
      ],
    });
    expect(mustStay(ended, fault({}))).toContain("the van is blocked");
    expect(mustStay(ended, fault({ severity: "soon" }))).toBeUndefined();
    expect(
      mustStay(ended, fault({ cleared: { at: noon, by: "morag", what: "mended" } })),
    ).toBeUndefined();
    const released = { at: noon, by: "morag", reason: "towed", covers: ["fault:1"] };
    expect(mustStay(ended, { ...fault({}), releases: [released] })).toBeUndefined();
    const others = fault({
      reports: [{ at: noon, by: "Cat", severity: "stop", words: "", hire: "h2" }],
    });
    expect(mustStay(ended, others)).toBeUndefined();
    expect(mustStay(ended, others, [others, fault({})])).toContain("gave up is blocked");
    expect(mustStay(ended, undefined, [others])).toBeUndefined();
    expect(mustStay({ ...ended, booking: { status: "cancelled" } }, undefined)).toBeUndefined();
  });

  it("of the talk goes for one person alone, or for all; drivers, times and outcomes stay", () => {
    const play = done(back());
    play.arrives(erase("talk", "p2"));
    expect(play.hire().people.map((p) => [p.name, p.phone])).toEqual([
      ["Ann", "07700 900500"],
      ["Ben", undefined],
    ]);
    expect(Object.keys(play.hire().talks)).toEqual(["p1"]);
    play.arrives(erase("talk"));
    const { hire } = play;
    expect(hire().people.map((p) => [p.name, p.phone, p.reached])).toEqual([
      ["Ann", undefined, []],
      ["Ben", undefined, []],
    ]);
    expect(hire().booking.people.some((p) => p.phone)).toBe(false);
    expect(JSON.stringify(hire())).not.toContain("spare wheel");
    expect(hire().place).toBeUndefined();
    expect(hire().back?.drivers).toEqual(["Ann Marked"]);
    expect(hire().callouts[0]).toMatchObject({ state: "done", outcome: "by-advice" });
    expect(play.last.posts?.[0]?.body).toMatchObject({
      act: { do: "forget", hire: "h1", names: false },
    });
  });

  it("of where a van was given up goes with the talk", () => {
    const play = hireWith("curlew");
    const { hire } = play;
    const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    play.arrives({ kind: "located", from, lat: 57.5, lon: -4.2 });
    const van = { registration: "SX26 WRN", type: "wren" };
    play.arrives({ kind: "changed", by: "morag", change: { van } });
    expect(hire().vansBefore?.[0]?.place).toBeDefined();
    play.staff("morag", { do: "return-record", reading: { at: play.at, by: "morag" } });
    play.arrives(erase("talk"));
    expect(hire().vansBefore?.[0]).toMatchObject({ registration: "SX26 ABC" });
    expect(hire().vansBefore?.[0]?.place).toBeUndefined();
  });

  it("of the talk goes with whoever was taken off the hire, once all of it goes", () => {
    const play = done(back());
    const [ann] = play.hire().booking.people;
    play.arrives({ kind: "changed", by: "morag", change: { people: ann ? [ann] : [] } });
    expect(play.hire().people.map((p) => p.id)).toEqual(["p1"]);
    expect(Object.keys(play.hire().talks)).toContain("p2");
    play.arrives(erase("talk"));
    expect(play.hire().talks).toEqual({});
  });

  it("of readings goes what was written of them, with the talk of whoever wrote it; what was read stays", () => {
    const play = done(back());
    const by = (person: string) => play.hire().readings.filter((r) => r.by === person);
    const note = 'tyres not ok; coolant ok ("marked nail\nin the front left")';
    play
      .hire()
      .readings.push(
        ...["Ann", "Ben"].map((who) => ({ at: play.at, by: who, odometerKm: 990, note })),
      );
    play.arrives(erase("talk", "p2"));
    expect(by("Ann").map((r) => r.note)).toEqual([note]);
    expect(by("Ben").map((r) => r.note)).toEqual(["tyres not ok; coolant ok"]);
    play.arrives(erase("talk"));
    expect(by("Ann")).toMatchObject([{ odometerKm: 990, note: "tyres not ok; coolant ok" }]);
    expect(by("morag").map((r) => r.note)).toEqual(["marked note"]);
  });

  it("of readings is of whoever told them, whatever their name was then, and of nobody else of that name", () => {
    const play = hireWith("curlew", { people: ["Jon", "Ben"] });
    play.arrives({ kind: "booked", booking: play.hire().booking });
    play.until(() => play.hire().sentReminders.some((s) => s.rule === "exhaust-fluid"));
    play.says("fluid half", { person: "p1" });
    const [told] = play.hire().readings;
    expect(told).toMatchObject({ by: "Jon", person: "p1" });
    const note = 'tyres not ok ("marked nail")';
    if (told) told.note = note;
    play.hire().readings.push({ at: play.at, by: "Jon", odometerKm: 990, note });
    const drivers = ["Jon", "Zoe"];
    const reading = { at: play.at, by: "Morag" };
    play.staff("morag", { do: "pickup-record", reading, handover: record({ drivers }) });
    const people = [{ name: "John" }, { name: "Ben" }];
    play.arrives({ kind: "changed", by: "morag", change: { people } });
    const { hire } = play;
    expect(hire().readings.map((r) => r.by)).toEqual(["John", "John", "Morag"]);
    expect(hire().pickup?.drivers).toEqual(["John", "Zoe"]);
    const [john, ben] = hire().people;
    if (!john || !ben) throw new Error("two people are on it");
    const copy = copyOf(hire(), john, [], book.keeping, play.at).data;
    expect(copy).toMatchObject({ readings: [{ note }, { note }], records: [{ driver: true }] });
    // Somebody else who has the name now has nothing of it.
    const other = copyOf(hire(), { ...ben, name: "John" }, [], book.keeping, play.at).data;
    expect(other).toMatchObject({ readings: [{ odometerKm: 990 }] });
    play.staff("morag", { do: "return-record", reading, handover: record() });
    play.arrives(erase("talk", "p1"));
    const notes = hire().readings.map((r) => r.note);
    expect(notes.slice(0, 2)).toEqual(["tyres not ok", "tyres not ok"]);
  });

  it("of photos goes but for those that show a mark; with the hire goes every name and note", () => {
    const play = done(back());
    play.arrives(erase("photos"));
    expect(play.hire().back?.photos.map((p) => p.mark)).toEqual(["marked scratch"]);
    play.arrives(erase("hire"));
    const rest = JSON.stringify(play.hire());
    for (const word of ["Ann", "Ben", "Stone", "marked", "07700"])
      expect(rest, word).not.toContain(word);
    expect(play.hire().booking.van.registration).toBe("SX26 ABC");
    play.arrives(erase("hire"));
    expect(JSON.stringify(play.hire())).toBe(rest);
  });

  it("of a van's reports goes what was written, and the name with the hire; another hire's stays", () => {
    const told = (hire: string) =>
      ({
        do: "reported",
        matter: "oil",
        title: "Oil",
        severity: "stop",
        words: `words ${hire}`,
        hire,
      }) as const;
    let van = actOnVan(newVan("SX26 ABC", "curlew"), told("h1"), "Ann", noon).van;
    van = actOnVan(van, told("h2"), "Cat", noon).van;
    van = actOnVan(van, { do: "forget", hire: "h1", names: false }, "morag", noon).van;
    expect(van.faults[0]?.reports.map((r) => [r.by, r.words])).toEqual([
      ["Ann", ""],
      ["Cat", "words h2"],
    ]);
    van = actOnVan(van, { do: "forget", hire: "h1", names: true }, "morag", noon).van;
    expect(van.faults[0]?.reports.map((r) => r.by)).toEqual(["", "Cat"]);
    expect(van.faults[0]?.severity).toBe("stop");
  });
});

describe("who asks about their data", () => {
  it.each([
    "please delete my data",
    "Can you erase all my messages and photos?",
    "I want a copy of my personal data",
    "what information do you keep about me",
    "what data do you have on us",
    "GDPR request",
    "subject access request please",
    "I'd like to use my right to be forgotten",
    "please delete everything about us",
    "what do you know about me",
    "delete my phone number",
    "erase our conversation",
    "delete my messages from our last hire",
  ])("%s: staff are asked, and the hirer hears who answers and when", (words) => {
    const play = hireWith("curlew");
    play.says(words);
    expect(play.callouts().map((c) => c.matter)).toEqual(["data"]);
    expect(play.hirer().join("\n")).toMatch(/within one month[\s\S]*90 days/);
    expect(play.duty().length).toBeGreaterThan(0);
  });
  it.each([
    "I have used all my data and have no signal",
    "where is the information about the fridge",
    "what information do you have on campsites",
    "can I delete the photos of the last hirer from the dash cam",
    "how do I remove the table",
    "my details are wrong on the booking, wrong date",
    "any information on US plugs in the van?",
    "what do you have on us plugs",
    "how do I delete my phone data from the van's radio",
    "can you remove our old photos from the dashcam",
    "any details on us returning early",
    "can you remove my name from the booking",
    "don't forget our address is 3 High Street",
  ])("%s: is nothing of the kind", (words) => expect(asksForData(words)).toBe(false));
  it("is heard after the hire has ended, too", () => {
    const play = done(back());
    play.pass(15 * 24 * 60);
    expect(isOver(play.hire(), play.at, book.keeping)).toBe(true);
    play.says("please delete my data");
    expect(play.callouts().at(-1)).toMatchObject({ matter: "data", state: "nobody-yet" });
  });
});
