/** Faults of a van between hires: joined, raised, cleared by name; what blocks it and who released it. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { instantOf, after as later } from "../../src/calendar.js";
import { severities } from "../../src/severity.js";
import { actOnVan } from "../../src/vans/act.js";
import { blocksOf, isOpen, openFaults, releaseOf } from "../../src/vans/blocks.js";
import { newVan, type Van, type VanAct } from "../../src/vans/van.js";

const noon = instantOf(Date.UTC(2026, 5, 3, 12));
const fresh = () => newVan("SX26 ABC", "wren");
const report = (
  severity: (typeof severities)[number],
  matter = "oil-pressure",
  hire = "h1",
): VanAct => ({ do: "reported", matter, title: matter, severity, words: "it is on", hire });
/** The acts one minute apart, each by the given name. */
function play(acts: [VanAct, string][], van = fresh()): Van {
  return acts.reduce((v, [act, by], i) => actOnVan(v, act, by, later(noon, i)).van, van);
}

describe("a fault of a van", () => {
  it("that is reported again joins the open one and raises it", () => {
    const van = play([
      [report("soon"), "Ann"],
      [report("stop", "oil-pressure", "h2"), "Ben"],
      [report("soon", "oil-pressure", "h2"), "Ben"],
    ]);
    expect(van.faults).toHaveLength(1);
    expect(van.faults[0]).toMatchObject({ severity: "stop", reports: [{}, { hire: "h2" }, {}] });
  });
  it("that was cleared and comes back is a new one", () => {
    const van = play([
      [report("stop"), "Ann"],
      [{ do: "clear", fault: 1, what: "new pump" }, "morag"],
      [report("soon"), "Ben"],
    ]);
    expect(van.faults.map((f) => [f.n, f.severity, isOpen(f)])).toEqual([
      [1, "stop", false],
      [2, "soon", true],
    ]);
  });
  it("is cleared only by a name and with what was done", () => {
    const open = play([[report("stop"), "Ann"]]);
    for (const [what, by] of [
      ["", "morag"],
      ["new pump", ""],
      ["  ", "  "],
    ] as const)
      expect(openFaults(play([[{ do: "clear", fault: 1, what }, by]], open))).toHaveLength(1);
    expect(
      openFaults(play([[{ do: "clear", fault: 1, what: "new pump" }, "morag"]], open)),
    ).toEqual([]);
  });
  it("keeps its first report and its latest 49, however often it is reported", () => {
    const van = play(Array.from({ length: 80 }, () => [report("soon"), "Ann"]));
    const at = van.faults[0]?.reports.map((r) => (r.at - noon) / 60_000);
    expect(at).toHaveLength(50);
    expect([at?.[0], at?.[1], at?.at(-1)]).toEqual([0, 31, 79]);
  });
});

describe("a van", () => {
  const covers = ["fault:1"];
  it.each([
    ["danger", 1],
    ["stop", 1],
    ["soon", 0],
    ["note", 0],
  ] as const)("with an open %s fault is held back %i times", (severity, times) => {
    expect(blocksOf(play([[report(severity), "Ann"]]), [])).toHaveLength(times);
  });
  it("without the return record of a hire before is held back until a name releases it", () => {
    const missing = [{ hire: "h1", surname: "Stone" }];
    expect(blocksOf(fresh(), missing)).toMatchObject([{ key: "return:h1", surname: "Stone" }]);
    const released = play([
      [{ do: "release", covers: ["return:h1"], reason: "seen in the yard" }, "isla"],
    ]);
    expect(blocksOf(released, missing)).toEqual([]);
    expect(blocksOf(released, [...missing, { hire: "h2", surname: "Reed" }])).toHaveLength(1);
  });
  it("is held back again when a released fault is reported once more", () => {
    const released = play([
      [report("stop"), "Ann"],
      [{ do: "release", covers, reason: "driven to the garage" }, "morag"],
    ]);
    expect(blocksOf(released, [])).toEqual([]);
    expect(releaseOf(released, released.faults[0] ?? fail())).toMatchObject({ by: "morag" });
    const again = actOnVan(released, report("stop"), "Ben", later(noon, 60)).van;
    expect(blocksOf(again, [])).toMatchObject([{ key: "fault:1" }]);
  });
  it("stays held back by a report that its author had not seen, and that clears nothing either", () => {
    const seen = noon;
    for (const act of [
      { do: "release", covers, reason: "driven to the garage", seen },
      { do: "clear", fault: 1, what: "new pump", seen },
    ] as const) {
      const open = play([[report("stop"), "Ann"]]);
      const late = play([
        [report("stop"), "Ann"],
        [report("stop", "oil-pressure", "h2"), "Ben"],
      ]);
      const acted = (van: Van) => actOnVan(van, act, "morag", later(noon, 20)).van;
      expect(blocksOf(acted(open), [])).toEqual([]);
      expect(blocksOf(acted(late), [])).toHaveLength(1);
    }
  });
  it("stays held back by what the release did not cover", () => {
    const van = play([
      [report("stop"), "Ann"],
      [report("stop", "flat-tyre"), "Ann"],
      [{ do: "release", covers, reason: "towed home" }, "morag"],
    ]);
    expect(blocksOf(van, []).map((b) => b.key)).toEqual(["fault:2"]);
  });
});

