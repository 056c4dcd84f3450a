/**
 * Where each van stands between two hires: back → cleaned → fluids and gas → checked → out, who is late and
 * whom that hits. Computed from hires, records, faults, marks and the instant; nothing of it is stored. Pure.
 */
import { addDays, atWall, dayOf, type Instant, instantOf, minuteMs } from "../calendar.js";
import { type Block, blocksOf, type NotBack } from "./blocks.js";
import { newVan, type ReadyStep, type Van } from "./van.js";

/** In the order in which they are done. "out" is the next hire's pick-up record, "back" the return record. */
const readySteps: readonly ReadyStep[] = ["back", "cleaned", "filled", "checked", "out"];
/** Usual minutes of a step, to tell whether the time that is left will do. Common practice, no source. */
const usualMin: Readonly<Record<ReadyStep, number>> = {
  back: 20,
  cleaned: 90,
  filled: 20,
  checked: 20,
  out: 30,
};

/** By whom (a contact's id; empty: nobody wrote it down) and when. */
type Done = { at: Instant; by: string };
/** A booked hire as the board sees it. */
export type HireOnBoard = {
  id: string;
  surname: string;
  registration: string;
  type: string;
  pickupAt: Instant;
  returnAt: Instant;
  /** Since when it has this van, where another one was given up for it. */
  vanSince?: Instant;
  /** The pick-up record, with the van that it is of. */
  pickup?: Done & { registration: string };
  /** The return record. */
  back?: Done;
  /** When its hirers say that they bring the van back, or that it is. */
  says?: Said;
};
type Said = { at: Instant; isBack?: true };

/** The time that one van spends, or is to spend, with one hire. */
export type Stint = {
  hire: string;
  surname: string;
  from: Instant;
  to: Instant;
  out?: Done;
  back?: Done;
  says?: Said;
  /** Given up on the road for another van: no return record will tell when it is back. */
  swapped?: true;
  /** Where it was given up, in words. */
  place?: string;
};

/** One van between the hire before and the next one. */
export type Changeover = {
  registration: string;
  type: string;
  before?: Stint;
  next?: Stint;
  /** Without "back" where there is no hire before, without "out" where there is no next one. */
  steps: readonly { step: ReadyStep; done?: Done }[];
  /** The first step that nobody did. */
  now?: ReadyStep;
  /** The hire before should be back for so many minutes. */
  lateMin?: number;
  /** Minutes to the next pick-up; negative: it has passed and the van is not out. */
  leftMin?: number;
  /** The steps still to be done usually take longer than the time that is left: the next hirers will wait. */
  hits: boolean;
  blocks: readonly Block[];
};

function stintOf(h: HireOnBoard): Stint {
  const own = h.pickup?.registration === h.registration ? h.pickup : undefined;
  const out = own ?? (h.vanSince === undefined ? undefined : { at: h.vanSince, by: "" });
  return {
    ...{ hire: h.id, surname: h.surname, from: h.vanSince ?? h.pickupAt, to: h.returnAt },
    ...(out ? { out: { at: out.at, by: out.by } } : {}),
    ...(h.back ? { back: h.back } : {}),
    ...(h.says ? { says: h.says } : {}),
  };
}

/** A van's hires in order of time, with the one that gave it up. */
function stintsOf(van: Van, hires: readonly HireOnBoard[]): Stint[] {
  const stints = hires.map(stintOf);
  const given = van.givenUp;
  if (given) {
    const { hire, surname, from, at, place } = given;
    const out = { at: from, by: "" };
    const where = place === undefined ? {} : { place };
    stints.push({ hire, surname, from, to: at, out, swapped: true, ...where });
  }
  return stints.sort((a, b) => a.from - b.from || a.to - b.to);
}

function stepsOf(van: Van, before: Stint | undefined, next: Stint | undefined) {
  // Who did it first has done it.
  const marked = (step: ReadyStep) =>
    (van.ready ?? []).find(
      (m) =>
        m.step === step &&
        m.after === (before?.hire ?? "") &&
        m.at >= (before?.from ?? Number.NEGATIVE_INFINITY),
    );
  const doneBy: Record<ReadyStep, Done | undefined> = {
    back: before?.back ?? marked("back"),
    cleaned: marked("cleaned"),
    filled: marked("filled"),
    checked: marked("checked"),
    out: next?.out,
  };
  return readySteps
    .filter((step) => (step !== "back" || before) && (step !== "out" || next))
    .map((step) => {
      const done = doneBy[step];
      return done ? { step, done: { at: done.at, by: done.by } } : { step };
    });
}

