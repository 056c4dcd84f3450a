/** A change of the roster as the desk asks for it: what is wrong with it, what it makes of the roster, and how it reads. Pure. */
import {
  addDays,
  atWall,
  clockOf,
  dayOf,
  type Instant,
  readIso,
  readLocal,
  sayDay,
} from "../calendar.js";
import { Fault } from "../faults.js";
import type { Exception, Roster, WeeklyShift } from "../knowledge/firm/roster.js";
import type { FirmFile } from "../knowledge/schema.js";
import { sameJson } from "../same-json.js";
import { nameIn } from "./reach.js";
import { momentOf, shiftsIn } from "./shifts.js";

export type RosterOp =
  | { op: "weekly"; weekly: WeeklyShift[]; fallback: string }
  | { op: "add"; exception: Exception }
  | { op: "remove"; exception: Exception };

/** What is over for so many days is taken out at the next change; every version stays in the store. */
const keptDays = 31;

/** When an exception is over. */
export function endOf(firm: FirmFile, e: Exception): Instant {
  if (e.kind === "away") return momentOf(e.to, firm.zone);
  const last = e.kind === "swap" && e.back && e.back > e.on ? e.back : e.on;
  // A shift of that day may run into the next one.
  return atWall(addDays(last, e.kind === "shift" && e.to > e.from ? 1 : 2), "00:00", firm.zone);
}

/** The roster after a change; exceptions in the order in which they were made: the latest word counts. */
export function changed(firm: FirmFile, op: RosterOp, now: Instant): Roster {
  const { roster, zone } = firm;
  if (op.op === "weekly") return { ...roster, weekly: op.weekly, fallback: op.fallback };
  const others = roster.exceptions.filter((e) => !sameJson(e, op.exception));
  const since = atWall(addDays(dayOf(now, zone), -keptDays), "00:00", zone);
  const exceptions = (op.op === "add" ? [...others, op.exception] : others).filter(
    (e) => endOf(firm, e) > since,
  );
  return { ...roster, exceptions };
}

const staffOf = (firm: FirmFile): string[] =>
  Object.keys(firm.contacts).filter((id) => firm.contacts[id]?.kind === "staff");

/** Whether a moment exists, or why not. */
function momentWrong(moment: string, zone: string): string | undefined {
  try {
    if (/(Z|[+-]\d{2}:\d{2})$/.test(moment)) readIso(moment);
    else readLocal(moment, zone);
    return undefined;
  } catch (error) {
    if (error instanceof Fault) return `${error.message}.`;
    throw error;
  }
}

function exceptionWrong(firm: FirmFile, e: Exception, now: Instant): string | undefined {
  const { zone } = firm;
  const name = (id: string) => nameIn(firm, id);
  const other = e.kind === "away" ? e.instead : e.kind === "swap" ? e.with : undefined;
  for (const id of [e.contact, ...(other === undefined ? [] : [other])])
    if (!staffOf(firm).includes(id))
      return `Nobody of staff is called "${id}"; ${staffOf(firm).map(name).join(", ")} are.`;
  if (e.contact === other) return `${name(e.contact)} stands on both sides: choose two people.`;
  if (e.kind === "away") {
    const wrong = momentWrong(e.from, zone) ?? momentWrong(e.to, zone);
    if (wrong) return wrong;
    if (momentOf(e.to, zone) <= momentOf(e.from, zone)) return "The end is not after the start.";
  }
  if (endOf(firm, e) <= now) return "That is over already: give a time that is still to come.";
  if (e.kind === "shift") {
    // A clock that the change of the clocks skips would make the shift begin or end an hour later.
    const end = e.to > e.from ? e.on : addDays(e.on, 1);
    return momentWrong(`${e.on}T${e.from}`, zone) ?? momentWrong(`${end}T${e.to}`, zone);
  }
  if (e.kind !== "swap") return undefined;
  for (const [who, day] of [[e.contact, e.on], ...(e.back ? [[e.with, e.back]] : [])] as [
    string,
    string,
  ][]) {
    const from = atWall(day, "00:00", zone);
    const starts = shiftsIn(firm, from, atWall(addDays(day, 1), "00:00", zone)).some(
      (s) => s.contact === who && s.from >= from,
    );
    if (!starts) return `${name(who)} has no shift that starts on ${sayDay(day)}.`;
  }
  return undefined;
}

