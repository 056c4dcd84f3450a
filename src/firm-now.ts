/** The firm as it holds now: the file's, with what the desk has changed, and how its staff are reached. Shell: reads the store. */
import { type Instant, instantOf, minuteMs } from "./calendar.js";
import type { Book } from "./knowledge/book.js";
import { type FirmChanges, inForce } from "./roster/in-force.js";
import { chatsOf, type StaffReach } from "./roster/reach.js";
import { latestChanges } from "./store/firm/rosters.js";
import type { Db } from "./store/tables.js";
import { contactsSeenSince } from "./store/tokens.js";

/** A contact with a desk session seen within this time counts as at the desk. */
const deskSeenMs = 2 * minuteMs;

type FirmParts = {
  book: Book;
  clock: { now(): Instant };
  /** Contact id → Telegram chat id. */
  telegramStaff?: Readonly<Record<string, string>> | undefined;
  /** Whether the staff hook is set up. */
  hook: boolean;
};
export type FirmNow = { book: Book; version: number; reach: StaffReach };

/**
 * A reader that asks the database for what is new since it last looked; the book is put together anew for a new version
 * alone. `atDesk`: contacts with an open page of the desk.
 */
export function firmReader(
  parts: FirmParts,
): (db: Db, atDesk: readonly string[]) => Promise<FirmNow> {
  let changes: FirmChanges = { version: 0, contacts: {} };
  let { book } = parts;
  return async (db, atDesk) => {
    const latest = await latestChanges(db, changes);
    // Another look may have gone further meanwhile.
    if (latest.version > changes.version) {
      changes = latest;
      book = { ...parts.book, firm: inForce(parts.book.firm, latest) };
    }
    const now = { book, version: changes.version };
    const seen = await contactsSeenSince(db, instantOf(parts.clock.now() - deskSeenMs));
    return {
      ...now,
      reach: {
        atDesk: [...new Set([...atDesk, ...seen])],
        telegram: chatsOf(now.book.firm, parts.telegramStaff ?? {}),
        hook: parts.hook,
      },
    };
  };
}
