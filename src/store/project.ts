/** Keeps the desk's lists in step with a lane's state: hires, call-outs, readings, vans, addresses. */
import { putsRight } from "../bookings/out.js";
import type { Callout } from "../callouts/callout.js";
import type { Hire, LaneState } from "../hires/hire.js";
import type { Arrival } from "../post.js";
import { sameJson } from "../same-json.js";
import { dropChats, dropNumbers, joinChats } from "./addresses/chats.js";
import { savePhones } from "./addresses/phones.js";
import { joinNotices, projectNotices } from "./care/notices.js";
import { projectRecords } from "./care/records.js";
import { projectReplies } from "./care/replies.js";
import { keepChanges } from "./firm/rosters.js";
import type { Db } from "./tables.js";

/** False where nothing of it changed. */
async function projectHire(
  tx: Db,
  lane: string,
  old: Hire | undefined,
  hire: Hire,
): Promise<boolean> {
  const { booking } = hire;
  if (old && sameJson(old.booking, booking) && old.returnRecordAt === hire.returnRecordAt)
    return false;
  const row = {
    lane,
    registration: booking.van.registration,
    van_type: booking.van.type,
    surname: booking.surname,
    booker: (booking.people.find((p) => p.booker) ?? booking.people[0])?.name ?? booking.surname,
    pickup_at: booking.pickupAt,
    return_at: booking.returnAt,
    zone: booking.zone,
    region: booking.region,
    status: booking.status,
    return_record_at: hire.returnRecordAt ?? null,
  };
  await tx
    .insertInto("hires")
    .values({ id: hire.id, ...row })
    .onConflict((c) => c.column("id").doUpdateSet(row))
    .execute();
  const van = { registration: booking.van.registration, type: booking.van.type };
  await tx
    .insertInto("vans")
    .values({ ...van, odometer_km: null })
    .onConflict((c) => c.column("registration").doUpdateSet({ type: van.type }))
    .execute();
  return true;
}

async function projectCallouts(tx: Db, old: Hire | undefined, hire: Hire): Promise<void> {
  const rowOf = (callout: Callout) => ({
    state: callout.state,
    severity: callout.severity,
    kind: callout.kind,
    title: callout.title,
    with_contact: callout.with ?? null,
    opened_at: callout.openedAt,
    answer_by: callout.answerBy,
    promised_at: callout.promisedAt ?? null,
    hear_from_by: callout.hearFromBy ?? null,
  });
  for (const callout of hire.callouts) {
    const before = old?.callouts.find((c) => c.n === callout.n);
    const row = rowOf(callout);
    if (before && sameJson(rowOf(before), row)) continue;
    await tx
      .insertInto("callouts")
      .values({ hire: hire.id, n: callout.n, ...row })
      .onConflict((c) => c.columns(["hire", "n"]).doUpdateSet(row))
      .execute();
  }
}

/**
 * The vans of which this hire read something, and the one that it is `also` about, have the odometer that was read last,
 * by whichever hire.
 */
async function projectOdometers(tx: Db, hire: string, also = ""): Promise<void> {
  await tx
    .updateTable("vans")
    .set((q) => ({
      odometer_km: q
        .selectFrom("readings")
        .select("odometer_km")
        .whereRef("readings.registration", "=", "vans.registration")
        .where("odometer_km", "is not", null)
        .orderBy("at", "desc")
        .orderBy("n", "desc")
        .limit(1),
    }))
    .where((q) =>
      q.or([
        q("registration", "=", also),
        q(
          "registration",
          "in",
          q.selectFrom("readings").select("registration").where("hire", "=", hire),
        ),
      ]),
    )
    .execute();
}

/** The registration of a van was put right: what was read and photographed of it goes over. */
async function projectPlate(
  tx: Db,
  { body }: Arrival,
  old: Hire | undefined,
  hire: Hire,
): Promise<void> {
  const says = body.kind === "changed" && body.putsRight === true;
  if (!old || !putsRight(old, hire.booking, says)) return;
  const { registration: was } = old.booking.van;
  const { registration } = hire.booking.van;
  for (const table of ["readings", "record_photos"] as const)
    await tx
      .updateTable(table)
      .set({ registration })
      .where("hire", "=", hire.id)
      .where("registration", "=", was)
      .execute();
  await projectOdometers(tx, hire.id, was);
}

/** A reading stays one of the van that the hire had when it was first written, whatever is written of it on the road. */
async function projectReadings(tx: Db, old: Hire | undefined, hire: Hire): Promise<void> {
  const { registration } = hire.booking.van;
  const changed = [...hire.readings.entries()].filter(([n, r]) => !sameJson(old?.readings[n], r));
  for (const [n, reading] of changed) {
    const row = {
      at: reading.at,
      by: reading.by,
      odometer_km: reading.odometerKm ?? null,
      oil: reading.oil ?? null,
      fluid: reading.fluid ?? null,
      fuel: reading.fuel ?? null,
      note: reading.note ?? null,
    };
    await tx
      .insertInto("readings")
      .values({ hire: hire.id, n, registration, ...row })
      .onConflict((c) => c.columns(["hire", "n"]).doUpdateSet(row))
      .execute();
  }
  if (changed.length > 0) await projectOdometers(tx, hire.id);
}

/** Who was taken off a hire reads and writes in it no more: their chats and links end. */
async function letGo(
  tx: Db,
  lane: string,
  old: Hire | undefined,
  hire: Hire,
  at: number,
): Promise<void> {
  const gone = (old?.people ?? [])
    .map((p) => p.id)
    .filter((id) => !hire.people.some((p) => p.id === id));
  if (gone.length === 0) return;
  await dropChats(tx, lane, gone);
  await tx
    .updateTable("links")
    .set({ revoked_at: at })
    .where("hire", "=", hire.id)
    .where("person", "in", gone)
    .where("revoked_at", "is", null)
    .execute();
}

/** Writes what changed between two states of a lane into the lists. To be called inside a transaction. */
export async function project(
  tx: Db,
  arrival: Arrival,
  before: LaneState | undefined,
  after: LaneState | undefined,
): Promise<void> {
  if (after?.kind === "firm") {
    const version = before?.kind === "firm" ? before.firm.version : 0;
    // One step may make several versions; the last of them is what holds.
    if (after.firm.version > version) await keepChanges(tx, after.firm);
  }
  if (after?.kind !== "hire") return;
  const old = before?.kind === "hire" ? before.hire : undefined;
  const changed = await projectHire(tx, arrival.lane, old, after.hire);
  if (changed) await joinNotices(tx, after.hire, arrival.receivedAt);
  await projectCallouts(tx, old, after.hire);
  await projectPlate(tx, arrival, old, after.hire);
  await projectReadings(tx, old, after.hire);
  await projectRecords(tx, arrival, old, after.hire);
  await joinChats(tx, arrival.lane, old, after.hire);
  // Who joined by the old link while this waited for its turn goes too.
  const { body } = arrival;
  if (body.kind === "desk" && body.act.do === "new-link")
    await dropChats(tx, arrival.lane, [body.act.person]);
  await letGo(tx, arrival.lane, old, after.hire, arrival.receivedAt);
  await projectReplies(tx, old, after.hire, arrival.receivedAt);
  await projectNotices(tx, old, after.hire);
  const phones = (hire: Hire | undefined) => hire?.people.map((p) => [p.id, p.phone]);
  if (sameJson(phones(old), phones(after.hire))) return;
  await savePhones(tx, arrival.lane, after.hire.people);
  if (old) await dropNumbers(tx, arrival.lane, old, after.hire);
}
