import { describe, expect, it } from "vitest";
import { clockOf, readIso } from "../../src/calendar.js";
import { Exception } from "../../src/knowledge/firm/roster.js";
import { readBook } from "../../src/knowledge/read.js";
import { nextChange, whoIsOn } from "../../src/roster/on-duty.js";

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
  it("is looked at again when in a gap another answers: who was named goes away, comes back, or their hours end", () => {
    const away = Exception.parse({
      ...{ kind: "away", contact: "isla", why: "sick" },
      ...{ from: "2026-06-03T14:00", to: "2026-06-03T18:00" },
    });
    const roster = { ...firm.roster, weekly: [], exceptions: [away] };
    const hours = [{ days: ["wed" as const], from: "06:00", to: "16:00" }];
    const contacts = Object.fromEntries(
      Object.entries(firm.contacts).map(([id, c]) => [id, id === "isla" ? c : { ...c, hours }]),
    );
    const gap = { ...firm, roster, contacts };
    const seen = ["12:00", "14:00"].map((clock) => {
      const at = readIso(`2026-06-03T${clock}+01:00`);
      return [whoIsOn(gap, at).contacts.join(), clockOf(nextChange(gap, at), firm.zone)];
    });
    expect(seen).toEqual([
      ["isla", "14:00"],
      ["callum", "16:00"],
    ]);
  });
});

describe("somebody who is away", () => {
  const away = (contact: string, from: string, to: string, instead?: string) =>
    Exception.parse({
      ...{ kind: "away", contact, from: `2026-06-03T${from}`, to: `2026-06-03T${to}`, why: "sick" },
      ...(instead ? { instead } : {}),
    });
  const at = (clock: string, exceptions: Exception[]) =>
    whoIsOn(
      { ...firm, roster: { ...firm.roster, exceptions } },
      readIso(`2026-06-03T${clock}+01:00`),
    );
  it("is on until they go and from when they are back; between, who stands in", () => {
    const day = [away("morag", "10:00", "14:00", "isla")];
    expect(["09:59", "10:00", "13:59", "14:00"].map((c) => at(c, day).contacts[0])).toEqual([
      "morag",
      "isla",
      "isla",
      "morag",
    ]);
  });
  it("leaves a gap where nobody stands in, until somebody is named later", () => {
    expect(at("12:00", [away("morag", "10:00", "14:00")]).gap).toBe(true);
    const mended = [away("morag", "10:00", "14:00"), away("morag", "10:00", "14:00", "callum")];
    expect(at("12:00", mended).contacts).toEqual(["callum"]);
  });
  it("may be stood in for by somebody for whom another stands in, in whichever order that was said", () => {
    const chain = [
      away("morag", "08:00", "20:00", "callum"),
      away("callum", "10:00", "12:00", "isla"),
    ];
    for (const order of [chain, [...chain].reverse()]) {
      expect(at("11:00", order).contacts).toEqual(["isla"]);
      expect(at("13:00", order).contacts).toEqual(["callum"]);
    }
    const round = [
      away("morag", "08:00", "20:00", "callum"),
      away("callum", "08:00", "20:00", "morag"),
    ];
    expect(at("11:00", round).gap).toBe(true);
  });
  it("may be the other side of a swap: each has the shifts of the other's day", () => {
    // Wednesday's day shift is Morag's, Friday's is Callum's.
    const swap = Exception.parse({
      kind: "swap",
      contact: "morag",
      on: "2026-06-03",
      with: "callum",
      back: "2026-06-05",
    });
    const f = { ...firm, roster: { ...firm.roster, exceptions: [swap] } };
    expect(whoIsOn(f, readIso("2026-06-03T12:00+01:00")).contacts).toEqual(["callum"]);
    expect(whoIsOn(f, readIso("2026-06-05T12:00+01:00")).contacts).toEqual(["morag"]);
    expect(whoIsOn(f, readIso("2026-06-04T12:00+01:00")).contacts).toEqual(["morag"]);
  });
});
