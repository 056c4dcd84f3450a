/** Tokens by which programs of the firm's push hires: hashes only, made and revoked at the desk. */
import type { Instant } from "../../calendar.js";
import type { Db, Tables } from "../tables.js";
import { hashToken, newToken } from "../tokens.js";

export type ProgramToken = Omit<Tables["program_tokens"], "token_hash">;

/** Makes a token for a program; it is shown once and never stored. */
export async function makeProgramToken(
  db: Db,
  of: { name: string; contact: string },
  now: Instant,
): Promise<string> {
  const token = `pp_${newToken()}`;
  await db
    .insertInto("program_tokens")
    .values({
      ...{ id: newToken(), token_hash: hashToken(token), made_at: now },
      ...{ ...of, used_at: null, revoked_at: null, revoked_by: null },
    })
    .execute();
  return token;
}

/** Whose token it is, marked as used now; undefined where it is unknown or revoked. */
export async function programOf(
  db: Db,
  token: string,
  now: Instant,
): Promise<{ id: string; name: string } | undefined> {
  const row = await db
    .selectFrom("program_tokens")
    .select(["id", "name", "used_at"])
    .where("token_hash", "=", hashToken(token))
    .where("revoked_at", "is", null)
    .executeTakeFirst();
  if (!row) return undefined;
  // Once a minute is enough to see that it is in use.
  if (now - (row.used_at ?? 0) > 60_000)
    await db.updateTable("program_tokens").set({ used_at: now }).where("id", "=", row.id).execute();
  return { id: row.id, name: row.name };
}

/** Ends a token; false where there is none that lives. */
export async function revokeProgramToken(
  db: Db,
  id: string,
  contact: string,
  now: Instant,
): Promise<boolean> {
  const result = await db
    .updateTable("program_tokens")
    .set({ revoked_at: now, revoked_by: contact })
    .where("id", "=", id)
    .where("revoked_at", "is", null)
    .executeTakeFirst();
  return Number(result.numUpdatedRows) > 0;
}

/** All of them, the living first, then the newest. */
export async function programTokens(db: Db): Promise<ProgramToken[]> {
  const rows = await db
    .selectFrom("program_tokens")
    .select(["id", "name", "contact", "made_at", "used_at", "revoked_at", "revoked_by"])
    .execute();
  return rows.sort(
    (a, b) =>
      Number(a.revoked_at !== null) - Number(b.revoked_at !== null) || b.made_at - a.made_at,
  );
}
