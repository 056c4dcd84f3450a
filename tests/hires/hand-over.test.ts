/** Nobody goes off duty holding a matter: it is offered with its promise, and stays with its owner until it is taken. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { after as later } from "../../src/calendar.js";
import { hireWith, type Play, toldTo } from "../kit/hire.js";

/** 3 June 2026 is a Wednesday: Morag until 20:00, then Callum; Isla is the fallback. */
const evening = (clock: string, atDesk = ["morag", "callum", "isla"]) =>
  hireWith("curlew", { at: `2026-06-03T${clock}+01:00`, atDesk });
const shiftEnds = (play: Play, from = "morag", to?: string) =>
  play.arrives({
    kind: "due",
    due: "callout:1:hand",
    generation: 0,
    matter: { kind: "hand-over", callout: 1, from, ...(to ? { to } : {}) },
  });
const handDue = (play: Play) => play.dues().find((d) => d.key === "callout:1:hand")?.at;

describe("at the end of a shift", () => {
  const withPromise = (minutes = 40) => {
    const play = evening("19:50");
    play.says("the van wont start, it just clicks");
    play.staff("morag", { do: "promise", callout: 1, at: later(play.at, minutes) });
    play.pass(10);
    return play;
  };
  it("a matter is offered with its promise; the hirer hears nothing until somebody has it", () => {
    const play = shiftEnds(withPromise());
    expect(toldTo(play, "callum")).toMatch(
      /HANDING OVER from Morag: STOP: .*\n.*\nPromised to them: a call by 20:30/,
    );
    expect(toldTo(play, "callum")).toContain('Said: "the van wont start');
    expect(toldTo(play, "morag")).toContain(
      "It stays with you until it is taken, and so does the promise to ring by 20:30.",
    );
    expect(play.hirer()).toEqual([]);
    expect(play.callouts()[0]).toMatchObject({ state: "with", with: "morag", offeredTo: "callum" });
  });
  it("of a hire in another zone is told to staff by the firm's clock, and to the hirer by theirs", () => {
    const play = evening("18:00");
    play.arrives({ kind: "changed", by: "morag", change: { zone: "Europe/Paris" } });
    play.says("the van wont start, it just clicks");
    expect(toldTo(play, "morag")).toMatch(/Somebody must answer by 18:/);
    play.staff("morag", { do: "promise", callout: 1, at: later(play.at, 30) });
    expect(play.hirer().join()).toContain("rings you by 19:30");
    play.until(() => toldTo(play, "morag").includes("you ring Ann"));
    expect(toldTo(play, "morag")).toMatch(/^By 18:30 you ring Ann/);
  });
  it("taken, the promise moves with it: the hirer is told who rings, and the new owner is reminded", () => {
    const play = shiftEnds(withPromise());
    play.staff("callum", { do: "take", callout: 1 });
    expect(play.hirer()).toEqual(["Callum has taken this over from Morag and rings you by 20:30."]);
    expect(toldTo(play, "morag")).toContain("Callum has taken");
    expect(handDue(play)).toBeUndefined();
    const at = play.dues().find((d) => d.key === "callout:1:promise")?.at;
    // Reminded five minutes ahead.
    expect(at).toBe(later(play.at, 25));
    play.pass(25);
    play.nextDue();
    play.until(() => toldTo(play, "callum").includes("You promised to ring"));
    expect(toldTo(play, "callum")).toContain("You promised to ring");
    expect(toldTo(play, "morag")).toBe("");
  });
  it("not taken, its owner keeps it and is reminded, and so is the next person; then the owner of the firm is asked too", () => {
    const play = shiftEnds(withPromise(600));
    const asked: string[] = [];
    for (let i = 0; i < 4; i++) {
      const at = handDue(play);
      if (at === undefined) throw new Error("nobody is reminded any more");
      play.at = at;
      shiftEnds(play);
      expect(toldTo(play, "morag")).toContain("You still have");
      asked.push(
        ["callum", "isla"].find((c) => toldTo(play, c).includes("HANDING OVER")) ?? "nobody",
      );
      expect(play.callouts()[0]).toMatchObject({ state: "with", with: "morag" });
    }
    expect(asked[0]).toBe("callum");
    expect(asked).toContain("isla");
  });
  it("whom no channel reaches is passed over; when that is everybody, its owner hears so", () => {
    const play = evening("19:50", ["morag", "isla"]);
    play.says("the van wont start, it just clicks");
    play.staff("morag", { do: "take", callout: 1 });
    play.pass(10);
    shiftEnds(play);
    expect(toldTo(play, "isla")).toContain("HANDING OVER");
    const alone = evening("19:50", ["morag"]);
    alone.says("the van wont start, it just clicks");
    alone.staff("morag", { do: "take", callout: 1 });
    alone.pass(10);
    shiftEnds(alone);
    expect(toldTo(alone, "morag")).toContain("No channel reaches Callum now.");
    expect(alone.callouts()[0]?.with).toBe("morag");
    expect(handDue(alone)).toBe(later(alone.at, 10));
  });
  it("what was ended or taken meanwhile is not offered", () => {
    const play = withPromise();
    play.staff("morag", { do: "done", callout: 1, outcome: "by-advice" });
    shiftEnds(play);
    expect(play.duty()).toEqual([]);
    expect(handDue(play)).toBeUndefined();
  });
  it("whoever is on duty again keeps it, and the other is told", () => {
    const play = withPromise();
    shiftEnds(play, "morag", "isla");
    play.staff("morag", { do: "note", callout: 1, note: "rang them" });
    // Back to before 20:00: Morag is on, and stays.
    play.pass(-5);
    shiftEnds(play);
    expect(toldTo(play, "isla")).toContain("Morag keeps");
    expect(play.callouts()[0]?.offeredTo).toBeUndefined();
    expect(handDue(play)).toBeUndefined();
  });
  it("a promise that was missed before the handover does not bind the next person", () => {
    const play = withPromise(5);
    for (let i = 0; i < 8 && play.callouts()[0]?.promiseBroken === undefined; i++) play.nextDue();
    shiftEnds(play);
    expect(toldTo(play, "callum")).toContain(
      "A call was promised to them by 19:55, and did not come.",
    );
    const offered = play.sends.filter((s) => s.contact === "callum");
    expect(offered.map((s) => s.message.buttons?.[0]?.label)).toEqual(["I take it"]);
    expect(toldTo(play, "morag")).toMatch(/It stays with you until it is taken\.$/);
    play.staff("callum", { do: "take", callout: 1 });
    expect(play.callouts()[0]?.promisedAt).toBeUndefined();
    expect(play.hirer()).toEqual(["Callum has taken this over from Morag and has it now."]);
  });
  it("a question that nobody takes wakes nobody at night", () => {
    const play = evening("19:50");
    play.says("I want to talk to a person");
    play.staff("morag", { do: "take", callout: 1 });
    play.pass(10);
    shiftEnds(play);
    play.pass(150);
    shiftEnds(play);
    expect(play.duty()).toEqual([]);
    expect(handDue(play)).toBe(later(play.at, 8.5 * 60));
  });
});

