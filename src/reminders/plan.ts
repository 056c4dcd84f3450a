/** The reminders of a hire: which rule is due when, and when its message goes out. Pure. */
import { almanac, type Instant, instantOf, minuteMs } from "../calendar.js";
import type { VanType } from "../knowledge/placeholders.js";
import type { RemindersFile, Rule, Want } from "../knowledge/schema.js";
import { byDistance, type Odometer } from "./kilometres.js";
import { arrange } from "./messages.js";
import {
  comesAfterReturn,
  countsFromReturn,
  mayBeDue,
  type Occasion,
  occasions,
  type Span,
  spanOf,
} from "./occasions.js";

/** A reminder that went out, and once more at `againAt`. Without a key (plan files) the rule and its due tell which one it was. */
export type Sent = {
  rule: string;
  due: Instant;
  key?: string;
  sentAt?: Instant;
  againAt?: Instant;
};

/** What the plan is made from. Instants UTC; `zone` an IANA name for all local times. */
export type HireFacts = {
  pickupAt: Instant;
  returnAt: Instant;
  zone: string;
  readings?: readonly Odometer[];
  sent?: readonly Sent[];
  /** When the return record was made. */
  returnRecordAt?: Instant;
  /** What is due before is sent at once where it still helps, else left out. Absent: the whole plan, whatever the time. */
  now?: Instant;
};

/** One rule at one occurrence. Rows of one message share `sendAt`. */
export type Planned = {
  /** Rule and occurrence; for rules counted from the return also the return: what was sent under it never goes again. */
  key: string;
  /** The same without any date, for calendars: a changed return moves the event. */
  uid: string;
  rule: string;
  /** The rule's own time, before merging. */
  due: Instant;
  title: string;
  text: string;
  needsReply: boolean;
  wants: readonly Want[];
  safety: boolean;
  sendAt: Instant;
  /** After this instant it is of no help and must not be sent. */
  helpsUntil: Instant;
};

type Told = Pick<Planned, "title" | "text" | "wants">;
type Row = Omit<Planned, "sendAt"> & { alone: boolean; order: number };

/** The rule's words for a van: the first variant whose feature it has, completed by the rule's own. */
export function wordsFor(rule: Rule, has: readonly string[]): Told {
  const own = rule.variants.find((v) => has.includes(v.when));
  return {
    title: own?.title ?? rule.title,
    text: own?.text ?? rule.text,
    wants: own?.reading ?? rule.reading,
  };
}

/**
 * When a row stops being of help: so long after it was due, with words that name the day at the end of that local
 * day, and never past the return or its record unless it comes after that.
 */
function helpsUntil(rule: Rule, due: Instant, span: Span): Instant {
  const { almanac: days } = span;
  const midnight = rule.namesDay ? days.at(days.dayNumber(due) + 1, 0) : Number.POSITIVE_INFINITY;
  const until = instantOf(Math.min(due + rule.helpsMin * minuteMs, midnight));
  if (comesAfterReturn(rule)) return until;
  return instantOf(Math.min(until, span.returnAt, span.returnRecordAt ?? until));
}

/** Whether a sent reminder was this occurrence. A rule that comes once a hire is known by its name alone. */
function wasSent(row: Row, rule: Rule, sent: readonly Sent[]): boolean {
  const single = row.key === row.rule && !countsFromReturn(rule);
  return sent.some((s) =>
    s.key === undefined
      ? s.rule === row.rule && (single || s.due === row.due)
      : s.key === row.key || (s.rule === row.rule && s.due === row.due),
  );
}

/** The oil checks of all rules, since a check by days also ends the distance counted so far. */
function plannedChecks(file: RemindersFile, span: Span, has: readonly string[]): Instant[] {
  return Object.values(file.rules)
    .filter((rule) => wordsFor(rule, has).wants.includes("oil"))
    .flatMap((rule) => occasions(rule, span, has, file).map((o) => o.due));
}

function distanceOccasions(
  rule: Rule,
  span: Span,
  has: readonly string[],
  file: RemindersFile,
  readings: readonly Odometer[],
): Occasion[] {
  if (rule.everyKm === undefined || rule.when.kind !== "day" || readings.length < 2) return [];
  if (rule.only.features && !rule.only.features.some((f) => has.includes(f))) return [];
  const checks = plannedChecks(file, span, has);
  return byDistance(rule.everyKm, rule.when.at, readings, checks, span)
    .filter(({ due }) => mayBeDue(rule, due, span))
    .map(({ since, due }) => ({ occasion: `km-after-day-${since - span.pickupDay}`, due }));
}

