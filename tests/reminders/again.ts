/**
 * DESIGN section 6 calculated a second time, for comparison: another library (Temporal), no rule data, one local
 * day after the other instead of one rule after the other. Nothing of src/ but types is used here.
 */
import { Temporal } from "temporal-polyfill";

export type Again = { rule: string; due: number; needsReply: boolean };
export type HireAgain = {
  pickupAt: number;
  returnAt: number;
  zone: string;
  has: readonly string[];
};

type Zoned = Temporal.ZonedDateTime;
const at = (date: Temporal.PlainDate, clock: string, zone: string): Zoned =>
  // "compatible": a hole moves the clock forward, of a double the first counts.
  date
    .toPlainDateTime(Temporal.PlainTime.from(clock))
    .toZonedDateTime(zone, { disambiguation: "compatible" });
const clock = (z: Zoned): string => z.toPlainTime().toString({ smallestUnit: "minute" });
const before = (z: Zoned, days: number): Zoned =>
  z
    .toPlainDate()
    .subtract({ days })
    .toPlainDateTime(z.toPlainTime())
    .toZonedDateTime(z.timeZoneId, { disambiguation: "compatible" });

/** Moved into the window of 08:00 to 20:30; undefined when that is less than 4 hours after pick-up. */
function moved(z: Zoned, pickup: Zoned): Zoned | undefined {
  const local = clock(z);
  const to = local < "08:00" ? "08:00" : local > "20:30" ? "20:30" : undefined;
  const inside = to === undefined ? z : at(z.toPlainDate(), to, z.timeZoneId);
  return inside.epochMilliseconds - pickup.epochMilliseconds < 4 * 3_600_000 ? undefined : inside;
}

/** Every row of the table for a hire without readings, without a return record, and with nothing sent. */
export function again({ pickupAt, returnAt, zone, has }: HireAgain): Again[] {
  const pickup = Temporal.Instant.fromEpochMilliseconds(pickupAt).toZonedDateTimeISO(zone);
  const back = Temporal.Instant.fromEpochMilliseconds(returnAt).toZonedDateTimeISO(zone);
  const nights = pickup.toPlainDate().until(back.toPlainDate(), { largestUnit: "days" }).days;
  const rows: Again[] = [];
  const add = (rule: string, z: Zoned | undefined, needsReply: boolean): void => {
    if (!z) return;
    const due = z.epochMilliseconds;
    if (due < pickupAt || (due >= returnAt && rule !== "late")) return;
    rows.push({ rule, due, needsReply });
  };
  const van = (feature: string): boolean => has.includes(feature);

  const local = clock(pickup);
  add(
    "welcome",
    local < "08:00"
      ? at(pickup.toPlainDate(), "08:00", zone)
      : local > "20:30"
        ? at(pickup.toPlainDate().add({ days: 1 }), "08:00", zone)
        : pickup,
    true,
  );

  const dayBefore = before(back, 1);
  for (let day = 0; day <= nights; day++) {
    const date = pickup.toPlainDate().add({ days: day });
    if (day === 0 && local < "16:30" && nights >= 1)
      add("first-evening", at(date, "17:30", zone), false);
    if (day === 3 && nights >= 5) add("first-check", at(date, "08:00", zone), true);
    if (day > 0 && day % 7 === 0) {
      const due = at(date, "08:00", zone);
      if (Temporal.ZonedDateTime.compare(due, dayBefore) <= 0) {
        if (van("engine")) add("oil-check", due, true);
        add("tyre-check", due, true);
      }
    }
    if (day > 0 && day % 4 === 0 && nights >= 6 && (van("plumbed-water") || van("fixed-gas")))
      add("water-gas-waste", at(date, "18:00", zone), false);
    if (
      day % 5 === 0 &&
      nights >= 1 &&
      van("plumbed-water") &&
      [11, 12, 1, 2, 3].includes(date.month)
    )
      add("frost", at(date, "17:00", zone), false);
  }

  if (nights >= 3 && van("exhaust-fluid-tank"))
    add("exhaust-fluid", moved(before(back, 2), pickup), true);
  if (nights >= 4) add("return-48h", moved(before(back, 2), pickup), false);
  if (nights >= 2) add("return-24h", moved(dayBefore, pickup), true);
  if (nights >= 1) {
    const three = back.subtract({ hours: 3 });
    const inside = clock(three) >= "08:00" && clock(three) <= "20:30";
    add(
      "return-morning",
      inside ? three : at(back.toPlainDate().subtract({ days: 1 }), "19:00", zone),
      false,
    );
  }
  for (
    let change = pickup.getTimeZoneTransition("next");
    change && change.epochMilliseconds < returnAt;
    change = change.getTimeZoneTransition("next")
  ) {
    const eve = change.subtract({ milliseconds: 1 });
    const same = at(eve.toPlainDate(), "19:00", zone);
    add(
      "clock-change",
      same.epochMilliseconds < change.epochMilliseconds
        ? same
        : at(eve.toPlainDate().subtract({ days: 1 }), "19:00", zone),
      false,
    );
  }
  add("late", back.add({ minutes: 30 }), true);
  return rows.sort((a, b) => a.due - b.due || (a.rule < b.rule ? -1 : 1));
}