/** What is wrong with a change, and what would be right; undefined: nothing. */
export function changeWrong(firm: FirmFile, op: RosterOp, now: Instant): string | undefined {
  if (op.op === "add") {
    if (firm.roster.exceptions.some((e) => sameJson(e, op.exception)))
      return "That stands there already.";
    return exceptionWrong(firm, op.exception, now);
  }
  if (op.op === "remove")
    return firm.roster.exceptions.some((e) => sameJson(e, op.exception))
      ? undefined
      : "That is not on the roster any more.";
  const known = staffOf(firm);
  const stranger = [...op.weekly.map((s) => s.contact), op.fallback].find(
    (id) => !known.includes(id),
  );
  return stranger === undefined ? undefined : `Nobody of staff is called "${stranger}".`;
}

const whys = {
  sick: "sick",
  holiday: "holiday",
  "went-off": "went off early",
  "no-answer": "did not answer",
  other: "away",
} as const;
type Why = keyof typeof whys;
/** The reasons that can be chosen, in words. */
export const awayWhys: readonly (readonly [Why, string])[] = [
  ["sick", whys.sick],
  ["holiday", whys.holiday],
  ["other", "something else"],
];

/** What differs from the pattern, in a line. */
export function sayException(firm: FirmFile, e: Exception): string {
  const name = (id: string) => nameIn(firm, id);
  switch (e.kind) {
    case "shift":
      return `${name(e.contact)} on ${sayDay(e.on)}, ${e.from} to ${e.to}${e.to <= e.from ? " next day" : ""}, ${e.beside ? "beside" : "in place of"} whoever the pattern names`;
    case "away": {
      const at = (moment: string) => {
        const t = momentOf(moment, firm.zone);
        return `${sayDay(dayOf(t, firm.zone))} ${clockOf(t, firm.zone)}`;
      };
      return `${name(e.contact)} away (${whys[e.why]}) from ${at(e.from)} to ${at(e.to)}, ${e.instead ? `${name(e.instead)} instead` : "nobody instead"}`;
    }
    case "swap":
      return `${name(e.with)} does what ${name(e.contact)} starts on ${sayDay(e.on)}${e.back ? `, and ${name(e.contact)} what ${name(e.with)} starts on ${sayDay(e.back)}` : ""}`;
    default:
      return e satisfies never;
  }
}

/** A shift of the pattern, in a line: "Morag Mon Tue Wed Thu 08:00 to 20:00". */
function sayWeekly(firm: FirmFile, s: WeeklyShift): string {
  const days = s.days.map((d) => `${d.charAt(0).toUpperCase()}${d.slice(1)}`).join(" ");
  return `${nameIn(firm, s.contact)} ${days} ${s.from} to ${s.to}${s.to <= s.from ? " next day" : ""}`;
}

/** A change in words, for the preview and the trip log. */
export function sayChange(firm: FirmFile, op: RosterOp): string {
  if (op.op === "add") return `adds: ${sayException(firm, op.exception)}`;
  if (op.op === "remove") return `removes: ${sayException(firm, op.exception)}`;
  const { weekly, fallback } = firm.roster;
  const gone = weekly.filter((s) => !op.weekly.some((n) => sameJson(s, n)));
  const come = op.weekly.filter((n) => !weekly.some((s) => sameJson(s, n)));
  const parts = [
    ...(gone.length > 0
      ? [`the weekly pattern loses ${gone.map((s) => sayWeekly(firm, s)).join("; ")}`]
      : []),
    ...(come.length > 0
      ? [`the weekly pattern gets ${come.map((s) => sayWeekly(firm, s)).join("; ")}`]
      : []),
    ...(fallback === op.fallback
      ? []
      : [`${nameIn(firm, op.fallback)} is alerted when nobody is on`]),
  ];
  return parts.join("; ") || "changes nothing";
}
