/** What hirers wrote and tapped, with the reasons of what was answered: for looking back over all hires. */
import type { Instant } from "../../calendar.js";
import type { LaneState } from "../../hires/hire.js";
import { laneNamed } from "../../lanes.js";
import type { Message } from "../../numbers/week.js";
import type { EventMore } from "../events.js";
import type { Db } from "../tables.js";

/** So many keys in one question to the database. */
const atOnce = 500;

async function reasonsOf(db: Db, keys: readonly string[]): Promise<Map<string, string[]>> {
  const found = new Map<string, string[]>();
  for (let from = 0; from < keys.length; from += atOnce) {
    const rows = await db
      .selectFrom("arrivals")
      .select(["key", "because"])
      .where("key", "in", keys.slice(from, from + atOnce))
      .execute();
    for (const { key, because } of rows)
      if (because !== null) found.set(key, JSON.parse(because) as string[]);
  }
  return found;
}

/** The names on each of these hires. */
async function namesOf(db: Db, lanes: readonly string[]): Promise<Map<string, string[]>> {
  const found = new Map<string, string[]>();
  for (let from = 0; from < lanes.length; from += atOnce) {
    const rows = await db
      .selectFrom("lanes")
      .select(["lane", "state"])
      .where("lane", "in", lanes.slice(from, from + atOnce))
      .execute();
    for (const { lane, state } of rows) {
      const read = JSON.parse(state) as LaneState | null;
      if (read?.kind === "hire")
        found.set(lane, [read.hire.booking.surname, ...read.hire.people.map((p) => p.name)]);
    }
  }
  return found;
}

/**
 * The latest `most` messages in words and taps of hirers since an instant, in order. Photos and places are left
 * out. `named`: with the names on each hire, which are read from its whole state.
 */
export async function heardSince(
  db: Db,
  since: Instant,
  most = 4000,
  named = true,
): Promise<Message[]> {
  const rows = await db
    .selectFrom("events as e")
    .innerJoin("hires as h", "h.lane", "e.lane")
    .select([
      "e.lane",
      "e.n",
      "e.at",
      "e.person",
      "e.text",
      "e.more",
      "h.van_type",
      "h.registration",
    ])
    .where("e.kind", "=", "in")
    .where("e.at", ">=", since)
    .orderBy("e.at", "desc")
    .orderBy("e.n", "desc")
    .limit(most)
    .execute();
  const read = rows.reverse().map((row) => ({ row, more: JSON.parse(row.more) as EventMore }));
  const words = read.filter(
    ({ row, more }) => row.person !== null && more.file === undefined && more.lat === undefined,
  );
  const reasons = await reasonsOf(
    db,
    words.flatMap(({ more }) => more.arrival ?? []),
  );
  const lanes = named ? words.map(({ row }) => row.lane) : [];
  const names = await namesOf(db, [...new Set(lanes)]);
  return words.map(({ row, more }) => ({
    lane: laneNamed(row.lane),
    n: row.n,
    at: row.at as Instant,
    person: row.person ?? "",
    text: row.text,
    ...(more.tap === undefined ? {} : { tap: more.tap }),
    because: reasons.get(more.arrival ?? "") ?? [],
    van: row.van_type,
    registration: row.registration,
    names: names.get(row.lane) ?? [],
  }));
}
