/** The records of a van's handover and return: kept on the hire, their readings with the others. Pure. */
import type { DeskAct, Reading } from "../../post.js";
import { sameJson } from "../../same-json.js";
import { worse } from "../../severity.js";
import type { Handover } from "../../vans/handover.js";
import { hearFrom } from "../callouts/silence.js";
import { followAnew } from "../care/replies.js";
import { tasksOver } from "../care/tasks.js";
import { replan } from "../care.js";
import type { HandoverRecord, Hire } from "../hire.js";
import { line, type Turn, tellAll } from "../turn.js";
import { tellKnownFaults, toVan } from "./known.js";

/** All records that a hire has, those of vans that it gave up too. */
export const recordsOf = ({ pickup, back, vansBefore = [] }: Hire): HandoverRecord[] =>
  [pickup, back, ...vansBefore.map((van) => van.pickup)].filter((record) => record !== undefined);

/** The values of a reading in a fixed order, to be compared. */
const valuesOf = ({ at, odometerKm, oil, fluid, fuel, note }: Reading) =>
  [at, odometerKm, oil, fluid, fuel, note] as const;

/** A corrected record's reading: of whoever read it first where its values stay, of whoever corrects it where they do not. */
const signed = (before: HandoverRecord | undefined, reading: Reading): Reading =>
  before && sameJson(valuesOf(before.reading), valuesOf(reading)) ? before.reading : reading;

/** Puts a record's reading among the others; a corrected record replaces what it had put there. */
function keepReading(turn: Turn, before: HandoverRecord | undefined, reading: Reading): void {
  const old = before?.reading;
  const at = turn.hire.readings.findIndex((r) => r.at === old?.at && r.by === old.by);
  if (at >= 0) turn.hire.readings[at] = reading;
  else turn.hire.readings.push(reading);
}

/** Faults that staff found stay on the van; one that an earlier version of the record names as bad is there already. */
function faultsFound(turn: Turn, before: HandoverRecord | undefined, handover: Handover): void {
  for (const { title, severity } of handover.faults) {
    const known = before?.faults.find((f) => f.title === title);
    if (!known || worse(severity, known.severity))
      toVan(turn, handover.by, { do: "note-fault", title, severity });
  }
}

/** The record as it is kept: one that is corrected stays of whoever made it, and of then. */
function keptAs(
  { now }: Turn,
  before: HandoverRecord | undefined,
  handover: Handover,
  reading: Reading,
): HandoverRecord {
  if (!before) return { ...handover, at: now, reading };
  const { at, by } = before;
  return { ...handover, by, at, reading, corrected: { at: now, by: handover.by } };
}

/** The van went out: what every later sum and the return sheet stand on. */
export function pickedUp(turn: Turn, act: Extract<DeskAct, { do: "pickup-record" }>): void {
  const { handover } = act;
  // A record of another van: nothing of it is replaced.
  const { pickup } = turn.hire;
  const before = pickup?.registration === handover.registration ? pickup : undefined;
  const reading = signed(before, act.reading);
  keepReading(turn, before, reading);
  faultsFound(turn, before, handover);
  turn.because.push(`pick-up record by ${handover.by}${before ? ", corrected" : ""}`);
  turn.hire.pickup = keptAs(turn, before, handover, reading);
  // What was found on the van since the welcome, which tells the rest.
  const isWelcome = turn.hire.sentReminders.some((s) => s.rule === "welcome");
  if (!before && isWelcome) tellKnownFaults(turn);
  replan(turn);
}

/** The van is back and its record made: what remains planned is planned anew. */
export function returned(
  turn: Turn,
  by: string,
  { reading: read, handover }: Extract<DeskAct, { do: "return-record" }>,
): void {
  const reading = signed(turn.hire.back, read);
  keepReading(turn, turn.hire.back, reading);
  if (handover) {
    faultsFound(turn, turn.hire.back, handover);
    turn.hire.back = keptAs(turn, turn.hire.back, handover, reading);
  }
  turn.hire.returnRecordAt ??= turn.now;
  tasksOver(turn, "the van is back", by);
  for (const callout of turn.hire.callouts) hearFrom(turn, callout.n);
  turn.because.push(`return record by ${by}`);
  replan(turn);
}

/**
 * The return record was not of this hire: its van is out as it was, its hirers are reminded and listened for again.
 * The record goes with what it read; what it noted on the van stays there until it is cleared.
 */
export function notBack(turn: Turn, by: string): void {
  const { hire } = turn;
  if (hire.returnRecordAt === undefined) {
    turn.because.push("ignored: the van is not back");
    return;
  }
  const old = hire.back?.reading;
  hire.readings = hire.readings.map((r) =>
    r.at === old?.at && r.by === old.by ? { at: r.at, by: r.by } : r,
  );
  delete hire.returnRecordAt;
  delete hire.back;
  for (const callout of hire.callouts) hearFrom(turn, callout.n);
  followAnew(turn);
  turn.because.push(`not back after all, by ${by}`);
  replan(turn);
}

/** The van stands at the key box: its hirers are asked to show how they left it. */
export function askPhotos(turn: Turn, by: string): void {
  tellAll(turn, { text: line(turn, "key-box-photos") });
  turn.because.push(`photos asked for by ${by}`);
}
