/** The rows of a return sheet, worked out by hand. */
import { describe, expect, it } from "vitest";
import { instantOf, after as later } from "../../src/calendar.js";
import { readBook } from "../../src/knowledge/read.js";
import type { Reading } from "../../src/post.js";
import type { Handover } from "../../src/vans/handover.js";
import { type GivenUp, type SheetFacts, sheetRows } from "../../src/vans/sheet.js";
import { newVan, type Van } from "../../src/vans/van.js";

const { book } = readBook();
const start = instantOf(Date.UTC(2026, 5, 3, 9));
const typeOf = (id: string) => {
  const van = book.vans.get(id);
  if (!van) throw new Error(`no van type ${id}`);
  return van;
};
const record = (registration: string, reading: Partial<Reading>, at = start) => {
  const handover: Handover = {
    ...{ registration, by: "morag", unit: "miles", kit: [], photos: [], drivers: [] },
    ...{ points: book.handover.back.map((p) => p.id), faults: [], confirmed: [] },
  };
  return { ...handover, at, reading: { at, by: "morag", ...reading } };
};
/** A van of which this was reported in a hire. */
const withFault = (registration: string, title: string, hire: string): Van => ({
  ...newVan(registration, "wren"),
  faults: [
    {
      ...{ n: 1, matter: "abs", title, severity: "soon" },
      reports: [{ at: start, by: "Ann", severity: "soon", words: "it is on", hire }],
    },
  ],
});
const facts = (more: Partial<SheetFacts> = {}): SheetFacts => ({
  hire: "h1",
  van: typeOf("wren"),
  care: newVan("TWO", "wren"),
  back: book.handover.back,
  unit: "km",
  zone: "Europe/London",
  checks: [],
  callouts: [],
  before: [],
  ...more,
});

describe("the sheet of a hire that swapped its van on the road", () => {
  // 92,000 km at pick-up of the first van, last read at 92,480; the second went out at 40,000 and came back at 40,300.
  const given: GivenUp = {
    van: typeOf("curlew"),
    care: withFault("ONE", "Amber ABS light", "h1"),
    pickup: record("ONE", { odometerKm: 92_000, oil: "max", fuel: 1 }),
    readings: [
      { at: later(start, 1440), by: "Ann", odometerKm: 92_480, oil: "between" },
      { at: later(start, 1500), by: "Ann", fuel: 0.5 },
    ],
  };
  const rows = sheetRows(
    facts({
      care: withFault("TWO", "Step bent", "h1"),
      pickup: record("TWO", { odometerKm: 40_000 }),
      returned: record("TWO", { odometerKm: 40_300 }, later(start, 5000)),
      before: [given],
    }),
  );
  const of = (item: string) => rows.filter((r) => r.item === item);

  it("holds each van's readings against its own pick-up, value by value", () => {
    expect(of("odometer")).toMatchObject([
      { registration: "TWO", pickup: 40_000, returned: 40_300, difference: 300 },
      { registration: "ONE", pickup: 92_000, returned: 92_480, difference: 480 },
    ]);
    expect(of("oil")[1]).toMatchObject({ pickup: "top mark", returned: "between" });
    expect(of("fuel").at(-1)).toMatchObject({ pickup: 100, returned: 50, difference: -50 });
  });
  it("tells what was reported of each, and what each needs", () => {
    const told = rows.filter((r) => r.section === "reported" || r.item.startsWith("Mend"));
    expect(told.map((r) => [r.registration, r.section, r.item])).toEqual([
      ["TWO", "reported", "Step bent"],
      ["TWO", "to do", "Mend: Step bent"],
      ["ONE", "reported", "Amber ABS light"],
      ["ONE", "to do", "Mend: Amber ABS light"],
    ]);
  });
  it("charges nothing for the van that was given up, and says nothing of what was not read of it", () => {
    const one = rows.filter((r) => r.registration === "ONE");
    expect(one.filter((r) => r.section === "owed")).toEqual([]);
    expect(one.map((r) => r.item)).not.toContain("keys");
  });
  it("taken back, tells the van as it came back, and how it was when it was given up", () => {
    const care = withFault("ONE", "Amber ABS light", "h1");
    const again = sheetRows(
      facts({
        ...{ van: given.van, care, before: [given] },
        ...(given.pickup ? { pickup: given.pickup } : {}),
        returned: record("ONE", { odometerKm: 92_900, fuel: 0.25 }, later(start, 5000)),
      }),
    );
    const shown = (section: string, item: string) =>
      again
        .filter((r) => r.section === section && r.item === item)
        .map((r) => [r.before, r.pickup, r.returned]);
    expect(shown("readings", "odometer")).toEqual([
      [undefined, 92_000, 92_900],
      [0, 92_000, 92_480],
    ]);
    expect(shown("readings", "fuel")).toEqual([
      [undefined, 100, 25],
      [0, 100, 50],
    ]);
    expect(again.filter((r) => r.section === "owed" && r.difference)).toHaveLength(1);
    expect(shown("reported", "Amber ABS light")).toEqual([[undefined, undefined, undefined]]);
  });
});

it("has oil above the top mark put right before the next hire, as low oil is refilled", () => {
  const todo = (oil: Reading["oil"]) =>
    sheetRows(facts({ returned: record("TWO", oil ? { oil } : {}) }))
      .filter((r) => r.section === "to do" && /oil/i.test(r.item))
      .map((r) => r.item);
  expect(todo("above-max")).toEqual(["Oil: have the level put right"]);
  expect(todo("low")).toEqual(["Refill: oil"]);
  expect(todo("max")).toEqual([]);
});
