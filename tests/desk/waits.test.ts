/** What a card of the desk says of a call-out, and what its forms mean. */
import { describe, expect, it } from "vitest";
import { isoIn, after as later, readIso } from "../../src/calendar.js";
import { roadsideCard } from "../../src/callouts/card.js";
import { dutyHtml } from "../../src/desk/duty.js";
import type { Who } from "../../src/desk/frame.js";
import { nextClock, readAct } from "../../src/desk/read-forms.js";
import { toldBeside, toldHtml } from "../../src/desk/told.js";
import { waitingCard } from "../../src/desk/waits/card.js";
import { nextSteps } from "../../src/desk/waits/next.js";
import { regionOf } from "../../src/knowledge/book.js";
import { laneOf } from "../../src/lanes.js";
import type { TripEvent } from "../../src/store/events.js";
import { book, hireWith, type Play } from "../kit/hire.js";

const plain = (html: { toString(): string }) =>
  html
    .toString()
    .replace(/<[^>]+>/g, " ")
    .replace(/&quot;/g, '"')
    .replace(/\s+/g, " ");

/** The card of the first call-out as a contact sees it. */
const cardOf = (play: Play, contact = "morag", events: readonly TripEvent[] = []): string =>
  plain(htmlOf(play, contact, events));
function htmlOf(play: Play, contact = "morag", events: readonly TripEvent[] = []): string {
  const [callout] = play.callouts();
  if (!callout) throw new Error("nothing is open");
  const { region } = regionOf(book, play.hire().booking.region);
  const van = book.vans.get(play.hire().booking.van.type);
  return waitingCard(
    {
      callout,
      hire: play.hire(),
      events,
      pending: play.dues(),
      card: roadsideCard({
        callout,
        van,
        registration: "SX26 ABC",
        firm: book.firm,
        people: play.hire().people,
      }),
      vanName: "Curlew",
      welfare: `${region.police}; ${region.emergency} if a life may be in danger`,
    },
    {
      who: who(contact),
      firm: book.firm,
      now: play.at,
      id: () => "form-id-1",
    },
  ).toString();
}
const who = (contact: string): Who => ({
  ...{ contact, name: contact, csrf: "c", role: "duty", waits: [] },
  may: () => false,
});
/** What is said above the cards, as Isla sees it. */
const dutyOf = (play: Play): string =>
  plain(
    dutyHtml({
      ...{ firm: book.firm, state: undefined, who: who("isla"), now: play.at, id: () => "f" },
      open: play.callouts().map((callout) => ({ hire: play.hire(), callout })),
    }),
  );
const stopped = (region = "gb") => hireWith("wren", { region }).says("red oil can light came on");

