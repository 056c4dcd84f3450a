/** What a hire is found by: its van, its people's names and numbers. */
import { after, type Instant } from "../../calendar.js";
import { referencesOf } from "../firm/bookings.js";
import type { Db, Tables } from "../tables.js";

export type FoundBy = Tables["hires"] & {
  phones: { number: string; person: string }[];
  /** The booking program's own. */
  reference?: string;
};

/** Hires that were over so long ago are found by their van's page alone. */
const findMin = 400 * 24 * 60;

/** All hires that somebody may ring about, with the numbers of their people; cancelled ones too. */
export async function hiresToFind(db: Db, now: Instant): Promise<FoundBy[]> {
  const since = after(now, -findMin);
  const rows = await db.selectFrom("hires").selectAll().where("return_at", ">=", since).execute();
  const numbers = await db
    .selectFrom("phones")
    .innerJoin("hires", "hires.lane", "phones.lane")
    .select(["phones.lane", "phones.number", "phones.person"])
    .where("hires.return_at", ">=", since)
    .execute();
  const of = new Map<string, FoundBy["phones"]>();
  for (const { lane, number, person } of numbers)
    of.set(lane, [...(of.get(lane) ?? []), { number, person }]);
  const refs = await referencesOf(db);
  return rows.map((row) => {
    const reference = refs.get(row.id);
    return { ...row, phones: of.get(row.lane) ?? [], ...(reference ? { reference } : {}) };
  });
}
