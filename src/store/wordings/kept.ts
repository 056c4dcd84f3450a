/** New wordings kept at the desk: each act is a row and none is ever changed, so every process can follow. */
import type { Instant } from "../../calendar.js";
import type { Taught } from "../../matching/matcher.js";
import type { Db } from "../tables.js";

export type WordingAct = Taught & { does: "keep" | "drop"; by: string; at: Instant };
export type KeptWording = Taught & { by: string; at: Instant };
type Numbered = WordingAct & { version: number };

const same = (a: Taught, b: Taught): boolean => a.entry === b.entry && a.ask === b.ask;

/** The acts after a version, in order. */
export async function wordingsSince(db: Db, version: number): Promise<Numbered[]> {
  const rows = await db
    .selectFrom("wordings")
    .selectAll()
    .where("version", ">", version)
    .orderBy("version")
    .execute();
  return rows.map(({ contact, at, ...row }) => ({ ...row, by: contact, at: at as Instant }));
}

/** What is kept after these acts, in the order of keeping. Pure. */
export const keptAfter = (
  acts: readonly WordingAct[],
  before: readonly KeptWording[] = [],
): KeptWording[] =>
  acts.reduce<KeptWording[]>(
    (kept, { does, ...one }) => [
      ...kept.filter((k) => !same(k, one)),
      ...(does === "keep" ? [one] : []),
    ],
    [...before],
  );

/** What is kept now. */
export const wordingsKept = async (db: Db): Promise<KeptWording[]> =>
  keptAfter(await wordingsSince(db, 0));

/**
 * Keeps an ask for an entry, or takes it back. `known`: it stands so already. The number is one more than the
 * last that was committed, so nobody who has seen a version can have missed an earlier one.
 */
export async function actOnWording(db: Db, act: WordingAct): Promise<"new" | "known"> {
  const { by, ...rest } = act;
  for (;;) {
    const acts = await wordingsSince(db, 0);
    if (keptAfter(acts).some((k) => same(k, act)) === (act.does === "keep")) return "known";
    const done = await db
      .insertInto("wordings")
      .values({ ...rest, contact: by, version: (acts.at(-1)?.version ?? 0) + 1 })
      .onConflict((c) => c.column("version").doNothing())
      .executeTakeFirst();
    if (Number(done.numInsertedOrUpdatedRows ?? 0) > 0) return "new";
  }
}
