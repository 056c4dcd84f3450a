/** Unguessable tokens, 128 random bits each, stored only as a hash: links, cookies and desk sessions. */
import { createHash, randomBytes } from "node:crypto";
import type { Instant } from "../calendar.js";
import type { HireId } from "../post.js";
import { within } from "./open.js";
import type { Db } from "./tables.js";

/** `card`: what a printed card says; it opens the same page as a chat link, on a device that then has a `card-cookie`. */
export type LinkKind = "chat" | "cookie" | "calendar" | "card" | "card-cookie";
export type Link = { hire: HireId; person: string; kind: LinkKind };

/** A fresh token: 128 bits, 22 letters that are safe in a path and in Telegram's start parameter. */
export const newToken = (): string => randomBytes(16).toString("base64url");
/** SHA-256 in hex. A plain hash is enough: a token of 128 random bits cannot be tried out. */
export const hashToken = (token: string): string =>
  createHash("sha256").update(token).digest("hex");

/** Makes a link for a person of a hire; the token is shown once and never stored. */
export async function makeLink(db: Db, link: Link, now: Instant): Promise<string> {
  const token = newToken();
  await db
    .insertInto("links")
    .values({ ...link, token_hash: hashToken(token), made_at: now, revoked_at: null })
    .execute();
  return token;
}

/**
 * Whose link a token is; undefined when unknown, revoked, or of a hire whose end lies before `endedAfter`: its
 * van was checked in earlier, or it was cancelled and would have been back earlier. `kinds`: only of these.
 */
export async function findLink(
  db: Db,
  token: string,
  endedAfter: Instant,
  ...kinds: LinkKind[]
): Promise<Link | undefined> {
  let query = db
    .selectFrom("links")
    // A hire has its row from its first turn on; its links are there before.
    .leftJoin("hires", "hires.id", "links.hire")
    .select(["links.hire", "links.person", "links.kind"])
    .where("token_hash", "=", hashToken(token))
    .where("revoked_at", "is", null)
    .where((q) =>
      q.or([q("return_record_at", "is", null), q("return_record_at", ">=", endedAfter)]),
    )
    .where((q) =>
      q.or([
        q("status", "is", null),
        q("status", "!=", "cancelled"),
        q("return_at", ">=", endedAfter),
      ]),
    );
  if (kinds.length > 0) query = query.where("links.kind", "in", kinds);
  const row = await query.executeTakeFirst();
  return row && { hire: row.hire as HireId, person: row.person, kind: row.kind };
}

/** Revokes links of a hire, of one person and kinds where named. Returns how many. */
export async function revokeLinks(
  db: Db,
  of: { hire: HireId; person?: string; kinds?: readonly LinkKind[] },
  now: Instant,
): Promise<number> {
  let query = db
    .updateTable("links")
    .set({ revoked_at: now })
    .where("hire", "=", of.hire)
    .where("revoked_at", "is", null);
  if (of.person !== undefined) query = query.where("person", "=", of.person);
  if (of.kinds) query = query.where("kind", "in", [...of.kinds]);
  const result = await query.executeTakeFirst();
  return Number(result.numUpdatedRows);
}

/** All that a person's links ever opened. */
const allKinds = ["chat", "cookie", "calendar", "card", "card-cookie"] as const;

/** A new chat link for a person. The old one stops working, and so do their browsers, calendars and cards. */
export async function newLink(db: Db, hire: HireId, person: string, now: Instant): Promise<string> {
  return within(db, async (tx) => {
    await revokeLinks(tx, { hire, person, kinds: allKinds }, now);
    return makeLink(tx, { hire, person, kind: "chat" }, now);
  });
}

/** The link of a person's printed card; the one of the card before stops working, and so does every device that came by it. */
export async function newCardLink(
  db: Db,
  hire: HireId,
  person: string,
  now: Instant,
): Promise<string> {
  return within(db, async (tx) => {
    await revokeLinks(tx, { hire, person, kinds: ["card", "card-cookie"] }, now);
    return makeLink(tx, { hire, person, kind: "card" }, now);
  });
}

/** So many calendar links of one person live; a further one closes the oldest. */
const mostCalendars = 5;

/** A further calendar link for a person: each of their devices may have its own. */
export async function newCalendarLink(
  db: Db,
  hire: HireId,
  person: string,
  now: Instant,
): Promise<string> {
  return within(db, async (tx) => {
    const live = await tx
      .selectFrom("links")
      .select("token_hash")
      .where("hire", "=", hire)
      .where("person", "=", person)
      .where("kind", "=", "calendar")
      .where("revoked_at", "is", null)
      .orderBy("made_at")
      .execute();
    const old = live.slice(0, Math.max(0, live.length - mostCalendars + 1));
    if (old.length > 0)
      await tx
        .updateTable("links")
        .set({ revoked_at: now })
        .where(
          "token_hash",
          "in",
          old.map((row) => row.token_hash),
        )
        .execute();
    return makeLink(tx, { hire, person, kind: "calendar" }, now);
  });
}

/** Who is signed in at the desk; `csrf`: the word that its forms must carry. */
type DeskSession = { contact: string; csrf: string; madeAt: Instant; seenAt: Instant };

/** Signs a contact in; the token goes into the cookie and is never stored. */
export async function openDeskSession(
  db: Db,
  contact: string,
  now: Instant,
): Promise<{ token: string; csrf: string }> {
  const token = newToken();
  const csrf = newToken();
  await db
    .insertInto("desk_sessions")
    .values({ token_hash: hashToken(token), contact, csrf, made_at: now, seen_at: now })
    .execute();
  return { token, csrf };
}

/** The session of a cookie; undefined when unknown or signed in before `notBefore`, however lately it was seen. */
export async function findDeskSession(
  db: Db,
  token: string,
  notBefore: Instant,
): Promise<DeskSession | undefined> {
  const row = await db
    .selectFrom("desk_sessions")
    .selectAll()
    .where("token_hash", "=", hashToken(token))
    .where("made_at", ">=", notBefore)
    .executeTakeFirst();
  if (!row) return undefined;
  const { contact, csrf, made_at, seen_at } = row;
  return { contact, csrf, madeAt: made_at as Instant, seenAt: seen_at as Instant };
}

/** The same, marked as seen now: its contact is at the desk. */
export async function seeDeskSession(
  db: Db,
  token: string,
  now: Instant,
  notBefore: Instant,
): Promise<DeskSession | undefined> {
  const session = await findDeskSession(db, token, notBefore);
  if (!session) return undefined;
  // Once in half a minute is enough to know who is there; a write for every request is not needed.
  if (now - session.seenAt > 30_000)
    await db
      .updateTable("desk_sessions")
      .set({ seen_at: now })
      .where("token_hash", "=", hashToken(token))
      .execute();
  return { ...session, seenAt: now };
}

/** Signs out. */
export async function closeDeskSession(db: Db, token: string): Promise<void> {
  await db.deleteFrom("desk_sessions").where("token_hash", "=", hashToken(token)).execute();
}

/** Contacts with a session seen at or after an instant. */
export async function contactsSeenSince(db: Db, since: Instant): Promise<string[]> {
  const rows = await db
    .selectFrom("desk_sessions")
    .select("contact")
    .distinct()
    .where("seen_at", ">=", since)
    .execute();
  return rows.map((row) => row.contact);
}
