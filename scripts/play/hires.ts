/** Hires and vans in a script of the player: a booking from its line, and what staff do at the van. */
import { z } from "zod";
import { type Instant, readIso, readLocal } from "../../src/calendar.js";
import { Fault } from "../../src/faults.js";
import type { Book } from "../../src/knowledge/book.js";
import { laneOf, vanLane } from "../../src/lanes.js";
import type { ArrivalBody, Booking, HireId, LaneId, Reading } from "../../src/post.js";
import { vanOf } from "../../src/store/care/vans.js";
import type { Db } from "../../src/store/tables.js";
import { blocksOf } from "../../src/vans/blocks.js";

const read = {
  odometerKm: z.number().optional(),
  oil: z.enum(["above-max", "max", "between", "low", "min", "below-min"]).optional(),
  fluid: z.number().optional(),
  fuel: z.number().optional(),
};
export const ScriptReading = z.object(read);
export const ScriptHire = z.strictObject({
  van: z.string(),
  vanType: z.string(),
  pickup: z.string(),
  return: z.string(),
  zone: z.string(),
  region: z.string(),
  lang: z.string().optional(),
  readings: z.array(z.object({ at: z.string(), ...read })).optional(),
  sent: z.array(z.object({ rule: z.string(), due: z.string() })).optional(),
});
export type ScriptHire = z.infer<typeof ScriptHire>;

/** A booking from a script's line `n`. `phones`: its people have telephones (of Ofcom's range for drama). @throws INPUT_WRONG, TIME_WRONG */
export function bookingOf(
  hire: ScriptHire,
  of: { people: readonly string[]; id: string; book: Book; n: number; phones: boolean },
): Booking {
  const { people, id, book, n, phones } = of;
  if (!book.vans.has(hire.vanType))
    throw new Fault(
      "INPUT_WRONG",
      `script line ${n}: hire.vanType: "${hire.vanType}" is none of ${[...book.vans.keys()].join(", ")}`,
    );
  return {
    hire: id as HireId,
    van: { registration: hire.van, type: hire.vanType },
    pickupAt: readLocal(hire.pickup, hire.zone),
    returnAt: readLocal(hire.return, hire.zone),
    zone: hire.zone,
    region: hire.region,
    lang: hire.lang ?? "en",
    surname: "Talk",
    status: "booked",
    people: people.map((name, i) => ({
      id: `p${i + 1}`,
      name,
      booker: i === 0,
      ...(phones ? { phone: `07700 90050${i}` } : {}),
    })),
    sent: (hire.sent ?? []).map((s) => ({ rule: s.rule, due: readIso(s.due) })),
    readings: (hire.readings ?? []).map((r) => ({
      ...r,
      at: readIso(r.at),
      by: "script",
    })) as Booking["readings"] & object,
  };
}

/** What staff do to a van or its records. */
export const vanDos = ["pickup-record", "return-record", "clear", "release"] as const;
type VanLine = {
  do?: string | undefined;
  fault?: number | undefined;
  note?: string | undefined;
  reading?: z.infer<typeof ScriptReading> | undefined;
};

/** The arrival that such a line stands for; undefined for any other line. A release covers what blocks the van now. */
export async function vanBody(
  line: VanLine,
  by: string,
  { booking, now, db }: { booking: Booking; now: Instant; db: Db },
): Promise<{ body: ArrivalBody; lane: LaneId } | undefined> {
  const { registration, type } = booking.van;
  const onHire = laneOf(booking.hire);
  const onVan = vanLane(registration);
  const reading = { ...line.reading, at: now, by } as Reading;
  switch (line.do) {
    case "pickup-record":
    case "return-record": {
      const handover = {
        ...{ registration, by, unit: "km" as const, kit: [], photos: [], drivers: [] },
        ...{ points: [], faults: [], confirmed: [] },
      };
      return { lane: onHire, body: { kind: "desk", by, act: { do: line.do, reading, handover } } };
    }
    case "clear": {
      const act = { do: "clear", fault: line.fault ?? 1, what: line.note ?? "" } as const;
      return { lane: onVan, body: { kind: "van", by, registration, type, act } };
    }
    case "release": {
      const van = await vanOf(db, registration);
      const covers = van ? blocksOf(van, []).map((b) => b.key) : [];
      const act = { do: "release", covers, reason: line.note ?? "" } as const;
      return { lane: onVan, body: { kind: "van", by, registration, type, act } };
    }
    default:
      return undefined;
  }
}
