/** Records of a hire, and what goes from a hire to its van and from the van to the next hire. */
import { describe, expect, it } from "vitest";
import { after, type Instant, instantOf } from "../../src/calendar.js";
import type { Hire, LaneState, Step } from "../../src/hires/hire.js";
import { step } from "../../src/hires/step.js";
import type { Arrival, ArrivalBody, Booking, DeskAct, HireId, LaneId } from "../../src/post.js";
import { blocksOf } from "../../src/vans/blocks.js";
import type { Handover } from "../../src/vans/handover.js";
import { newVan, type Van, type VanAct } from "../../src/vans/van.js";
import { bookingOf, peopleOf } from "../kit/booking.js";
import { book, matcher } from "../kit/hire.js";

const start = instantOf(Date.UTC(2026, 5, 3, 9));
const booking = (more: Partial<Booking> = {}): Booking =>
  bookingOf({
    van: { registration: "SX26 ABC", type: "wren" },
    pickupAt: start,
    returnAt: after(start, 4 * 24 * 60),
    ...more,
  });
const handover = (more: Partial<Handover> = {}): Handover => ({
  ...{ registration: "SX26 ABC", by: "morag", unit: "miles", kit: [], photos: [], drivers: [] },
  ...{ points: [], faults: [], confirmed: [], ...more },
});

/** A lane that things happen to, one a minute. */
function lane(of: string, van?: Van) {
  let state: LaneState | undefined;
  let at = start;
  let n = 0;
  const play = {
    last: undefined as unknown as Step,
    now: () => at,
    pass(minutes: number) {
      at = after(at, minutes);
      return play;
    },
    does(body: ArrivalBody): Step {
      const arrival: Arrival = { key: `k${++n}`, lane: of as LaneId, receivedAt: at, body };
      const reach = { atDesk: ["morag"], telegram: {}, hook: false };
      play.last = step(state, arrival, { now: at, book, matcher, reach, ...(van ? { van } : {}) });
      state = play.last.state;
      return play.last;
    },
    desk: (act: DeskAct) => play.does({ kind: "desk", by: "morag", act }),
    says: (text: string) =>
      play.does({ kind: "said", from: { person: "p1", via: { channel: "web", to: "p1" } }, text }),
    remind(): Step {
      const due = play.last.dues.find((d) => d.key === "reminders");
      if (!due) throw new Error("no reminder is due");
      return play.does({
        kind: "due",
        due: due.key,
        generation: due.generation,
        matter: due.matter,
      });
    },
    hire(): Hire {
      if (state?.kind !== "hire") throw new Error("no hire");
      return state.hire;
    },
    told: () => play.last.sends.filter((s) => s.person).map((s) => s.message.text),
  };
  return play;
}
const reading = (at: Instant, odometerKm: number) =>
  ({ at, by: "Morag", odometerKm, fuel: 1, fluid: 1, oil: "between" }) as const;
/** Acts that a step puts into the van's lane. */
const onVan = (made: Step) =>
  (made.posts ?? []).flatMap(({ lane: of, body }) =>
    body.kind === "van" ? [{ lane: of, by: body.by, ...body.act }] : [],
  );