/**
 * The reminders of a hire, sorted by `due` (at the same instant in the order of the table), without those
 * already sent. Times as the table in DESIGN section 6 gives them; where it can be read in two ways:
 * - Night: the hire's nights are its return date less its pick-up date, both local.
 * - Window: 08:00 and 20:30 themselves are inside.
 * - `welcome`: "at night" is outside the window; after 20:30 it waits for 08:00 next day, and is left out if
 *   the hire has ended by then.
 * - "Less than 4 h after pick-up, skipped" belongs to "moved into the window", so to the exhaust fluid and the
 *   48 h and 24 h rules alone; 4 h is elapsed time.
 * - "24 h or more before return" is by the wall clock as "24 h before" is: at or before the return's local time
 *   on the day before.
 * - `return-morning`: "inside the window" is looked at on the clock of that instant; "the evening before" is
 *   the day before the return's date, also for a return shortly after midnight.
 * - "Before return", and everything else but `late` and `after`: strictly before; nothing from the return on.
 * - `clock-change`: the change lies after pick-up and before return; the evening is the last 19:00 before it.
 *   A pick-up after that 19:00 gets none, since nothing is due before pick-up.
 * - `frost`: a pick-up after 17:00 has no day 0; days 5, 10 … stay where they are.
 * - `late` is planned while no return record is known; its due is 30 min after return at any hour, and outside
 *   the window it is sent at the next start of the window. `after` is planned from the return record alone,
 *   and a return record ends everything that was due later.
 * - 1,600 km: see byDistance. Rows by distance are rows of `oil-check`, at least 24 h before return.
 * - `due` never moves for merging or the daily cap; `sendAt` does (see arrange). `late` and `after` are never
 *   merged. With `now`, rows that no longer help are left out and the others are sent from `now` on.
 * A return at or before pick-up plans nothing. @throws TIME_WRONG on an unknown zone
 */
export function plan(hire: HireFacts, van: Pick<VanType, "has">, file: RemindersFile): Planned[] {
  if (hire.returnAt <= hire.pickupAt) return [];
  const until =
    hire.returnRecordAt !== undefined && hire.returnRecordAt > hire.returnAt
      ? hire.returnRecordAt
      : hire.returnAt;
  const days = almanac(hire.pickupAt, until, hire.zone);
  const span = spanOf(hire, days);
  const sent = hire.sent ?? [];
  const rows: Row[] = [];
  for (const [order, [id, rule]] of Object.entries(file.rules).entries()) {
    const found = occasions(rule, span, van.has, file);
    const taken = new Set(found.map((o) => o.due));
    found.push(
      ...distanceOccasions(rule, span, van.has, file, hire.readings ?? []).filter(
        (o) => !taken.has(o.due),
      ),
    );
    for (const [i, { occasion, due }] of found.entries()) {
      const returns = countsFromReturn(rule)
        ? `@${new Date(hire.returnAt).toISOString().slice(0, 19)}Z`
        : "";
      const dated = rule.when.kind === "evening-before-clock-change";
      const row: Row = {
        key: `${id}${occasion ? `:${occasion}` : ""}${returns}`,
        uid: occasion ? `${id}-${dated ? i + 1 : occasion}` : id,
        rule: id,
        due,
        ...wordsFor(rule, van.has),
        needsReply: rule.needsReply,
        safety: rule.safety,
        helpsUntil: helpsUntil(rule, due, span),
        alone: comesAfterReturn(rule),
        order,
      };
      if (!wasSent(row, rule, sent)) rows.push(row);
    }
  }
  rows.sort((a, b) => a.due - b.due || a.order - b.order);
  const facts = {
    almanac: days,
    file,
    sentAt: sent.flatMap((s) => [
      s.sentAt ?? s.due,
      ...(s.againAt === undefined ? [] : [s.againAt]),
    ]),
    ...(hire.now === undefined ? {} : { now: hire.now }),
  };
  return arrange(rows, facts)
    .sort((a, b) => a.due - b.due || a.order - b.order)
    .map(({ alone: _alone, order: _order, ...row }) => row);
}
