/** Takes marks, levels, figures and states out of one piece of a reply. Pure but for the Found that it fills. */
import type { Instant } from "../calendar.js";
import type { RemindersFile, Want } from "../knowledge/schema.js";
import type { OilMark, Reading } from "../post.js";
import { type ArrivalTime, arrivalIn } from "./arrival.js";
import { levels } from "./buttons.js";
import {
  type Distance,
  type Doubt,
  type Doubted,
  distances,
  doubtAbout,
  inKm,
  isAgain,
  type Unit,
} from "./distance.js";
import { oilMark, okOrNot, onlyDone, tankShare } from "./marks.js";
import { onlyLevel, onlyMark, onlyTime, tellsArrival } from "./own-words.js";

/** What a reply is read against. */
export type ReadFacts = {
  /** The region's unit; one that the hirer gives wins. */
  distanceUnit: Unit;
  /** When the words were written. */
  at: Instant;
  /** The last odometer reading, for what cannot be. */
  last?: { at: Instant; odometerKm?: number };
  /** An odometer that was told before and asked about. */
  doubted?: Doubted;
  /** The firm's place, where vans come back to. */
  base?: string;
  /** Somebody else asked something since: only what its own word names counts. */
  onlyNamed?: boolean;
  file: RemindersFile;
};

/** What a piece may be about: what was asked for, and fuel, which hirers tell besides. */
export type Target = Want | "fuel";

/** What goes wrong with tyres alone. */
const tyreWords =
  /\b(?:flat|bulg\w*|nails?|screws?|bald|worn|tread|soft|punctur\w*|deflat\w*|rubbing)\b/;

/** The parts of the answer found so far. */
export type Found = {
  reading: Partial<Reading>;
  states: { safety?: "ok"; tyres?: "ok" | "not-ok"; coolant?: "ok" | "not-ok" };
  arrival?: ArrivalTime;
  doubts: Doubt[];
  got: Set<Target>;
  unclear: Set<Want>;
  /** The odometer that is asked about, and one that was told again. */
  doubted?: Doubted;
  again?: Doubted;
  /** Which piece is being read, and which one the oil's mark stood in. */
  piece: number;
  oilPiece?: number;
};

/** An odometer reading, or the doubt about it, or what was told again after it; a figure counts from four digits on unless `named`. */
export function odometer(found: Found, piece: string, facts: ReadFacts, named: boolean): boolean {
  const all = distances(piece, facts.distanceUnit).filter((d) => named || d.value >= 1000);
  const best = all.some((d) => d.said) ? all.filter((d) => d.said) : all;
  const last =
    facts.last?.odometerKm === undefined
      ? undefined
      : { at: facts.last.at, odometerKm: facts.last.odometerKm };
  const first: Distance | undefined =
    best.find((d) => doubtAbout(d, facts.at, last) === undefined) ?? best[0];
  if (!first) return false;
  const likely = best.filter((d) => doubtAbout(d, facts.at, last) === undefined);
  const several = new Set(likely.map(inKm)).size > 1;
  const doubt: Doubt | undefined = several
    ? {
        id: "odometer-which",
        words: { said: likely.map((d) => d.value.toLocaleString("en-GB")).join(", ") },
      }
    : doubtAbout(first, facts.at, last);
  const { doubted } = facts;
  if (doubt && doubted && !several && isAgain(first, doubted)) {
    found.again = doubted;
    found.got.add("odometer");
  } else if (doubt) {
    found.doubts.push(doubt);
    found.unclear.add("odometer");
    const { value, unit, said } = first;
    if (!several) found.doubted = { value, unit, said, doubt: doubt.id };
  } else {
    found.reading.odometerKm = inKm(first);
    found.got.add("odometer");
  }
  return true;
}

/** Puts a value into the found parts; false when the piece holds none for this target. */
export function take(
  found: Found,
  target: Target,
  piece: string,
  facts: ReadFacts,
  named: boolean,
): boolean {
  const unclear = (want: Want): true => {
    found.unclear.add(want);
    return true;
  };
  switch (target) {
    case "oil": {
      const mark = oilMark(piece);
      if (mark === undefined) return false;
      if (mark === "unclear") return unclear("oil");
      found.reading.oil = mark;
      found.oilPiece = found.piece;
      break;
    }
    case "fluid":
    case "fuel": {
      const share = tankShare(piece);
      if (share === undefined) return false;
      if (share === "unclear") return target === "fluid" ? unclear("fluid") : true;
      found.reading[target] = Math.round(share * 1000) / 1000;
      break;
    }
    case "tyres":
    case "coolant": {
      const state = okOrNot(piece);
      if (state === undefined) return false;
      found.states[target] = state;
      break;
    }
    case "safety": {
      // "Ok" or "sound" among other words confirms nothing.
      if (!onlyDone(piece)) return false;
      found.states.safety = "ok";
      break;
    }
    case "arrival": {
      const time = arrivalIn(piece);
      if (time === undefined) return false;
      if (time === "unclear") return unclear("arrival");
      found.arrival = time;
      break;
    }
    case "odometer":
      return odometer(found, piece, facts, named);
    default: {
      const never: never = target;
      return never;
    }
  }
  found.got.add(target);
  return true;
}