describe("a record", () => {
  it("puts its reading among the others, and a corrected one replaces it", () => {
    const hire = lane("hire:h1");
    hire.does({ kind: "booked", booking: booking() });
    hire.desk({ do: "pickup-record", reading: reading(start, 92_000), handover: handover() });
    const first = hire.hire().pickup;
    hire.pass(30).says("fluid half");
    const again = handover({ by: "isla" });
    hire.desk({ do: "pickup-record", reading: reading(start, 92_100), handover: again });
    expect(hire.hire().pickup).toMatchObject({ at: first?.at, by: "morag" });
    expect(hire.hire().readings.map((r) => r.odometerKm)).toEqual([92_100]);
    expect(hire.hire().pickup?.reading.odometerKm).toBe(92_100);
    expect(hire.last.because).toContain("pick-up record by isla, corrected");
  });
  it("whose readings stay as they were when it is corrected leaves them to whoever read them", () => {
    const hire = lane("hire:h1");
    hire.does({ kind: "booked", booking: booking() });
    for (const what of ["pickup-record", "return-record"] as const) {
      const read = reading(hire.now(), 92_000);
      hire.desk({ do: what, reading: read, handover: handover() });
      const remark = handover({ by: "isla", remark: "mat is wet" });
      hire.pass(60).desk({ do: what, reading: { ...read, by: "Isla" }, handover: remark });
      expect(hire.hire().readings.at(-1)).toMatchObject({ by: "Morag", odometerKm: 92_000 });
      const higher = { ...read, by: "Isla", odometerKm: 92_100 };
      hire.desk({ do: what, reading: higher, handover: remark });
      expect(hire.hire().readings.at(-1)).toMatchObject({ by: "Isla", odometerKm: 92_100 });
    }
    expect(hire.hire().readings).toHaveLength(2);
  });
  it("is what the sums stand on, whatever was read before it", () => {
    const hire = lane("hire:h1");
    const before = { ...reading(after(start, -60), 91_000), fuel: 0.25 };
    hire.does({ kind: "booked", booking: booking({ readings: [before] }) });
    hire.desk({ do: "pickup-record", reading: reading(start, 92_000), handover: handover() });
    hire.pass(24 * 60).says("fuel is at half, how much diesel do I need to bring it back");
    expect(hire.told().join()).toContain("From 50 % up to 100 %, the level of pick-up");
  });
  it("of the return ends the late reminder and keeps when it was made, however often it is corrected", () => {
    const hire = lane("hire:h1");
    hire.does({ kind: "booked", booking: booking() });
    hire
      .pass(60)
      .desk({ do: "return-record", reading: reading(hire.now(), 92_300), handover: handover() });
    const first = hire.hire().returnRecordAt;
    hire.pass(60).desk({
      do: "return-record",
      reading: reading(first ?? start, 92_310),
      handover: handover({ by: "isla" }),
    });
    expect(hire.hire().returnRecordAt).toBe(first);
    expect(hire.hire().readings).toHaveLength(1);
    const corrected = { at: hire.now(), by: "isla" };
    expect(hire.hire().back).toMatchObject({ at: first, by: "morag", corrected });
  });
  it("of the return that was another hire's is taken out: the van is out as before, and its stop is listened for", () => {
    const hire = lane("hire:h1");
    hire.does({ kind: "booked", booking: booking() });
    hire.desk({ do: "pickup-record", reading: reading(start, 92_000), handover: handover() });
    hire.pass(60).says("red oil can light came on");
    const due = (key: string) => hire.last.dues.find((d) => d.key === key);
    hire
      .pass(60)
      .desk({ do: "return-record", reading: reading(hire.now(), 40_000), handover: handover() });
    expect(due("callout:1:hear")?.at).toBeNull();
    const planned = due("reminders");
    hire.pass(10).desk({ do: "not-back" });
    const { returnRecordAt, back, readings } = hire.hire();
    expect([returnRecordAt, back, readings.map((r) => r.odometerKm)]).toEqual([
      ...[undefined, undefined],
      [92_000, undefined],
    ]);
    expect(due("callout:1:hear")?.at).toBeGreaterThan(hire.now());
    expect(due("reminders")?.at).not.toEqual(planned?.at);
    hire.desk({ do: "not-back" });
    expect(hire.last.because).toContain("ignored: the van is not back");
    hire
      .pass(60)
      .desk({ do: "return-record", reading: reading(hire.now(), 92_300), handover: handover() });
    expect(hire.hire().readings.at(-1)?.odometerKm).toBe(92_300);
  });
  it("goes with a van that is given up on the road, and the new van has none until it is made", () => {
    const hire = lane("hire:h1");
    hire.does({ kind: "booked", booking: booking() });
    hire.desk({ do: "pickup-record", reading: reading(start, 92_000), handover: handover() });
    const other = { registration: "SX26 XYZ", type: "wren" };
    hire.pass(60).does({ kind: "booked", booking: booking({ van: other }) });
    const [before] = hire.hire().vansBefore ?? [];
    expect(before).toMatchObject({ registration: "SX26 ABC", until: hire.now() });
    expect(before?.pickup?.reading.odometerKm).toBe(92_000);
    expect(hire.hire().pickup).toBeUndefined();
    const own = handover({ registration: "SX26 XYZ" });
    hire.pass(60).desk({
      do: "pickup-record",
      reading: reading(hire.now(), 40_000),
      handover: own,
    });
    expect(hire.hire().readings.map((r) => r.odometerKm)).toEqual([92_000, 40_000]);
    expect(hire.hire().vansBefore?.[0]?.pickup?.reading.odometerKm).toBe(92_000);
  });
  it("brings the faults that staff found to the van, each once", () => {
    const hire = lane("hire:h1");
    const faults = [{ title: "blind torn", severity: "note" as const }];
    hire.does({ kind: "booked", booking: booking() });
    const act = { do: "return-record", reading: reading(start, 92_300) } as const;
    expect(onVan(hire.desk({ ...act, handover: handover({ faults }) }))).toEqual([
      { lane: "van:SX26 ABC", by: "morag", do: "note-fault", ...faults[0] },
    ]);
    const more = [...faults, { title: "step bent", severity: "soon" as const }];
    expect(onVan(hire.desk({ ...act, handover: handover({ faults: more }) }))).toMatchObject([
      { title: "step bent" },
    ]);
  });
  it("corrected to a worse fault raises it on the van, which is then held back", () => {
    const hire = lane("hire:h1");
    const own = lane("van:SX26 ABC");
    hire.does({ kind: "booked", booking: booking() });
    const act = { do: "return-record", reading: reading(start, 92_300) } as const;
    for (const severity of ["soon", "stop", "soon"] as const) {
      const faults = [{ title: "brakes pull left", severity }];
      for (const { body } of hire.desk({ ...act, handover: handover({ faults }) }).posts ?? [])
        own.does(body);
    }
    const { state } = own.last;
    if (state?.kind !== "van") throw new Error("no van");
    expect(state.van.faults).toMatchObject([{ title: "brakes pull left", severity: "stop" }]);
    expect(blocksOf(state.van, [])).toHaveLength(1);
  });
});