describe("a card", () => {
  it("names who was asked to ring a silent hirer, then says in red where they were last and whom to ask", () => {
    const play = stopped().arrives({
      kind: "located",
      from: { person: "p1", via: { channel: "web", to: "p1" } },
      lat: 57.48625,
      lon: -4.21926,
    });
    play.staff("callum", { do: "take", callout: 1 });
    const silent = () => play.callouts()[0]?.silent ?? 0;
    for (let i = 0; i < 9 && silent() < 1; i++) play.nextDue();
    expect(cardOf(play)).toContain("Not heard from Ann. Callum was asked to ring.");
    for (let i = 0; i < 9 && silent() < 2; i++) play.nextDue();
    const red = cardOf(play);
    expect(red).toContain("Still nothing heard from Ann.");
    // United Kingdom: 101 for the police where life is not in danger (police.uk).
    expect(red).toContain("welfare check (101; 999 or 112 if a life may be in danger)");
    expect(red).toContain("National Grid NH 6705 4617");
    play.says("all fine");
    expect(cardOf(play)).not.toContain("Still nothing");
  });
  it("names the police of the region that the van is in", () => {
    const play = stopped("ie").staff("callum", { do: "take", callout: 1 });
    for (let i = 0; i < 9 && (play.callouts()[0]?.silent ?? 0) < 2; i++) play.nextDue();
    expect(cardOf(play)).toContain("the nearest Garda station; 112 or 999");
  });
  it("says by when somebody must answer, and once that is past that nobody has", () => {
    const play = stopped();
    expect(cardOf(play)).toContain("Somebody must answer by 12:05");
    play.pass(5);
    expect(cardOf(play)).toContain("Nobody has answered: it was due by 12:05");
  });
  it("shows who is on the phone with them, and a roadside job with what is missing of it", () => {
    const play = stopped().staff("morag", { do: "phone", callout: 1 });
    expect(cardOf(play)).toContain("Morag is on the phone with them since 12:00");
    play.staff("morag", { do: "roadside", callout: 1 });
    expect(cardOf(play)).toContain("no reference yet");
    const arrivesAt = later(play.at, 50);
    play.staff("morag", { do: "roadside", callout: 1, reference: "R-1", arrivesAt });
    expect(cardOf(play)).toContain("reference R-1 , there by 12:50");
  });
  it("offers the arrival time to be kept while it is to come, and not once it is past or they are there", () => {
    const clock = (play: Play) => /name="clock" value="([\d:]*)"/.exec(htmlOf(play))?.[1];
    const play = stopped().staff("morag", { do: "take", callout: 1 });
    play.staff("morag", { do: "roadside", callout: 1, arrivesAt: later(play.at, 50) });
    expect(clock(play)).toBe("12:50");
    expect(htmlOf(play)).toContain('name="was" value="12:50"');
    expect(clock(play.pass(50))).toBe("");
    play.staff("morag", { do: "roadside", callout: 1, arrivesAt: later(play.at, 50) });
    expect(clock(play.staff("morag", { do: "roadside", callout: 1, came: true }))).toBe("");
  });
  it("of roadside assistance that is late says that it is still to be rung, and by which number", () => {
    const play = stopped().staff("morag", { do: "take", callout: 1 });
    play.staff("morag", { do: "roadside", callout: 1, arrivesAt: later(play.at, 50) });
    expect(cardOf(play)).not.toContain("ring them and ask");
    for (let i = 0; i < 9 && !play.callouts()[0]?.roadside?.chased; i++) play.nextDue();
    expect(cardOf(play)).toContain(
      `Late: ring them and ask for a time ${book.firm.contacts["roadside"]?.phone}`,
    );
  });
  it("says what who looks was told since they last did something, whole, for half an hour, and not the alert that it is", () => {
    const play = stopped();
    const told = (n: number, text: string, tap?: string): TripEvent => ({
      ...{ lane: laneOf("h1"), n, at: play.at, kind: "out", person: null, channel: "desk" },
      ...{ who: "duty:Isla", text },
      more: { contact: "isla", callout: 1, ...(tap ? { buttons: [{ tap, label: "" }] } : {}) },
    });
    const number = `Morag has "Red oil light". ${"No channel reaches Morag now. ".repeat(5)}Ring 07700 900111.`;
    const events = [told(1, number), told(2, "STOP: red oil light", "take:h1:1")];
    expect(cardOf(play, "isla", events)).toContain(`told to you: ${number}`);
    expect(cardOf(play, "isla", events)).not.toContain("STOP: red");
    expect(cardOf(play, "morag", events)).not.toContain("told to you");
    play.staff("morag", { do: "take", callout: 1 });
    play.staff("morag", { do: "pass", callout: 1, to: "isla" });
    expect(cardOf(play, "isla", events)).toContain("with Morag , offered to Isla");
    const offer = [told(3, "Morag passes on to you: red oil light", "take:h1:1")];
    expect(cardOf(play, "isla", offer)).toContain("told to you: Morag passes on to you");
    const heard = { do: "heard", callout: 1 } as const;
    const acted: TripEvent = {
      ...told(4, ""),
      kind: "staff",
      more: { contact: "isla", act: heard },
    };
    expect(cardOf(play, "isla", [...offer, acted])).not.toContain("told to you");
    play.pass(31);
    expect(cardOf(play, "isla", offer)).not.toContain("told to you");
  });
  it("says of what was said on another day on which, and when it was written", () => {
    const play = stopped();
    const said: TripEvent = {
      ...{ lane: laneOf("h1"), n: 1, at: play.at, kind: "in", person: "p1", channel: "web" },
      ...{ who: "hirer:Ann", text: "it is worse now", more: { writtenAt: later(play.at, -90) } },
    };
    expect(cardOf(play, "morag", [said])).toContain("12:00 Ann it is worse now (written 10:30)");
    play.pass(24 * 60);
    expect(cardOf(play, "morag", [said])).toMatch(
      /\w{3} \d+ \w{3} 12:00 Ann it is worse now \(written \w{3} \d+ \w{3} 10:30\)/,
    );
  });
  it("offers the forms that fit: the owner passes on, others offer to take it", () => {
    const play = stopped();
    expect(cardOf(play, "isla")).toContain("I take it");
    play.staff("morag", { do: "take", callout: 1 });
    expect(cardOf(play, "isla")).toContain("Offer to take it");
    expect(cardOf(play, "isla")).not.toContain("Pass on to");
    expect(cardOf(play, "isla")).not.toContain("I ring them by");
    expect(cardOf(play, "morag")).toContain("I ring them by");
    expect(cardOf(play, "morag")).toContain("Pass on to");
    play.staff("isla", { do: "take", callout: 1 });
    expect(cardOf(play, "morag")).toContain("Isla offers to take it.");
    expect(cardOf(play, "isla")).toContain("You offer to take it.");
  });
  it("while it is handed over may be taken by anybody, with the call that is promised", () => {
    const play = stopped().staff("morag", { do: "take", callout: 1 });
    play.staff("morag", { do: "promise", callout: 1, at: later(play.at, 40) });
    const offer = { kind: "hand-over", callout: 1, from: "morag", to: "callum" } as const;
    play.arrives({ kind: "due", due: "callout:1:hand", generation: 0, matter: offer });
    for (const contact of ["callum", "isla"]) {
      expect(cardOf(play, contact)).toContain("I take it, and ring by 12:40");
      expect(cardOf(play, contact)).not.toContain("Offer to take it");
    }
    expect(dutyOf(play)).toContain("Promised to the hirer: a call by 12:40.");
    play.pass(50);
    for (let i = 0; i < 9 && play.callouts()[0]?.promiseBroken === undefined; i++) play.nextDue();
    expect(dutyOf(play)).toContain(
      "A call was promised to the hirer by 12:40, and did not come. I take it",
    );
    expect(cardOf(play, "isla")).not.toContain("and ring by");
    const van = { registration: "SX26 NEW", type: "curlew" };
    play.arrives({ kind: "changed", by: "isla", change: { van } });
    expect(dutyOf(play)).toContain("( SX26 ABC )");
  });
  it("of a threat writes to nobody but whoever told of it", () => {
    const play = hireWith("wren", { people: ["Ann", "Ben"] });
    play.says("he is hitting me and says he will kill me");
    expect(play.callouts()[0]?.matter).toBe("threat");
    const card = cardOf(play);
    expect(card).not.toContain("all of them");
    expect(card).toContain("Write to Ann");
  });
  it("escapes whatever a hirer wrote", () => {
    const play = stopped().says("we are at <b>the</b> lay-by on the A9 near Tain");
    expect(cardOf(play)).toContain("&lt;b&gt;the&lt;/b&gt;");
  });
});