/** Marks of the oil, the worst last. */
const worse: readonly OilMark[] = ["max", "between", "low", "above-max", "min", "below-min"];
/** Where on the van a tyre is. */
const corner = /\b(?:front|rear|back|left|right|(?:near|off)?side|driver\S*|passenger\S*|ones?)\b/;

/**
 * A second mark right after that of the oil: one of now counts ("was between, now below the minimum"); else the worse
 * of the two, and it is asked about. False where it may be of another thing.
 */
function oilAgain(found: Found, piece: string): boolean {
  if (found.oilPiece !== found.piece - 1 || tyreWords.test(piece) || corner.test(piece))
    return false;
  const [mark, first] = [oilMark(piece), found.reading.oil];
  if (mark === undefined || first === undefined || mark === first) return false;
  const isNow = /\bnow\b/.test(piece);
  // "Nothing low", "all between".
  if (!isNow && okOrNot(piece) === "ok") return false;
  found.oilPiece = found.piece;
  if (mark !== "unclear" && (isNow || worse.indexOf(mark) > worse.indexOf(first)))
    found.reading.oil = mark;
  if (isNow && mark !== "unclear") return true;
  found.unclear.add("oil");
  found.got.delete("oil");
  return isNow;
}

/**
 * A piece that names no matter: what is still wanted takes it, each value by the first that can read it. False where
 * it may tell something besides: then it is left over as well.
 */
export function takeUnnamed(
  found: Found,
  piece: string,
  wants: readonly Want[],
  facts: ReadFacts,
  asks: boolean,
): boolean {
  const comes = (w: Want) => w === "arrival" && tellsArrival(piece, facts.base);
  const open = wants.filter((w) => !found.got.has(w) && (!facts.onlyNamed || comes(w)));
  let taken = false;
  const isMark = onlyMark(piece);
  const isFigure = open.length === 1 && isMark;
  if (open.includes("odometer") && odometer(found, piece, facts, isFigure)) taken = true;
  // A number among other words is hardly a time of arrival: "engine cut out at 9".
  const isTime = onlyTime(piece);
  if (open.includes("arrival") && (isTime || tellsArrival(piece, facts.base)))
    if (take(found, "arrival", piece, facts, false)) return isTime;
  // With both wanted, "half" alone is a level; a mark needs its own word.
  const level =
    open.includes("fluid") &&
    onlyLevel(piece) &&
    !/\b(?:marks?|lines?|min|max|minimum|maximum|between|top|bottom|stick)\b/.test(piece);
  if (level && take(found, "fluid", piece, facts, false)) return true;
  // Of another thing it says nothing here: "gas bottle is empty" is no oil mark, "battery is low" no tyre.
  if (!isMark) return taken;
  if (open.includes("oil") && take(found, "oil", piece, facts, false)) return true;
  if (oilAgain(found, piece)) return true;
  // "Ok" beside a question is only a way to begin.
  if (asks) return taken;
  const both = open.includes("tyres") && open.includes("coolant") && okOrNot(piece) === "not-ok";
  if (both && !tyreWords.test(piece)) {
    found.unclear.add("tyres").add("coolant");
    return true;
  }
  const states = open.filter((w) => w === "tyres" || (w === "coolant" && !both) || w === "safety");
  for (const want of states) if (take(found, want, piece, facts, false)) taken = true;
  return taken || (!facts.onlyNamed && (onlyDone(piece) || okOrNot(piece) === "ok"));
}

/** A button that was pressed. */
export function press(found: Found, want: Want, value: string): void {
  found.got.add(want);
  if (want === "oil") found.reading.oil = value as OilMark;
  else if (want === "fluid") found.reading.fluid = levels[value] ?? 0;
  else if (want === "arrival") found.arrival = { onTime: true };
  else if (want === "safety") found.states.safety = "ok";
  else if (want === "tyres" || want === "coolant")
    found.states[want] = value === "ok" ? "ok" : "not-ok";
}