describe("what is reported on the road", () => {
  it.each([
    ["red oil can light came on", "oil-pressure", "stop"],
    ["the brake pedal goes to the floor", "brakes-soft", "stop"],
    ["smell of gas in the van", "gas-leak", "danger"],
    ["the bunk collapsed on top of my son", "trapped", "danger"],
    ["my toddler is shut in the van and I can't open it", "shut-in-heat", "danger"],
  ])("goes to the van: %s", (text, matter, severity) => {
    const hire = lane("hire:h1");
    hire.does({ kind: "booked", booking: booking() });
    const [told] = onVan(hire.pass(60).says(text));
    expect(told).toMatchObject({
      lane: "van:SX26 ABC",
      by: "Ann",
      do: "reported",
      hire: "h1",
      matter,
      severity,
    });
  });
  it.each([
    "my wife is having a heart attack",
    "we are stuck in the mud",
    "where is the fire blanket",
    "can I speak to a person",
  ])("does not where it is no matter of the van: %s", (text) => {
    const hire = lane("hire:h1");
    hire.does({ kind: "booked", booking: booking() });
    expect(onVan(hire.pass(60).says(text))).toEqual([]);
    expect(hire.told()).not.toEqual([]);
  });
  it("is not the van's before the day of pick-up, and staff read when their hire begins", () => {
    const hire = lane("hire:h1");
    const pickupAt = after(start, 5 * 24 * 60);
    hire.does({
      kind: "booked",
      booking: booking({ pickupAt, returnAt: instantOf(pickupAt + 96 * 3_600_000) }),
    });
    const text = "what does the red oil can light mean?";
    const made = hire.pass(60).says(text);
    expect([hire.hire().callouts[0]?.severity, onVan(made)]).toEqual(["stop", []]);
    expect(made.sends.find((s) => s.contact)?.message.text).toContain(
      "Their hire begins on Mon 8 Jun 10:00: ask which van they are in.",
    );
    // Nobody asks the police after people who are at home.
    expect(made.dues.find((d) => d.key === "callout:1:hear")?.at ?? null).toBeNull();
    expect(hire.hire().callouts[0]?.hearFromBy).toBeUndefined();
    const later = hire.pass(4 * 24 * 60).says("the brake pedal goes to the floor");
    expect(later.sends.find((s) => s.contact)?.message.text).toContain("Their hire begins on");
    const [told] = onVan(hire.pass(24 * 60).says("the red battery light is on"));
    expect(told).toMatchObject({ do: "reported", severity: "stop" });
  });
  it("is not the van's any more once its return record is there", () => {
    const hire = lane("hire:h1");
    hire.does({ kind: "booked", booking: booking() });
    hire.desk({ do: "return-record", reading: reading(start, 92_300) });
    expect(onVan(hire.pass(60).says("there was smoke in the van"))).toEqual([]);
  });
});

