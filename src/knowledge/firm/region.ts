/** The shape of a region's file: emergency numbers, units, and what differs between its nations. Pure. */
import { z } from "zod";
import { id, line, pos } from "../shapes.js";

const Speeds = z.strictObject({ builtUp: pos, single: pos, dual: pos, motorway: pos });
/** One nation's law and numbers. Speeds are in the nation's own unit. */
const Nation = z.strictObject({
  name: line,
  speeds: z.strictObject({
    /** Up to `heavierThanKg` unladen, and above it. */
    light: Speeds,
    heavy: Speeds,
  }),
  drinkBreathUg: pos,
  drinkBloodMg: pos,
  gasEmergency: line,
  /** Where they are not those of the region. */
  health: line.optional(),
  powerCut: line.optional(),
  /** Roads operator's line, where there is one. */
  roadsLine: line.optional(),
  facts: z.record(id, line).default({}),
});
const Region = z.strictObject({
  name: line,
  /** Spoken as a hirer would dial: "999 or 112". */
  emergency: line,
  numbers: z.array(z.string().regex(/^\d{3}$/)).min(1),
  speedUnit: z.enum(["mph", "km/h"]),
  distanceUnit: z.enum(["miles", "km"]),
  heavierThanKg: pos,
  police: line,
  health: line,
  powerCut: line,
  emergencyText: line,
  /** Of the country, without "+" (ITU-T E.164): a number that begins with 0 belongs to it. */
  callingCode: z.string().regex(/^[1-9]\d{0,2}$/, 'a country\'s calling code such as "44"'),
  /** Where the nation is not known. */
  defaultNation: id,
  nations: z.record(id, Nation),
  sources: z.array(line).min(1),
});
export const RegionFile = Region.refine((r) => r.defaultNation in r.nations, {
  path: ["defaultNation"],
  message: "it is none of the nations below",
});
export type RegionFile = z.infer<typeof RegionFile>;
