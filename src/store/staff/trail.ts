/** Who did what and when at the desk: rows are added and, after their time (keeping.yaml), let go; none is ever changed. */
import { after, type Instant } from "../../calendar.js";
import type { EventMore } from "../events.js";
import type { Db } from "../tables.js";

export type Trace = {
  at: Instant;
  /** A contact's id; for a try to sign in, the one that was tried. */
  contact: string;
  /** "sign-in", "sign-in refused", or the method's path and what the form does. */
  what: string;
  /** The hire, van, contact or call-out that it is about; empty: none. */
  about: string;
};

export async function addTrace(db: Db, { at, contact, what, about }: Trace): Promise<void> {
  await db.insertInto("trail").values({ at, contact, what, about }).execute();
}

type Asked = { from: Instant; until: Instant; contact?: string; most: number };

/** Traces of a time, the latest first; acts on other channels than the desk's pages are read from the trip log. */
export async function tracesOf(db: Db, { from, until, contact, most }: Asked): Promise<Trace[]> {
  let query = db
    .selectFrom("trail")
    .select(["at", "contact", "what", "about"])
    .where("at", ">=", from)
    .where("at", "<", until);
  if (contact !== undefined) query = query.where("contact", "=", contact);
  const rows = await query.orderBy("at", "desc").orderBy("n", "desc").limit(most).execute();
  const said = await db
    .selectFrom("events")
    .select(["lane", "at", "text", "more"])
    .where("kind", "=", "staff")
    .where("at", ">=", from)
    .where("at", "<", until)
    .orderBy("at", "desc")
    .limit(most)
    .execute();
  const elsewhere = said.flatMap(({ lane, at, text, more }): Trace[] => {
    const { arrival = "", contact: by = "", act } = JSON.parse(more) as EventMore;
    if (arrival.startsWith("desk:") || by === "") return [];
    if (contact !== undefined && by !== contact) return [];
    // What is done to a shift has no act here, and its text is the program's own.
    const what = `by message: ${act?.do ?? text}`;
    const about = act && "callout" in act ? `${lane}, call-out ${act.callout}` : lane;
    return [{ at: at as Instant, contact: by, what, about }];
  });
  return [...rows.map((r) => ({ ...r, at: r.at as Instant })), ...elsewhere]
    .sort((a, b) => b.at - a.at)
    .slice(0, most);
}

/** One try to sign in; `fits`: the password was right. */
export async function noteSignIn(
  db: Db,
  tried: { at: Instant; contact: string; address: string; fits: boolean },
): Promise<void> {
  const { at, contact, address, fits } = tried;
  await db
    .insertInto("sign_ins")
    .values({ at, contact, address, fits: fits ? 1 : 0 })
    .execute();
}

/** The first trace of this act about this; undefined where there is none, or none any more. */
export const firstTrace = (db: Db, what: string, about: string): Promise<Trace | undefined> =>
  db
    .selectFrom("trail")
    .select(["at", "contact", "what", "about"])
    .where("what", "=", what)
    .where("about", "=", about)
    .orderBy("at")
    .limit(1)
    .executeTakeFirst() as Promise<Trace | undefined>;

/** Lets go of tries to sign in, and sessions last seen, before one instant, and of traces before another. */
export async function dropTraces(
  db: Db,
  before: { signIns: Instant; trail: Instant },
): Promise<void> {
  await db.deleteFrom("sign_ins").where("at", "<", before.signIns).execute();
  await db.deleteFrom("desk_sessions").where("seen_at", "<", before.signIns).execute();
  await db.deleteFrom("trail").where("at", "<", before.trail).execute();
}

/** So long somebody who signed in from an address is known there. */
const knownDays = 90;

/** What limits a try: see desk/accounts/limits.ts. */
export async function failuresOf(
  db: Db,
  { contact, address }: { contact: string; address: string },
  now: Instant,
): Promise<{ pair: Instant[]; address: Instant[]; account: Instant[]; known: boolean }> {
  const success = await db
    .selectFrom("sign_ins")
    .select((q) => q.fn.max("at").as("at"))
    .where("contact", "=", contact)
    .where("address", "=", address)
    .where("fits", "=", 1)
    .where("at", ">=", after(now, -knownDays * 24 * 60))
    .executeTakeFirst();
  const last = typeof success?.at === "number" ? success.at : undefined;
  const rows = await db
    .selectFrom("sign_ins")
    .select(["at", "contact", "address"])
    .where("fits", "=", 0)
    .where("at", ">=", now - 60 * 60_000)
    .where((q) => q.or([q("contact", "=", contact), q("address", "=", address)]))
    .orderBy("at", "desc")
    .limit(500)
    .execute();
  const at = (of: typeof rows) => of.map((r) => r.at as Instant);
  return {
    pair: at(
      rows.filter((r) => r.contact === contact && r.address === address && r.at > (last ?? 0)),
    ),
    address: at(rows.filter((r) => r.address === address)),
    account: at(rows.filter((r) => r.contact === contact)),
    known: last !== undefined,
  };
}