describe("passing on", () => {
  it("moves the promise too", () => {
    const play = evening("12:00");
    play.says("the van wont start, it just clicks");
    play.staff("morag", { do: "promise", callout: 1, at: later(play.at, 30) });
    play.staff("morag", { do: "pass", callout: 1, to: "isla" });
    play.staff("isla", { do: "take", callout: 1 });
    expect(play.hirer()).toEqual(["Isla has read this and rings you by 12:30."]);
    expect(play.dues().some((d) => d.key === "callout:1:promise")).toBe(true);
  });
});

describe("an owner of two matters of a hire", () => {
  const both = (second: string) => {
    const play = evening("12:00");
    play.says("the van wont start, it just clicks");
    play.staff("morag", { do: "promise", callout: 1, at: later(play.at, 50) });
    play.says(second);
    play.staff("morag", { do: "take", callout: 2 });
    return play;
  };
  /** After so many minutes a contact reads these words; by default the owner, of a sign of them. */
  const askedAfter = (play: Play, contact = "morag", words = "there is no sign of you"): number => {
    const from = play.at;
    play.nextDue();
    play.until(() => toldTo(play, contact).includes(words));
    return (play.at - from) / 60_000;
  };
  it("is asked about a danger at once, whatever call is promised about the other", () => {
    expect(askedAfter(both("we can smell gas and it hisses"))).toBe(5);
    const danger = evening("12:00");
    danger.says("the van wont start, it just clicks").says("we can smell gas and it hisses");
    danger.staff("morag", { do: "take", callout: 2 }).pass(2);
    danger.staff("morag", { do: "promise", callout: 1, at: later(danger.at, 60) });
    expect(askedAfter(danger)).toBe(3);
  });
  it("is asked about the others when the one of which a call was promised has ended", () => {
    const play = both("the fan belt squeals and the coolant is low");
    play.pass(1).staff("morag", { do: "promise", callout: 1, at: later(play.at, 30) });
    play.staff("morag", { do: "done", callout: 1, outcome: "by-advice" });
    expect(askedAfter(play)).toBe(9);
  });
  it("has had the time of the promised call for both: then others are asked about each, and the hirer hears it", () => {
    const play = both("the fan belt squeals and the coolant is low");
    const words = 'Morag has "Amber coolant light: coolant low" (SX26 ABC) and has given no sign';
    // 50 until the call, 5 of grace.
    expect(askedAfter(play, "isla", words)).toBe(55);
    expect(play.hirer().join()).toContain("Morag has this but");
    const again = both("the fan belt squeals and the coolant is low");
    expect(askedAfter(again, "isla", "Morag promised to ring")).toBe(55);
  });
});

