import { describe, expect, it } from "vitest";
import { readIso } from "../../src/calendar.js";
import { Exception } from "../../src/knowledge/firm/roster.js";
import { readBook } from "../../src/knowledge/read.js";
import { whoIsOn } from "../../src/roster/on-duty.js";

const { firm } = readBook().book;
const on = (iso: string) => whoIsOn(firm, readIso(iso));

describe("roster", () => {
  it("names the day shift of the weekday", () => {
    // 3 June 2026 is a Wednesday, 5 June a Friday (any calendar).
    expect(on("2026-06-03T12:00+01:00")).toEqual({ contacts: ["morag"], gap: false });
    expect(on("2026-06-05T12:00+01:00")).toEqual({ contacts: ["callum"], gap: false });
  });
  it("runs a night shift past midnight into the next day", () => {
    expect(on("2026-06-04T03:00+01:00").contacts).toEqual(["callum"]);
    expect(on("2026-06-05T07:59+01:00").contacts).toEqual(["callum"]);
  });
  it("keeps its wall time in the night when the clocks go back", () => {
    // 25 October 2026, 01:00 UTC: summer time ends (Directive 2000/84/EC). The Saturday night shift ends at 08:00 on the wall.
    expect(on("2026-10-25T07:59Z").contacts).toEqual(["morag"]);
    expect(on("2026-10-25T08:00Z").contacts).toEqual(["callum"]);
  });
  it("lets an exception go before the weekly pattern", () => {
    const roster = {
      ...firm.roster,
      exceptions: [
        Exception.parse({ contact: "isla", on: "2026-06-03", from: "10:00", to: "14:00" }),
      ],
    };
    expect(whoIsOn({ ...firm, roster }, readIso("2026-06-03T12:00+01:00")).contacts).toEqual([
      "isla",
    ]);
    expect(whoIsOn({ ...firm, roster }, readIso("2026-06-03T14:00+01:00")).contacts).toEqual([
      "morag",
    ]);
  });
  it("falls back to the named contact in a gap, and says that it is one", () => {
    const roster = { ...firm.roster, weekly: [] };
    expect(whoIsOn({ ...firm, roster }, readIso("2026-06-03T12:00+01:00"))).toEqual({
      contacts: ["isla"],
      gap: true,
    });
  });
});