const fail = (): never => {
  throw new Error("no such fault");
};

describe("whatever happens to a van", () => {
  const name = fc.constantFrom("", " ", "morag", "isla");
  const words = fc.constantFrom("", "  ", "looked at it");
  const act: fc.Arbitrary<VanAct> = fc.oneof(
    fc.record({
      do: fc.constant("reported" as const),
      matter: fc.constantFrom("oil-pressure", "flat-tyre", "abs"),
      title: fc.constant("t"),
      severity: fc.constantFrom(...severities),
      words: fc.constant("w"),
      hire: fc.constantFrom("h1", "h2"),
    }),
    fc.record({
      do: fc.constant("note-fault" as const),
      title: words,
      severity: fc.constantFrom(...severities),
    }),
    fc.record({
      do: fc.constant("clear" as const),
      fault: fc.integer({ min: 0, max: 4 }),
      what: words,
    }),
    fc.record({
      do: fc.constant("release" as const),
      covers: fc.subarray(["fault:1", "fault:2", "fault:3", "return:h1"]),
      reason: words,
    }),
    fc.record({ do: fc.constant("service" as const), what: words }),
    fc.record({ do: fc.constant("service-done" as const), n: fc.integer({ min: 0, max: 2 }) }),
    fc.record({ do: fc.constant("mended" as const), photo: fc.constant("p") }),
  );
  const acts = fc.array(fc.tuple(act, name), { maxLength: 25 });

  it("an open stop fault holds it back until an act with a name, a reason and that fault in it", () => {
    fc.assert(
      fc.property(acts, (all) => {
        let van = fresh();
        for (const [i, [next, by]] of all.entries()) {
          const before = new Set(blocksOf(van, []).map((b) => b.key));
          van = actOnVan(van, next, by, later(noon, i)).van;
          const now = new Set(blocksOf(van, []).map((b) => b.key));
          const gone = [...before].filter((key) => !now.has(key));
          if (gone.length === 0) continue;
          expect(by.trim()).not.toBe("");
          if (next.do === "release") {
            expect(next.reason.trim()).not.toBe("");
            expect(next.covers).toEqual(expect.arrayContaining(gone));
          } else {
            expect(next).toMatchObject({ do: "clear" });
            expect(next.do === "clear" && next.what.trim()).not.toBe("");
            expect(gone).toEqual([`fault:${next.do === "clear" ? next.fault : "?"}`]);
          }
        }
        // And every open fault of stop or danger without a name beside it still holds the van back.
        for (const fault of van.faults.filter(
          (f) => isOpen(f) && ["stop", "danger"].includes(f.severity),
        ))
          expect(
            blocksOf(van, []).some((b) => b.key === `fault:${fault.n}`) ||
              (releaseOf(van, fault)?.by.trim() ?? "") !== "",
          ).toBe(true);
      }),
      { numRuns: 500 },
    );
  });
  it("numbers stay unique, severity never falls, and nothing that was given is changed in place", () => {
    fc.assert(
      fc.property(acts, (all) => {
        let van = fresh();
        for (const [i, [next, by]] of all.entries()) {
          const before = JSON.stringify(van);
          const made = actOnVan(van, next, by, later(noon, i)).van;
          expect(JSON.stringify(van)).toBe(before);
          for (const fault of van.faults) {
            const then = made.faults.find((f) => f.n === fault.n);
            expect(severities.indexOf(then?.severity ?? "note")).toBeLessThanOrEqual(
              severities.indexOf(fault.severity),
            );
          }
          van = made;
        }
        expect(new Set(van.faults.map((f) => f.n)).size).toBe(van.faults.length);
      }),
    );
  });
});