describe("what somebody was told at the desk", () => {
  const now = readIso("2026-06-03T21:00+01:00");
  const told = (text: string, more = {}, minutesAgo = 5) => ({
    ...{ n: 7, at: later(now, -minutesAgo), lane: laneOf("h1") },
    send: {
      to: { channel: "desk" as const, to: "morag" },
      ...{ who: "duty:Morag", contact: "morag", message: { text }, safety: true, ...more },
    },
  });
  const shown = (...all: ReturnType<typeof told>[]) =>
    plain(toldHtml(toldBeside(all, [{ hire: "h1", n: 2 }], now), now, "Europe/London"));
  it("stands at the head of a page where no card has it, what rings for longer", () => {
    expect(shown(told("SX26 ABC may not go out.", { ring: true }, 200))).toContain(
      "17:40 SX26 ABC may not go out. The hire",
    );
    expect(shown(told("This is done already.", { callout: 1 }))).toContain("This is done already.");
    expect(shown(told("Looked at.", {}, 40))).not.toContain("Looked at.");
  });
  it("stands there only once: not where a card has it, or a form for its buttons", () => {
    expect(shown(told("It stays with you.", { callout: 2 }))).not.toContain("It stays");
    const message = {
      text: "Your shift has begun.",
      buttons: [{ tap: "here:1", label: "I am here" }],
    };
    expect(shown(told("", { message }))).not.toContain("shift");
  });
});

