/** When one rule is due for one hire: the table of DESIGN section 6, a rule at a time. Pure. */
import {
  type Almanac,
  after,
  dayText,
  hourMs,
  type Instant,
  instantOf,
  minutesOf,
} from "../calendar.js";
import type { RemindersFile, Rule } from "../knowledge/schema.js";

/** A hire as the rules see it, its local days and clocks worked out once. */
export type Span = {
  pickupAt: Instant;
  returnAt: Instant;
  /** The van's return record, where there is one. */
  returnRecordAt?: Instant;
  almanac: Almanac;
  pickupDay: number;
  returnDay: number;
  /** Local dates from pick-up to return: the number of nights. */
  nights: number;
};

/** One time at which a rule is due. `occasion`: empty where there is one a hire; never holds a time of return. */
export type Occasion = { occasion: string; due: Instant };

/** Rules counted from the return: their key carries the return, so that a changed hire gets them anew. */
export const countsFromReturn = (rule: Rule): boolean =>
  rule.when.kind === "days-before-return" ||
  rule.when.kind === "hours-before-return" ||
  rule.when.kind === "after-return";

/** Rules that come after the return; all others are of no help from the return on. */
export const comesAfterReturn = (rule: Rule): boolean =>
  rule.when.kind === "after-return" || rule.when.kind === "day-after-return-record";

/** Works out a hire's local days. */
export function spanOf(
  hire: { pickupAt: Instant; returnAt: Instant; returnRecordAt?: Instant },
  almanac: Almanac,
): Span {
  const pickupDay = almanac.dayNumber(hire.pickupAt);
  const returnDay = almanac.dayNumber(hire.returnAt);
  return {
    pickupAt: hire.pickupAt,
    returnAt: hire.returnAt,
    ...(hire.returnRecordAt === undefined ? {} : { returnRecordAt: hire.returnRecordAt }),
    almanac,
    pickupDay,
    returnDay,
    nights: returnDay - pickupDay,
  };
}

/** Every time at which the rule itself is due, its conditions not yet looked at. */
function times(rule: Rule, span: Span, file: RemindersFile): Occasion[] {
  const { almanac, pickupDay, returnDay, returnAt } = span;
  const from = minutesOf(file.window.from);
  const to = minutesOf(file.window.to);
  const once = (due: Instant): Occasion[] => [{ occasion: "", due }];
  const { when } = rule;
  switch (when.kind) {
    case "at-pickup": {
      const minute = almanac.minuteOf(span.pickupAt);
      if (minute < from) return once(almanac.at(pickupDay, from));
      return once(minute > to ? almanac.at(pickupDay + 1, from) : span.pickupAt);
    }
    case "day": {
      const found: Occasion[] = [];
      for (let day = when.day; day <= span.nights; day += when.every ?? Number.POSITIVE_INFINITY)
        found.push({
          occasion: when.every ? `day-${day}` : "",
          due: almanac.at(pickupDay + day, minutesOf(when.at)),
        });
      return found;
    }
    case "days-before-return": {
      const minute = Math.min(Math.max(almanac.minuteOf(returnAt), from), to);
      const due = almanac.at(returnDay - when.days, minute);
      return due < span.pickupAt + file.skipIfWithinHoursOfPickup * hourMs ? [] : once(due);
    }
    case "hours-before-return": {
      const due = instantOf(returnAt - when.hours * hourMs);
      const minute = almanac.minuteOf(due);
      if (minute >= from && minute <= to) return once(due);
      return once(almanac.at(returnDay - 1, minutesOf(when.elseEveningBefore)));
    }
    case "after-return":
      return once(after(returnAt, when.minutes));
    case "day-after-return-record":
      if (span.returnRecordAt === undefined) return [];
      return once(almanac.at(almanac.dayNumber(span.returnRecordAt) + 1, minutesOf(when.at)));
    case "evening-before-clock-change":
      return almanac.changes
        .filter((change) => change.at > span.pickupAt && change.at < returnAt)
        .map((change) => {
          const day = almanac.dayNumber(instantOf(change.at - 1));
          const sameDay = almanac.at(day, minutesOf(when.at));
          return {
            occasion: dayText(day),
            due: sameDay < change.at ? sameDay : almanac.at(day - 1, minutesOf(when.at)),
          };
        });
    default: {
      const never: never = when;
      return never;
    }
  }
}

/** The conditions of the rule that look at the hire and the van. */
function concernsHire(rule: Rule, span: Span, has: readonly string[]): boolean {
  const { only } = rule;
  if (only.minNights !== undefined && span.nights < only.minNights) return false;
  if (only.features && !only.features.some((feature) => has.includes(feature))) return false;
  if (
    only.pickupBefore !== undefined &&
    span.almanac.minuteOf(span.pickupAt) >= minutesOf(only.pickupBefore)
  )
    return false;
  return !(only.noReturnRecord && span.returnRecordAt !== undefined);
}

/** Whether a due far enough before the return, in local days: 1 is "24 h or more". */
function daysBeforeReturn(due: Instant, days: number, span: Span): boolean {
  return due <= span.almanac.at(span.returnDay - days, span.almanac.minuteOf(span.returnAt));
}

/** Whether one due time may stand: its own conditions, nothing before pick-up, nothing that the return has made useless. */
export function mayBeDue(rule: Rule, due: Instant, span: Span): boolean {
  const { only } = rule;
  if (due < span.pickupAt) return false;
  if (
    only.months &&
    !only.months.includes(Number(dayText(span.almanac.dayNumber(due)).slice(5, 7)))
  )
    return false;
  if (only.daysBeforeReturn !== undefined && !daysBeforeReturn(due, only.daysBeforeReturn, span))
    return false;
  if (comesAfterReturn(rule)) return true;
  return due < span.returnAt && (span.returnRecordAt === undefined || due <= span.returnRecordAt);
}

/** The times at which a rule is due for a hire of a van with these features, in order. */
export function occasions(
  rule: Rule,
  span: Span,
  has: readonly string[],
  file: RemindersFile,
): Occasion[] {
  if (!concernsHire(rule, span, has)) return [];
  return times(rule, span, file).filter(({ due }) => mayBeDue(rule, due, span));
}
