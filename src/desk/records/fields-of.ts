/** A kept record turned back into its form, so that it can be corrected. Pure. */
import type { HandoverRecord, Hire } from "../../hires/hire.js";
import { kmPerMile } from "../../knowledge/measures/units.js";
import type { VanType } from "../../knowledge/placeholders.js";
import type { PhotoRow } from "../../store/care/records.js";

/** A kept record as the fields of its form, to correct it. */
export function fieldsOf(
  record: HandoverRecord,
  hire: Hire,
  van: VanType,
  photos: readonly PhotoRow[],
): Record<string, string> {
  const { reading } = record;
  const electric = van.fuel === "electric";
  const share = (n: number | undefined) => (n === undefined ? "none" : `${Math.round(n * 8)}`);
  const known = new Set(hire.people.map((p) => p.name));
  const unit = record.unit;
  // What was taken out of the record stays out.
  const keptAt = record.corrected?.at ?? record.at;
  const out = photos.filter((p) => p.kept_at === null && p.received_at < keptAt);
  return {
    unit,
    ...(reading.odometerKm === undefined
      ? { "odometer-none": "yes" }
      : {
          odometer: `${Math.round(reading.odometerKm / (unit === "km" ? 1 : kmPerMile))}`,
        }),
    fuel: electric
      ? reading.fuel === undefined
        ? "none"
        : `${Math.round(reading.fuel * 100)}`
      : share(reading.fuel),
    fluid: share(reading.fluid),
    oil: reading.oil ?? "none",
    ...(record.gas?.kg === undefined ? {} : { "gas-kg": `${record.gas.kg}` }),
    ...(record.gas?.share === undefined ? {} : { "gas-share": share(record.gas.share) }),
    ...(record.gas?.cartridges === undefined ? {} : { cartridges: `${record.gas.cartridges}` }),
    ...(record.keys === undefined ? {} : { keys: `${record.keys}` }),
    ...(record.spare ? { spare: record.spare } : {}),
    ...Object.fromEntries(
      record.kit.flatMap((k, i) => (k.found === undefined ? [] : [[`kit-${i}`, `${k.found}`]])),
    ),
    ...Object.fromEntries(
      hire.people
        .filter((p) => record.drivers.includes(p.name))
        .map((p) => [`driver-${p.id}`, "yes"]),
    ),
    "driver-other": record.drivers.filter((d) => !known.has(d)).join(", "),
    ...Object.fromEntries(record.points.map((id) => [`point-${id}`, "yes"])),
    ...Object.fromEntries(
      record.faults.flatMap((f, i) => [
        [`fault-${i + 1}`, f.title],
        [`fault-${i + 1}-severity`, f.severity],
      ]),
    ),
    ...Object.fromEntries(record.photos.flatMap((p) => (p.mark ? [[`mark-${p.id}`, p.mark]] : []))),
    ...Object.fromEntries(
      record.photos.filter((p) => p.side === "chat").map((p) => [`chat-${p.id}`, "yes"]),
    ),
    ...Object.fromEntries(out.map((p) => [`drop-${p.id}`, "yes"])),
    ...(record.remark ? { remark: record.remark } : {}),
    ...(record.hirerRemark ? { "hirer-remark": record.hirerRemark } : {}),
    ...(record.keyBox ? { way: "key-box" } : {}),
  };
}