describe("the card to read out", () => {
  const [callout] = stopped().callouts();
  if (!callout) throw new Error("nothing is open");
  const facts = {
    callout,
    registration: "SX26 PLV",
    firm: book.firm,
    people: [{ name: "Ann", phone: "07700 900500" }],
  };
  const lines = (van: string, more = {}) =>
    new Map(roadsideCard({ ...facts, van: book.vans.get(van), ...more }).map((l) => [l.label, l]));
  it("begins with the number to ring, as a link at the desk", () => {
    const { phone = "" } = book.firm.contacts["roadside"] ?? {};
    expect([...lines("wren").values()][0]).toMatchObject({ label: "Ring", value: phone });
    const page = htmlOf(stopped());
    expect(page.slice(page.indexOf('class="readout"'))).toMatch(/<dt>Ring<\/dt><dd><a[^>]*tel:/);
  });
  it("marks as ask what nobody has told", () => {
    for (const label of [
      "Place",
      "Safe to wait there",
      "People",
      "Child seats",
      "Pets",
      "Where the key is",
    ])
      expect(lines("wren").get(label)?.ask, label).toBe(true);
  });
  it("says what was told, none included", () => {
    const told = lines("wren", {
      aboard: { people: 3, childSeats: 0, pets: "a dog", key: "in the door" },
    });
    expect(told.get("People")).toMatchObject({ value: "3", ask: false });
    expect(told.get("Child seats")).toMatchObject({ value: "none", ask: false });
    expect(told.get("Pets")).toMatchObject({ value: "a dog", ask: false });
  });
  it("asks for a flatbed for the electric van, and has the figures of the van's own sheet", () => {
    expect(lines("plover").get("Carried")?.value).toContain("flatbed only");
    expect(lines("curlew").get("Carried")?.value).not.toContain("flatbed");
    expect(lines("curlew").get("Height")?.value).toBe("2.85 m (9 ft 5 in)");
    expect(lines("curlew").get("Mass")?.value).toBe("up to 3,500 kg");
  });
  it("has no figures of another van where the book does not know this one", () => {
    const unknown = lines("albatross");
    for (const label of ["Van", "Length, width", "Height", "Mass", "Carried"])
      expect(unknown.get(label)).toMatchObject({ value: "ask", ask: true });
  });
});

describe("who is on duty", () => {
  it("stands there each with their own end, where another joins them before", () => {
    const play = stopped();
    const on = (contact: string, on: string, from: string, to: string) => ({
      ...({ kind: "shift", beside: true } as const),
      ...{ contact, on, from, to },
    });
    const day = isoIn(play.at, book.firm.zone).slice(0, 10);
    const exceptions = [on("callum", day, "11:00", "18:00"), on("morag", day, "08:00", "20:00")];
    const firm = { ...book.firm, roster: { ...book.firm.roster, weekly: [], exceptions } };
    const { at: now } = play;
    const duty = dutyHtml({
      ...{ firm, state: undefined, who: who("isla"), now, id: () => "f", open: [] },
    });
    expect(plain(duty)).toContain("On duty: Morag until 20:00 and Callum until 18:00.");
  });
});

describe("the next step", () => {
  it("is the earliest of the pending ones, in words", () => {
    const play = stopped();
    const [callout] = play.callouts();
    if (!callout) throw new Error("nothing is open");
    const name = (id: string | undefined) => id ?? "";
    const next = nextSteps(callout, play.dues(), play.at, name);
    expect(next.map((n) => n.what)).toEqual([
      "the next contact is alerted",
      "their next sign of life is due",
    ]);
    expect(nextSteps(callout, [{ key: "callout:2:next", at: play.at }], play.at, name)).toEqual([]);
  });
});