describe("what is known of a van", () => {
  const van = (hire: string): Van => ({
    ...newVan("SX26 ABC", "wren"),
    faults: [
      {
        ...{ n: 1, matter: "abs", title: "Amber ABS light", severity: "soon" as const },
        reports: [{ at: start, by: "Kit", severity: "soon", words: "on", hire }],
      },
    ],
  });
  const note = /^Reported on this van before your hire, and known to us: Amber ABS light\./;
  it("is told with the welcome to the next hirers, and never to those who reported it", () => {
    for (const [hire, times] of [
      ["h0", 1],
      ["h1", 0],
    ] as const) {
      const play = lane("hire:h1", van(hire));
      play.does({ kind: "booked", booking: booking() });
      play.remind();
      expect(play.told().filter((t) => note.test(t))).toHaveLength(times);
    }
  });
  it("is told at once where a van is swapped under way, and not a word of another van", () => {
    const play = lane("hire:h1", van("h0"));
    play.does({
      kind: "booked",
      booking: booking({ van: { registration: "SX26 XYZ", type: "wren" } }),
    });
    play.remind();
    expect(play.told().some((t) => note.test(t))).toBe(false);
    play.pass(60).does({ kind: "booked", booking: booking() });
    expect(play.told().filter((t) => note.test(t))).toHaveLength(1);
  });
  it("holds it after a telephone call too, and tells nobody else what was said", () => {
    const play = lane("hire:h1");
    play.does({ kind: "booked", booking: booking() });
    const act = { do: "call", who: "Ann", person: "p1", about: "pregnant, brakes squeal" } as const;
    const opens = { severity: "stop", mine: false } as const;
    const [told] = onVan(play.desk({ ...act, outcome: "put to staff", opens })) as Extract<
      VanAct,
      { do: "reported" }
    >[];
    if (!told) throw new Error("nothing was reported on the van");
    expect(told).toMatchObject({ do: "reported", severity: "stop", words: "", hire: "h1" });
    expect(JSON.stringify(told)).not.toContain("squeal");
    const { matter, severity, title } = told;
    const reports = [{ at: start, by: "Ann", severity, words: "", hire: "h1" }];
    const held: Van = {
      ...van("h0"),
      faults: [...van("h0").faults, { n: 2, matter, title, severity, reports }],
    };
    expect(blocksOf(held, [])).toMatchObject([{ kind: "fault", fault: { n: 2 } }]);
    const next = lane("hire:h2", held);
    next.does({ kind: "booked", booking: booking({ hire: "h2" as HireId }) });
    next.remind();
    expect(next.told().join()).toContain("Do not drive this van yet.");
    const known = next.told().find((t) => note.test(t));
    expect(known).not.toContain("telephone");
    expect(known).toContain("known to us: Amber ABS light. It changes");
  });
  it("noted after the welcome is told when the van goes out, and nothing twice", () => {
    const known: Van = { ...newVan("SX26 ABC", "wren") };
    const play = lane("hire:h1", known);
    play.does({ kind: "booked", booking: booking() });
    play.remind();
    known.faults = van("h0").faults;
    const record = { do: "pickup-record", reading: reading(start, 92_300), handover: handover() };
    play.desk(record as DeskAct);
    expect(play.told().filter((t) => note.test(t))).toHaveLength(1);
    play.desk(record as DeskAct);
    expect(play.told().some((t) => note.test(t))).toBe(false);
  });
  it("and must not move is told to everybody as a van not to be driven yet, and to staff", () => {
    const known = van("h0");
    known.faults = known.faults.map((f) => ({ ...f, title: "Brakes soft", severity: "stop" }));
    const play = lane("hire:h1", known);
    const people = peopleOf(["Ann", "Ben"]);
    play.does({ kind: "booked", booking: booking({ people }) });
    play.remind();
    const held = play.last.sends.filter((s) => s.message.text.startsWith("Do not drive this van"));
    expect(held.map((s) => [s.person, s.safety])).toEqual([
      ["p1", true],
      ["p2", true],
    ]);
    expect(held[0]?.message.text).toContain("Reported on it before your hire: Brakes soft.");
    expect(play.told().join()).not.toContain("changes nothing");
    const [staff] = play.last.sends.filter((s) => s.contact);
    expect(staff?.message.text).toContain("SX26 ABC (Stone) may not go out");
    play.pass(1).says("ok");
    expect(play.told().join()).not.toContain("Do not drive this van");
    known.releases = [{ at: start, by: "isla", reason: "bled", covers: ["fault:1"] }];
    const record = { do: "pickup-record", reading: reading(start, 92_300), handover: handover() };
    play.desk(record as DeskAct);
    expect(play.told().join()).toContain("known to us: Brakes soft.");
  });
  it('and must not move, but was released, is told without "it changes nothing"', () => {
    const known = van("h0");
    known.faults = known.faults.map((f) => ({ ...f, title: "Brakes soft", severity: "stop" }));
    known.releases = [{ at: start, by: "isla", reason: "bled", covers: ["fault:1"] }];
    const play = lane("hire:h1", known);
    play.does({ kind: "booked", booking: booking() });
    play.remind();
    const told = play.told().join();
    expect(told).toContain("known to us: Brakes soft.");
    expect(told).not.toMatch(/changes nothing|Do not drive this van/);
  });
  it("lives in the van's own lane, where a hire's acts count for nothing", () => {
    const own = lane("van:SX26 ABC");
    const act = { do: "note-fault", title: "blind torn", severity: "note" } as const;
    const body = { kind: "van", by: "morag", registration: "SX26 ABC", type: "wren", act } as const;
    expect(own.does(body).state).toMatchObject({
      kind: "van",
      van: { faults: [{ title: "blind torn" }] },
    });
    expect(
      own.does({ kind: "desk", by: "morag", act: { do: "note", note: "x" } }).because[0],
    ).toContain("ignored");
    const hire = lane("hire:h1");
    hire.does({ kind: "booked", booking: booking() });
    expect(hire.does(body).because[0]).toContain("ignored");
    expect(hire.hire().id).toBe("h1");
  });
});
