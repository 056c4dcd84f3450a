/** Call orders: who is alerted, in which order, at which hour; and where an order reaches nobody. */
import { describe, expect, it } from "vitest";
import { isoIn, after as later, readIso } from "../../src/calendar.js";
import { Exception } from "../../src/knowledge/firm/roster.js";
import type { FirmFile } from "../../src/knowledge/schema.js";
import { callOrder, isNight, morningAfter } from "../../src/triage/order.js";
import { ordersOf, weakIn } from "../../src/triage/reached.js";
import { demoFirm } from "../kit/firm.js";

/** A Wednesday: Morag by day, Callum by night. */
const noon = readIso("2026-06-03T12:00+01:00");
const night = readIso("2026-06-03T23:00+01:00");
const weekdays = ["mon", "tue", "wed", "thu", "fri"] as const;
const hours = (id: string, from: string, to: string): FirmFile => {
  const contact = demoFirm.contacts[id];
  if (!contact) throw new Error(`no contact ${id}`);
  return {
    ...demoFirm,
    contacts: {
      ...demoFirm.contacts,
      [id]: { ...contact, hours: [{ days: [...weekdays], from, to }] },
    },
  };
};
const away = (firm: FirmFile, contact: string): FirmFile => ({
  ...firm,
  roster: {
    ...firm.roster,
    exceptions: [
      Exception.parse({
        kind: "away",
        contact,
        from: "2026-06-01T00:00",
        to: "2026-06-08T00:00",
        why: "holiday",
      }),
    ],
  },
});

/** The same, with others away already. */
const awayToo = (firm: FirmFile, contact: string): FirmFile => ({
  ...firm,
  roster: {
    ...firm.roster,
    exceptions: [...firm.roster.exceptions, ...away(firm, contact).roster.exceptions],
  },
});

describe("a call order", () => {
  it("begins with whoever is on duty", () => {
    expect(callOrder(demoFirm, "stop", noon)).toEqual(["morag", "isla", "callum"]);
    expect(callOrder(demoFirm, "stop", night)).toEqual(["callum", "isla", "morag"]);
  });
  it("leaves out who is outside their hours, but never in danger, and never who is on duty", () => {
    const firm = hours("isla", "09:00", "17:00");
    expect(callOrder(firm, "stop", noon)).toContain("isla");
    expect(callOrder(firm, "stop", night)).toEqual(["callum", "morag"]);
    expect(callOrder(firm, "danger", night)).toContain("isla");
    expect(callOrder(hours("callum", "09:00", "17:00"), "stop", night)[0]).toBe("callum");
  });
  it("leaves out who is away, but not when nobody else is left", () => {
    expect(callOrder(away(demoFirm, "isla"), "stop", noon)).toEqual(["morag", "callum"]);
    const only = { ...demoFirm, callOrders: { ...demoFirm.callOrders, soon: ["isla"] } };
    expect(callOrder(away(only, "isla"), "soon", noon)).toEqual(["isla"]);
  });
  it("begins in a gap with the fallback, or with the first who is there while they are away", () => {
    const gap = (firm: FirmFile) => ({ ...firm, roster: { ...firm.roster, weekly: [] } });
    expect(callOrder(gap(demoFirm), "person", night)[0]).toBe("isla");
    const order = callOrder(gap(away(demoFirm, "isla")), "soon", night);
    expect(order[0]).toBe("callum");
    expect(order).not.toContain("isla");
    const all = ["isla", "morag", "callum"].reduce(awayToo, gap(demoFirm));
    expect(callOrder(all, "person", night)[0]).toBe("isla");
  });
  it("of a kind goes before the severity's own", () => {
    const firm = {
      ...demoFirm,
      callOrders: {
        ...demoFirm.callOrders,
        kinds: { light: { stop: ["isla"] }, reading: { note: ["callum"] } },
      },
    };
    expect(callOrder(firm, "stop", noon, "light")).toEqual(["isla"]);
    expect(callOrder(firm, "stop", noon, "fault")).toEqual(["morag", "isla", "callum"]);
    expect(callOrder(firm, "note", noon, "reading")).toEqual(["callum"]);
    expect(callOrder(firm, "danger", noon, "light")).toContain("morag");
    expect(ordersOf(firm)).toContainEqual({ severity: "note", kind: "reading" });
  });
});