describe("the next time that the clock shows", () => {
  // Directive 2000/84/EC: on 25 October 2026 01:00 to 02:00 comes twice; on 29 March it is skipped.
  it.each([
    ["2026-10-25T00:30+01:00", "01:40", "2026-10-25T01:40+01:00"],
    ["2026-10-25T01:20+01:00", "01:40", "2026-10-25T01:40+01:00"],
    ["2026-10-25T01:50+01:00", "01:40", "2026-10-25T01:40Z"],
    ["2026-10-25T01:20Z", "01:40", "2026-10-25T01:40Z"],
    ["2026-10-25T01:50Z", "01:40", undefined],
    ["2026-10-25T01:20Z", "02:10", "2026-10-25T02:10Z"],
    ["2026-03-29T00:50Z", "01:30", "2026-03-29T02:30+01:00"],
    ["2026-03-29T02:10+01:00", "01:30", undefined],
    ["2026-06-03T21:00+01:00", "21:00", undefined],
    ["2026-06-03T21:00+01:00", "20:30", undefined],
    ["2026-06-03T21:00+01:00", "18:30", "2026-06-04T18:30+01:00"],
    ["2026-06-03T13:00+01:00", "08:30", "2026-06-04T08:30+01:00"],
  ])("at %s, %s is %s", (now, clock, at) => {
    expect(nextClock(clock, readIso(now), "Europe/London")).toBe(at && readIso(at));
  });
});

describe("a form", () => {
  const now = readIso("2026-06-03T21:00+01:00");
  const read = (form: Record<string, string>) =>
    readAct({ callout: "1", ...form }, now, "Europe/London");
  it.each(["take", "pass", "promise", "heard", "came", "roadside", "aboard", "done"])(
    "about a call-out says which: %s",
    (what) => {
      expect(read({ do: what, callout: "" })).toBe("That call-out is not known.");
      expect(read({ do: what, callout: "-1" })).toBe("That call-out is not known.");
    },
  );
  it.each([
    [{ do: "phone" }, { do: "phone", callout: 1 }],
    [{ do: "heard" }, { do: "heard", callout: 1 }],
    [{ do: "keep" }, { do: "keep", callout: 1 }],
    [{ do: "came" }, { do: "roadside", callout: 1, came: true }],
    [
      { do: "roadside", reference: " R-1 ", clock: "21:45" },
      { do: "roadside", reference: "R-1", arrivesAt: later(now, 45) },
    ],
    [
      { do: "roadside", reference: "R-1", clock: "18:00" },
      { reference: "R-1", arrivesAt: later(now, 21 * 60) },
    ],
    [
      { do: "aboard", people: "3", pets: "dog" },
      { do: "aboard", aboard: { people: 3, pets: "dog" } },
    ],
    [
      { do: "done", outcome: "joined", to: "2" },
      { do: "done", outcome: "joined", to: 2 },
    ],
    [
      { do: "done", outcome: "other", note: "towed by a farmer" },
      { outcome: "other", note: "towed by a farmer" },
    ],
    [
      { do: "reply", text: "hello", person: "all" },
      { do: "reply", text: "hello", person: "all", callout: 1 },
    ],
  ])("%j is understood", (form, act) => {
    expect(read(form)).toMatchObject(act);
  });
  it("that still holds the arrival time that was known tells no new one, also after that time", () => {
    expect(read({ do: "roadside", reference: "R-1", clock: "20:45", was: "20:45" })).toEqual({
      ...{ do: "roadside", callout: 1, reference: "R-1" },
    });
  });
  it.each([
    [{ do: "roadside", clock: "quarter to" }, "such as 18:30"],
    [{ do: "aboard", people: "three" }, "digits only"],
    [{ do: "aboard" }, "at least one"],
    [{ do: "done", outcome: "other" }, "in words how it ended"],
    [{ do: "done", outcome: "joined" }, "joined to"],
    [{ do: "done", note: "towed to the garage" }, "Choose how it ended"],
    [{ do: "done", outcome: "by-advice", to: "2" }, "choose that as how it ended too"],
    [{ do: "phone", callout: "x" }, "not known"],
  ])("%j is told what would be right", (form, says) => {
    expect(read(form)).toContain(says);
  });
});
