/** Hires by the reference of the program that books them: pushed as often as it likes, made and changed once. */
import { bookingOf, type Content, changeBetween, contentOf } from "../../bookings/change.js";
import type { Instant } from "../../calendar.js";
import { Fault } from "../../faults.js";
import { laneOf } from "../../lanes.js";
import type { HireId } from "../../post.js";
import { fileArrival } from "../arrivals.js";
import { loadLane, makeHire } from "../hires.js";
import { within } from "../open.js";
import type { Db, Tables } from "../tables.js";

export type Push = { reference: string; content: Content };
/** `links`: of a hire that was made, one a person, shown once. */
export type Pushed = {
  reference: string;
  hire: HireId;
  result: "made" | "changed" | "same";
  links: { person: string; token: string }[];
};
type BookingRef = { hire: HireId; content: Content; version: number };

/** The reference of a hire that no program booked, in a file that was taken out here. */
export const ownReference = (hire: string): string => `desk:${hire}`;
/** Whether a reference is one of those: no program booked that hire, or may read it. */
export const isOwnReference = (ref: string): boolean => hireOwn(ref) !== undefined;
const hireOwn = (ref: string): string | undefined => /^desk:([\w-]+)$/.exec(ref)?.[1];

/** Such a hire as it stands now: what a file that brings it in again is held against. */
async function ownHire(db: Db, reference: string): Promise<BookingRef | undefined> {
  const hire = hireOwn(reference);
  const state = hire && (await loadLane(db, laneOf(hire))).state;
  return state && state.kind === "hire"
    ? { hire: state.hire.id, content: contentOf(state.hire.booking), version: 0 }
    : undefined;
}

/** What is known of these references. */
export async function refsOf(
  db: Db,
  references: readonly string[],
): Promise<Map<string, BookingRef>> {
  const found = new Map<string, BookingRef>();
  // SQLite takes some thousand parameters in a query; a file may hold more.
  for (let i = 0; i < references.length; i += 500) {
    const rows = await db
      .selectFrom("booking_refs")
      .selectAll()
      .where("reference", "in", references.slice(i, i + 500))
      .execute();
    for (const row of rows) found.set(row.reference, readRef(row));
  }
  for (const reference of references) {
    const own = found.has(reference) ? undefined : await ownHire(db, reference);
    if (own) found.set(reference, own);
  }
  return found;
}

const readRef = (row: Tables["booking_refs"]): BookingRef => ({
  hire: row.hire as HireId,
  content: JSON.parse(row.content) as Content,
  version: row.version,
});

/** Under which reference a hire was pushed, and by whom last; undefined where it was not. */
export const refOfHire = (
  db: Db,
  hire: string,
): Promise<{ reference: string; pushed_by: string } | undefined> =>
  db
    .selectFrom("booking_refs")
    .select(["reference", "pushed_by"])
    .where("hire", "=", hire)
    .executeTakeFirst();

/** The references of hires, by the hire's id. */
export async function referencesOf(db: Db): Promise<Map<string, string>> {
  const rows = await db.selectFrom("booking_refs").select(["hire", "reference"]).execute();
  return new Map(rows.map((row) => [row.hire, row.reference]));
}

async function one(
  tx: Db,
  { reference, content }: Push,
  by: string,
  now: Instant,
  newId: () => string,
): Promise<Pushed> {
  const own = await ownHire(tx, reference);
  const hire = own?.hire ?? (newId() as HireId);
  const row = { content: JSON.stringify(content), pushed_by: by, pushed_at: now };
  const made = await tx
    .insertInto("booking_refs")
    .values({
      reference,
      hire,
      version: 1,
      ...row,
      ...(own ? { content: JSON.stringify(own.content) } : {}),
    })
    .onConflict((c) => c.column("reference").doNothing())
    .executeTakeFirst();
  if (!own && Number(made.numInsertedOrUpdatedRows ?? 0) > 0) {
    const { links } = await makeHire(tx, bookingOf(hire, content), now, `push:${hire}:1`);
    return { reference, hire, result: "made", links };
  }
  const known = (await refsOf(tx, [reference])).get(reference);
  if (!known) throw new Fault("STORE_WRONG", "a reference is gone");
  // What was let go of a hire does not come back with the next push.
  const gone = await tx
    .selectFrom("forgotten")
    .select("key")
    .where("hire", "=", known.hire)
    .executeTakeFirst();
  if (gone) return { reference, hire: known.hire, result: "same", links: [] };
  // Only what the program itself changed since it last pushed: what staff changed meanwhile stays.
  const change = changeBetween(known.content, content);
  if (Object.keys(change).length === 0)
    return { reference, hire: known.hire, result: "same", links: [] };
  const version = known.version + 1;
  const taken = await tx
    .updateTable("booking_refs")
    .set({ ...row, version })
    .where("reference", "=", reference)
    .where("version", "=", known.version)
    .executeTakeFirst();
  if (Number(taken.numUpdatedRows) === 0)
    throw new Fault("STORE_WRONG", "another push of the same reference came in between");
  await fileArrival(tx, {
    key: `push:${known.hire}:${version}`,
    lane: laneOf(known.hire),
    receivedAt: now,
    body: { kind: "changed", by, change, pushed: { people: known.content.people } },
  });
  return { reference, hire: known.hire, result: "changed", links: [] };
}

/**
 * Makes and changes hires by reference, all or none of them. The same content again does nothing; another one is
 * a change, put on the hire as it then is. `by`: who is named in the trip log.
 * @throws STORE_WRONG, again later, where two pushes of one reference meet
 */
export const pushHires = (
  db: Db,
  pushes: readonly Push[],
  by: string,
  now: Instant,
  newId: () => string,
): Promise<Pushed[]> =>
  within(db, async (tx) => {
    const done: Pushed[] = [];
    for (const push of pushes) done.push(await one(tx, push, by, now, newId));
    return done;
  });