function changeover(
  van: Van,
  [before, next]: readonly [Stint | undefined, Stint | undefined],
  blocks: readonly Block[],
  at: Instant,
): Changeover {
  const steps = stepsOf(van, before, next);
  const open = steps.filter((s) => !s.done);
  const isOut = next?.out !== undefined;
  const leftMin = next && !isOut ? Math.floor((next.from - at) / minuteMs) : undefined;
  const needMin = open.reduce((sum, s) => sum + usualMin[s.step], 0);
  const isMissing = before && !steps[0]?.done && !isOut;
  const lateMin = isMissing ? Math.floor((at - before.to) / minuteMs) : 0;
  // Before the van is there nothing of it can be done.
  const from = isMissing ? Math.max(at, before.says?.at ?? before.to) : at;
  return {
    ...{ registration: van.registration, type: van.type, steps, blocks: isOut ? [] : blocks },
    ...(before ? { before } : {}),
    ...(next ? { next } : {}),
    ...(open[0] && !isOut ? { now: open[0].step } : {}),
    ...(lateMin > 0 ? { lateMin } : {}),
    ...(leftMin === undefined ? {} : { leftMin }),
    hits: next !== undefined && !isOut && (next.from - from) / minuteMs < needMin,
  };
}

/** So long after its time a pick-up without a record is no more prepared for: the record is what is owed. */
const pickupOverMs = 24 * 60 * minuteMs;

/** Whether a changeover belongs on the board of the local day that ends at `endsAt`. */
function isOfToday(c: Changeover, at: Instant, startsAt: Instant, endsAt: Instant): boolean {
  const { before, next, steps } = c;
  if (next?.out) return next.out.at >= startsAt && next.out.at < endsAt;
  if (next && (next.back || at >= next.from + pickupOverMs)) return false;
  if (next && next.from < endsAt) return true;
  const back = before && steps[0]?.done;
  if (before && !back) return before.to < endsAt;
  if (back && back.at >= startsAt) return true;
  return before !== undefined && steps.some((s) => s.step !== "out" && !s.done);
}

/** What is most pressing first: late, then by the next pick-up, then by the return; what went out today last. */
const order = (a: Changeover, b: Changeover): number => {
  const rank = (c: Changeover) => [
    c.next?.out ? 1 : 0,
    c.hits ? 0 : 1,
    c.next?.from ?? Number.POSITIVE_INFINITY,
    c.before?.to ?? 0,
  ];
  const [x, y] = [rank(a), rank(b)];
  for (const [i, value] of x.entries()) {
    const other = y[i] ?? 0;
    if (value !== other) return value < other ? -1 : 1;
  }
  return a.registration.localeCompare(b.registration);
};

/**
 * The board of the local day of `at` in the firm's zone: of each van the changeovers that are under way, due
 * today, or still owed from before; a van with two hires on one day has a line for each. A mark counts for the
 * hire after which it was made; what was given up on the road is to be made ready anew. Never throws.
 */
export function today(
  hires: readonly HireOnBoard[],
  care: ReadonlyMap<string, Van>,
  missing: ReadonlyMap<string, readonly NotBack[]>,
  at: Instant,
  zone: string,
): Changeover[] {
  const day = dayOf(at, zone);
  const startsAt = atWall(day, "00:00", zone);
  const endsAt = atWall(addDays(day, 1), "00:00", zone);
  const types = new Map(hires.map((h) => [h.registration, h.type]));
  for (const van of care.values())
    if (!types.has(van.registration)) types.set(van.registration, van.type);
  const lines = [...types].flatMap(([registration, type]) => {
    const van = { ...(care.get(registration) ?? newVan(registration, type)), type };
    const blocks = blocksOf(van, missing.get(registration) ?? []);
    const stints = stintsOf(
      van,
      hires.filter((h) => h.registration === registration),
    );
    const pairs = [undefined, ...stints].map((before, i) => [before, stints[i]] as const);
    return pairs
      .filter(([before, next]) => before || next)
      .map((pair) => changeover(van, pair, blocks, instantOf(at)))
      .filter((c) => isOfToday(c, at, startsAt, endsAt));
  });
  return lines.sort(order);
}
