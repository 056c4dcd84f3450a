/** What an import would do, line by line, before anything is kept. */
import {
  type Clash,
  changeBetween,
  changed,
  changeOn,
  clashesOf,
  type OtherHire,
} from "../../bookings/change.js";
import type { Line } from "../../bookings/csv.js";
import type { HireId } from "../../post.js";
import { changeLines } from "../../store/care/change-text.js";
import { hiresAround } from "../../store/care/vans.js";
import { refsOf } from "../../store/firm/bookings.js";
import type { Db } from "../../store/tables.js";
import { type DeskParts, hireState } from "../entry.js";

export type Fate = {
  line: Line;
  result: "made" | "changed" | "same";
  /** Of a change, what becomes of the hire as it now is. */
  changes: readonly string[];
  clashes: readonly Clash[];
};

/** The other hires of a line's van: of the file itself, and those of the desk that the file does not name. */
async function othersOf(
  db: Db,
  { line, content }: Line,
  all: readonly Line[],
  idOf: (line: Line) => string,
): Promise<OtherHire[]> {
  const { van, pickupAt, returnAt } = content;
  const named = new Set(all.map(idOf));
  const known = await hiresAround(db, van.registration, pickupAt, returnAt);
  const inFile = all.filter(
    (l) =>
      l.line !== line &&
      l.content.van.registration === van.registration &&
      l.content.status === "booked",
  );
  return [
    ...known.filter((h) => !named.has(h.id)),
    ...inFile.map((l) => ({
      ...{ id: idOf(l), surname: `${l.content.surname} (line ${l.line})` },
      ...{ pickupAt: l.content.pickupAt, returnAt: l.content.returnAt },
    })),
  ];
}

export async function planImport(
  parts: Pick<DeskParts, "db" | "laneState">,
  lines: readonly Line[],
): Promise<Fate[]> {
  const { db } = parts;
  const refs = await refsOf(
    db,
    lines.map((l) => l.reference),
  );
  const idOf = (l: Line) => refs.get(l.reference)?.hire ?? `line ${l.line}`;
  const fates: Fate[] = [];
  for (const line of lines) {
    const known = refs.get(line.reference);
    const change = known && changeBetween(known.content, line.content);
    const hire = known && (await hireState(parts, known.hire));
    const after =
      hire && change && changed(hire.booking, changeOn(hire.booking, change, known.content.people));
    const others = await othersOf(db, line, lines, idOf);
    fates.push({
      line,
      result: !change ? "made" : Object.keys(change).length === 0 ? "same" : "changed",
      changes: hire && after ? changeLines(hire.booking, after) : [],
      clashes: clashesOf({ ...line.content, hire: idOf(line) as HireId }, others),
    });
  }
  return fates;
}
