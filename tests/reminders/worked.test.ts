import { readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { z } from "zod";
import { clockOf, dayOf, isoIn, readIso, readLocal } from "../../src/calendar.js";
import { readBook } from "../../src/knowledge/read.js";
import { plan } from "../../src/reminders/plan.js";

const folder = join(dirname(fileURLToPath(import.meta.url)), "plans");
const { book } = readBook();

/** `plan`: "rule due[ reply]" in order. `messages`: "local time, then the rules sent together", of the whole hire or of one day. */
const Worked = z.strictObject({
  hire: z.strictObject({
    vanType: z.string(),
    pickup: z.string(),
    return: z.string(),
    zone: z.string(),
    region: z.string().optional(),
    returnRecord: z.string().optional(),
    readings: z.array(z.strictObject({ at: z.string(), odometerKm: z.number() })).optional(),
    sent: z.array(z.strictObject({ rule: z.string(), due: z.string() })).optional(),
  }),
  plan: z.array(z.string()).min(1),
  messagesOf: z.string().optional(),
  messages: z.array(z.string()).optional(),
});

function planned(hire: z.output<typeof Worked>["hire"]) {
  const { zone, returnRecord } = hire;
  const van = book.vans.get(hire.vanType);
  if (!van) throw new Error(`unknown van type ${hire.vanType}`);
  return plan(
    {
      pickupAt: readLocal(hire.pickup, zone),
      returnAt: readLocal(hire.return, zone),
      zone,
      readings: (hire.readings ?? []).map((r) => ({
        at: readLocal(r.at, zone),
        odometerKm: r.odometerKm,
      })),
      sent: (hire.sent ?? []).map((s) => ({ rule: s.rule, due: readIso(s.due) })),
      ...(returnRecord === undefined ? {} : { returnRecordAt: readLocal(returnRecord, zone) }),
    },
    van,
    book.reminders,
  );
}

const files = readdirSync(folder).filter((f) => f.endsWith(".yaml"));

describe("worked plans", () => {
  it("are at least twenty, and each says how it was calculated", () => {
    expect(files.length).toBeGreaterThanOrEqual(20);
    for (const file of files) expect(readFileSync(join(folder, file), "utf8"), file).toMatch(/^# /);
  });

  for (const file of files) {
    const worked = Worked.parse(parse(readFileSync(join(folder, file), "utf8")));
    const { zone } = worked.hire;
    it(`${file.slice(0, -".yaml".length).replaceAll("-", " ")}: the plan is the one worked out by hand`, () => {
      const rows = planned(worked.hire);
      expect(
        rows.map((r) => `${r.rule} ${isoIn(r.due, zone)}${r.needsReply ? " reply" : ""}`),
      ).toEqual(worked.plan);
      if (!worked.messages) return;
      const sent = new Map<string, string[]>();
      for (const row of rows) {
        const at = `${dayOf(row.sendAt, zone)}T${clockOf(row.sendAt, zone)}`;
        if (worked.messagesOf === undefined || at.startsWith(worked.messagesOf))
          sent.set(at, [...(sent.get(at) ?? []), row.rule]);
      }
      expect(
        [...sent]
          .sort(([a], [b]) => (a < b ? -1 : 1))
          .map(([at, rules]) => `${at} ${rules.join(" ")}`),
      ).toEqual(worked.messages);
    });
  }
});
