/** The hires that the board of the day is made from. */
import { after, type Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { laneOf } from "../../lanes.js";
import type { HireOnBoard } from "../../vans/today.js";
import { loadLane } from "../hires.js";
import type { Db, Tables } from "../tables.js";

/** Hires that came back so long ago still stand on the board where another went out on the same day. */
const backMin = 3 * 24 * 60;

async function rows(db: Db, now: Instant): Promise<Tables["hires"][]> {
  const booked = db.selectFrom("hires").where("status", "=", "booked");
  const back = await booked
    .select((q) => q.fn.max("return_record_at").as("at"))
    .where("return_record_at", "is not", null)
    .groupBy("registration")
    .execute();
  // However long a van has stood: the hire that had it last.
  const last = back.flatMap(({ at }) => (at === null ? [] : [at]));
  return booked
    .selectAll()
    .where((q) =>
      q.or([
        q("return_record_at", "is", null),
        q("return_record_at", ">=", after(now, -backMin)),
        ...(last.length > 0 ? [q("return_record_at", "in", last)] : []),
      ]),
    )
    .orderBy("pickup_at")
    .execute();
}

/** Records and swaps stand in a hire's own state; one whose pick-up is days ahead has none. */
function seen(row: Tables["hires"], hire: Hire | undefined): HireOnBoard {
  const { pickup, back, vanSince, returnRecordAt, arrival } = hire ?? {};
  return {
    id: row.id,
    surname: row.surname,
    registration: row.registration,
    type: row.van_type,
    pickupAt: row.pickup_at as Instant,
    returnAt: row.return_at as Instant,
    ...(vanSince === undefined ? {} : { vanSince }),
    ...(pickup
      ? { pickup: { at: pickup.at, by: pickup.by, registration: pickup.registration } }
      : {}),
    ...(arrival ? { says: arrival } : {}),
    ...(returnRecordAt === undefined ? {} : { back: { at: returnRecordAt, by: back?.by ?? "" } }),
  };
}

/** All hires that are to come, under way, or were the last of their van. */
export async function hiresOnBoard(db: Db, now: Instant): Promise<HireOnBoard[]> {
  const found: HireOnBoard[] = [];
  for (const row of await rows(db, now)) {
    const isNear = row.pickup_at < after(now, 2 * 24 * 60);
    const state = isNear ? (await loadLane(db, laneOf(row.id))).state : undefined;
    found.push(seen(row, state?.kind === "hire" ? state.hire : undefined));
  }
  return found;
}