describe("handing over, whatever happens", () => {
  const staff = ["morag", "callum", "isla"];
  const move = fc.oneof(
    fc.record({ kind: fc.constant("ends" as const), from: fc.constantFrom(...staff) }),
    fc.record({ kind: fc.constant("take" as const), by: fc.constantFrom(...staff) }),
    fc.record({
      kind: fc.constant("promise" as const),
      by: fc.constantFrom(...staff),
      minutes: fc.integer({ min: 5, max: 300 }),
    }),
    fc.record({
      kind: fc.constant("pass" as const),
      by: fc.constantFrom(...staff),
      to: fc.constantFrom(...staff),
    }),
    fc.record({ kind: fc.constant("waits" as const), minutes: fc.integer({ min: 1, max: 400 }) }),
    fc.constant({ kind: "due" as const }),
  );
  it("it has an owner, a promise has its due, and who is being relieved is reminded", () => {
    fc.assert(
      fc.property(
        fc.array(move, { minLength: 1, maxLength: 25 }),
        fc.subarray(staff),
        (moves, atDesk) => {
          const play = evening("19:50", atDesk);
          play.says("the van wont start, it just clicks");
          play.staff("morag", { do: "take", callout: 1 });
          for (const m of moves) {
            const before = play.callouts()[0];
            if (m.kind === "ends") shiftEnds(play, m.from);
            else if (m.kind === "take") play.staff(m.by, { do: "take", callout: 1 });
            else if (m.kind === "promise")
              play.staff(m.by, { do: "promise", callout: 1, at: later(play.at, m.minutes) });
            else if (m.kind === "pass") play.staff(m.by, { do: "pass", callout: 1, to: m.to });
            else if (m.kind === "waits") play.pass(m.minutes);
            else play.nextDue();
            const now = play.callouts()[0];
            expect(now?.state).toBe("with");
            expect(staff).toContain(now?.with);
            // It changes hands by nothing but somebody who takes it, or an offer that its owner accepts.
            if (now?.with !== before?.with)
              expect(
                m.kind === "take" ||
                  m.kind === "promise" ||
                  (m.kind === "pass" && m.by === before?.with && before?.offers?.includes(m.to)),
                m.kind,
              ).toBe(true);
            const due = new Set(play.dues().map((d) => d.key));
            if (now?.promisedAt !== undefined) expect(due.has("callout:1:promise")).toBe(true);
            if (now?.handing) expect(due.has("callout:1:hand")).toBe(true);
            if (now?.with !== before?.with && now?.promisedAt !== undefined)
              expect(play.hirer().join()).toContain("rings you by");
          }
        },
      ),
      { numRuns: Number(process.env["RUNS"] ?? 1000) / 5 },
    );
  }, 300_000);
});
