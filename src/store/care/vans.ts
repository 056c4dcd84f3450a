/** Vans for the desk: what their own lanes hold, which hires are not back, and what was read on them. */
import { after, type Instant } from "../../calendar.js";
import type { Hire, LaneState } from "../../hires/hire.js";
import { vanLane } from "../../lanes.js";
import type { OilMark, Reading } from "../../post.js";
import type { NotBack } from "../../vans/blocks.js";
import type { Van } from "../../vans/van.js";
import { loadLane } from "../hires.js";
import type { Db, Tables } from "../tables.js";

/** What is known of one van; undefined where nothing ever happened to it. */
export async function vanOf(db: Db, registration: string): Promise<Van | undefined> {
  const { state } = await loadLane(db, vanLane(registration));
  return state?.kind === "van" ? state.van : undefined;
}

/** What is known of the vans that a hire gave up on the road. */
export async function vansGivenUp(
  db: Db,
  { vansBefore = [] }: Pick<Hire, "vansBefore">,
): Promise<Van[]> {
  const vans: Van[] = [];
  for (const { registration } of vansBefore) {
    const van = await vanOf(db, registration);
    if (van) vans.push(van);
  }
  return vans;
}

const bare = (plate: string): string => plate.replace(/[\s-]/g, "").toUpperCase();

/** Spells a plate as the van that is known by it does: its faults would else not follow it. */
export async function knownPlates(db: Db): Promise<(plate: string) => string> {
  const rows = await db.selectFrom("vans").select("registration").execute();
  const known = new Map(rows.map((v) => [bare(v.registration), v.registration]));
  return (plate) => known.get(bare(plate)) ?? plate;
}

/** All vans to which something happened, by registration. */
export async function vansCare(db: Db): Promise<Map<string, Van>> {
  const rows = await db
    .selectFrom("lanes")
    .select("state")
    .where("lane", "like", "van:%")
    .execute();
  const states = rows.map((row) => JSON.parse(row.state) as LaneState | null);
  return new Map(
    states.flatMap((state) => (state?.kind === "van" ? [[state.van.registration, state.van]] : [])),
  );
}

const notBackRows = (db: Db) =>
  db
    .selectFrom("hires")
    .select(["id", "surname", "registration", "return_at"])
    .where("status", "=", "booked")
    .where("return_record_at", "is", null)
    .orderBy("return_at");

/** Hires whose return time has passed without a return record, by registration. */
export async function overdue(db: Db, now: Instant): Promise<Map<string, NotBack[]>> {
  const rows = await notBackRows(db).where("return_at", "<=", now).execute();
  const vans = new Map<string, NotBack[]>();
  for (const { id, surname, registration } of rows)
    vans.set(registration, [...(vans.get(registration) ?? []), { hire: id, surname }]);
  return vans;
}

/** Hires of this van, but one, that were to go out before it and have no return record. */
export async function notBackBefore(
  db: Db,
  registration: string,
  but: string,
  before: Instant,
): Promise<NotBack[]> {
  const rows = await notBackRows(db)
    .where("registration", "=", registration)
    .where("id", "!=", but)
    .where("pickup_at", "<", before)
    .execute();
  return rows.map(({ id, surname }) => ({ hire: id, surname }));
}

export type VanReading = Reading & { hire: string };

/** The latest readings of a van, in order of time. */
export async function readingsOf(db: Db, registration: string, limit = 200): Promise<VanReading[]> {
  const rows = await db
    .selectFrom("readings")
    .selectAll()
    .where("registration", "=", registration)
    .orderBy("at", "desc")
    .orderBy("n", "desc")
    .limit(limit)
    .execute();
  return rows.reverse().map((r) => ({
    hire: r.hire,
    at: r.at as Instant,
    by: r.by,
    ...(r.odometer_km === null ? {} : { odometerKm: r.odometer_km }),
    ...(r.oil === null ? {} : { oil: r.oil as OilMark }),
    ...(r.fluid === null ? {} : { fluid: r.fluid }),
    ...(r.fuel === null ? {} : { fuel: r.fuel }),
    ...(r.note === null ? {} : { note: r.note }),
  }));
}

export type VanHire = { id: string; surname: string; pickupAt: Instant; returnAt: Instant };

type VanHireRow = Pick<Tables["hires"], "id" | "surname" | "pickup_at" | "return_at">;
const vanHire = ({ id, surname, pickup_at, return_at }: VanHireRow): VanHire => ({
  ...{ id, surname, pickupAt: pickup_at as Instant, returnAt: return_at as Instant },
});

/** The hires of a van, the latest first. */
export async function hiresOfVan(db: Db, registration: string, limit = 20): Promise<VanHire[]> {
  const rows = await db
    .selectFrom("hires")
    .select(["id", "surname", "pickup_at", "return_at"])
    .where("registration", "=", registration)
    .where("status", "=", "booked")
    .orderBy("pickup_at", "desc")
    .limit(limit)
    .execute();
  return rows.map(vanHire);
}

/** The booked hires of a van from a day before an instant to a day after another, whether back or not. */
export async function hiresAround(
  db: Db,
  registration: string,
  from: Instant,
  to: Instant,
): Promise<VanHire[]> {
  const rows = await db
    .selectFrom("hires")
    .select(["id", "surname", "pickup_at", "return_at"])
    .where("registration", "=", registration)
    .where("status", "=", "booked")
    .where("return_at", ">", after(from, -24 * 60))
    .where("pickup_at", "<", after(to, 24 * 60))
    .orderBy("pickup_at")
    .execute();
  return rows.map(vanHire);
}
