/** Roster and contacts as the desk has changed them: the version that holds, and what the firm's lane may know. */
import type { FirmState, OpenMatter } from "../../roster/duty/state.js";
import type { FirmChanges } from "../../roster/in-force.js";
import { openCallouts } from "../hires.js";
import type { Db } from "../tables.js";

/** What the desk has changed; version 0 while that is nothing. `known` is given back where it still holds. */
export async function latestChanges(db: Db, known: FirmChanges): Promise<FirmChanges> {
  const row = await db
    .selectFrom("rosters")
    .select(["version", "body"])
    .where("version", ">", known.version)
    .orderBy("version", "desc")
    .limit(1)
    .executeTakeFirst();
  return row ? (JSON.parse(row.body) as FirmChanges) : known;
}

/** Keeps a new version. To be called inside the transaction that makes it. */
export async function keepChanges(tx: Db, state: FirmState): Promise<void> {
  const { version, roster, contacts, changedBy, changedAt, says } = state;
  const body: FirmChanges = { version, contacts, ...(roster ? { roster } : {}) };
  await tx
    .insertInto("rosters")
    .values({
      version,
      at: changedAt ?? state.lookedAt,
      contact: changedBy ?? "",
      says: says ?? "",
      body: JSON.stringify(body),
    })
    .execute();
}

/** All call-outs that are not done, the worst first. */
export async function openMatters(db: Db): Promise<OpenMatter[]> {
  return (await openCallouts(db)).map((row) => ({
    lane: row.lane as OpenMatter["lane"],
    n: row.n,
    title: row.title,
    severity: row.severity,
    registration: row.registration,
    ...(row.with_contact === null ? {} : { with: row.with_contact }),
  }));
}
