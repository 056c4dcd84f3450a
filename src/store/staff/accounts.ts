/** Accounts of staff: made, changed and ended at the desk. An ended one stays as a row, so that names keep their story. */
import type { Instant } from "../../calendar.js";
import { within } from "../open.js";
import type { Db } from "../tables.js";

export type Role = "duty" | "manager";
export type Account = {
  contact: string;
  role: Role;
  /** See desk/signin.ts. */
  hash: string;
  madeAt: Instant;
  /** A contact's id, "settings" or "command". */
  madeBy: string;
};

/** Accounts that may sign in, by contact. */
export async function accountsOf(db: Db): Promise<Account[]> {
  const rows = await db
    .selectFrom("accounts")
    .selectAll()
    .where("ended_at", "is", null)
    .orderBy("contact")
    .execute();
  return rows.map((row) => ({
    ...{ contact: row.contact, role: row.role, hash: row.hash },
    ...{ madeAt: row.made_at as Instant, madeBy: row.made_by },
  }));
}

/** One that may sign in. */
export const accountOf = async (db: Db, contact: string): Promise<Account | undefined> =>
  (await accountsOf(db)).find((a) => a.contact === contact);

const endSessions = (tx: Db, contact: string) =>
  tx.deleteFrom("desk_sessions").where("contact", "=", contact).execute();

/** Makes an account, or makes an ended one anew. False where there is a live one. */
export const makeAccount = (db: Db, account: Account): Promise<boolean> =>
  within(db, async (tx) => {
    const { contact, role, hash, madeAt, madeBy } = account;
    const row = { role, hash, made_at: madeAt, made_by: madeBy, ended_at: null };
    const done = await tx
      .insertInto("accounts")
      .values({ contact, ...row })
      .onConflict((c) =>
        c.column("contact").doUpdateSet(row).where("accounts.ended_at", "is not", null),
      )
      .executeTakeFirst();
    return Number(done.numInsertedOrUpdatedRows ?? 0) > 0;
  });

/** Contacts that have an account or had one. */
export const contactsWithAccounts = async (db: Db): Promise<Set<string>> =>
  new Set((await db.selectFrom("accounts").select("contact").execute()).map((r) => r.contact));

/** Managers' accounts from the settings, for contacts that never had one. Gives those made. */
export async function seedAccounts(
  db: Db,
  hashes: Readonly<Record<string, string>>,
  now: Instant,
): Promise<string[]> {
  const made: string[] = [];
  for (const [contact, hash] of Object.entries(hashes)) {
    const done = await db
      .insertInto("accounts")
      .values({
        ...{ contact, role: "manager", hash, made_at: now, made_by: "settings", ended_at: null },
      })
      .onConflict((c) => c.column("contact").doNothing())
      .executeTakeFirst();
    if (Number(done.numInsertedOrUpdatedRows ?? 0) > 0) made.push(contact);
  }
  return made;
}

/** `last`: the only manager there is; nothing was changed. */
type Changed = "done" | "unknown" | "last";

/** Changes a live account; one manager who comes in (`comesIn`) always stays. A new password, a new role and an end sign it out everywhere. */
export const changeAccount = (
  db: Db,
  contact: string,
  change: { role?: Role; hash?: string; endedAt?: Instant },
  comesIn: (contact: string) => boolean = () => true,
): Promise<Changed> =>
  within(db, async (tx) => {
    // All rows are locked by the first write, so that two managers cannot end each other at once.
    await tx
      .updateTable("accounts")
      .set((q) => ({ role: q.ref("role") }))
      .execute();
    const all = await accountsOf(tx);
    const own = all.find((a) => a.contact === contact);
    if (!own) return "unknown";
    const stays = change.endedAt === undefined && (change.role ?? own.role) === "manager";
    const others = all.filter((a) => a.contact !== contact && a.role === "manager");
    const left = others.some((a) => comesIn(a.contact));
    if (own.role === "manager" && !stays && !left) return "last";
    await tx
      .updateTable("accounts")
      .set({
        ...(change.role === undefined ? {} : { role: change.role }),
        ...(change.hash === undefined ? {} : { hash: change.hash }),
        ...(change.endedAt === undefined ? {} : { ended_at: change.endedAt }),
      })
      .where("contact", "=", contact)
      .execute();
    await endSessions(tx, contact);
    return "done";
  });

/** The same password hashed more strongly; nobody is signed out. */
export const strengthen = async (db: Db, contact: string, hash: string): Promise<void> => {
  await db.updateTable("accounts").set({ hash }).where("contact", "=", contact).execute();
};