describe("where a call order is weak", () => {
  const week = later(noon, 7 * 24 * 60);
  const telegram = { morag: "1", callum: "2", isla: "3" };
  it("is nowhere, when a channel reaches somebody of it at every hour", () => {
    for (const of of ordersOf(demoFirm))
      expect(weakIn(demoFirm, { telegram, hook: false }, of, noon, week)).toEqual([]);
  });
  it("is everywhere, when only the desk reaches anybody", () => {
    const [weak, ...more] = weakIn(
      demoFirm,
      { telegram: {}, hook: false },
      { severity: "stop" },
      noon,
      week,
    );
    expect(more).toEqual([]);
    expect(weak).toMatchObject({ from: noon, to: week, how: "desk" });
  });
  it("is in the hours in which only somebody without a channel is on", () => {
    const firm = { ...demoFirm, callOrders: { ...demoFirm.callOrders, soon: ["duty"] } };
    const weak = weakIn(
      firm,
      { telegram: { morag: "1" }, hook: false },
      { severity: "soon" },
      noon,
      later(noon, 24 * 60),
    );
    expect(weak).toEqual([
      {
        from: readIso("2026-06-03T20:00+01:00"),
        to: readIso("2026-06-04T08:00+01:00"),
        how: "desk",
        contacts: ["callum"],
      },
    ]);
  });
  it("is where nobody of it has any channel at all", () => {
    const firm = { ...demoFirm, callOrders: { ...demoFirm.callOrders, soon: ["roadside"] } };
    expect(weakIn(firm, { telegram, hook: true }, { severity: "soon" }, noon, week)).toEqual([
      { from: noon, to: week, how: "nobody", contacts: [] },
    ]);
  });
  it("is outside the hours of its only contact", () => {
    const firm = {
      ...hours("isla", "09:00", "17:00"),
      callOrders: { ...demoFirm.callOrders, soon: ["isla"] },
    };
    const weak = weakIn(
      firm,
      { telegram, hook: false },
      { severity: "soon" },
      noon,
      later(noon, 24 * 60),
    );
    expect(weak).toEqual([
      {
        from: readIso("2026-06-03T17:00+01:00"),
        to: readIso("2026-06-04T09:00+01:00"),
        how: "hours",
        contacts: ["isla"],
      },
    ]);
  });
});

describe("the firm's night, 22:00 to 07:00", () => {
  it.each([
    ["2026-06-03T21:59+01:00", false, "2026-06-04T07:00"],
    ["2026-06-03T22:00+01:00", true, "2026-06-04T07:00"],
    ["2026-06-03T23:59+01:00", true, "2026-06-04T07:00"],
    ["2026-06-04T00:00+01:00", true, "2026-06-04T07:00"],
    ["2026-06-04T06:59+01:00", true, "2026-06-04T07:00"],
    ["2026-06-04T07:00+01:00", false, "2026-06-05T07:00"],
    // An hour shorter, and an hour longer.
    ["2026-03-28T23:30Z", true, "2026-03-29T07:00"],
    ["2026-03-29T00:30Z", true, "2026-03-29T07:00"],
    ["2026-03-29T05:59Z", true, "2026-03-29T07:00"],
    ["2026-03-29T06:00Z", false, "2026-03-30T07:00"],
    ["2026-10-24T22:30Z", true, "2026-10-25T07:00"],
    ["2026-10-25T00:30Z", true, "2026-10-25T07:00"],
    ["2026-10-25T01:30Z", true, "2026-10-25T07:00"],
    ["2026-10-25T06:59Z", true, "2026-10-25T07:00"],
    ["2026-10-25T07:00Z", false, "2026-10-26T07:00"],
  ])("at %s: %s, and the morning after it is %s", (iso, night, morning) => {
    const at = readIso(iso);
    expect(isNight(demoFirm, at)).toBe(night);
    expect(isoIn(morningAfter(demoFirm, at), "Europe/London").slice(0, 16)).toBe(morning);
  });
});
