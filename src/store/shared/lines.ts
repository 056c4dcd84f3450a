/**
 * The lines in which sends wait: one for each address of each lane, safety before all else, then the older. Whoever
 * looks for the first of each walks through all that wait, in the order in which they shall go out, and is done soon,
 * since few wait or for many addresses. Where thousands wait for a few addresses, leaping from line to line is
 * shorter: some 20 steps instead of 140,000.
 */
import { sql } from "kysely";
import type { Instant } from "../../calendar.js";
import type { Db } from "../tables.js";

const before = sql`select 1 from sends as before
  where before.state = 'waiting' and before.lane = sends.lane and before.channel = sends.channel and before.to_addr = sends.to_addr`;

/**
 * The first in line of every address of every lane. A send that waits for a retry holds back later ones to the same
 * address, but never a safety message. Two questions, since an index answers each at once however many wait; with an
 * "or" it counts through all of them.
 */
export const firstInLine = sql<boolean>`not exists (${before} and before.safety = sends.safety and before.seq < sends.seq)
  and not exists (${before} and before.safety > sends.safety)`;

/** The columns of the index `sends_waiting`, in its order: a line, a degree, its sends. */
const columns = ["lane", "channel", "to_addr", "safety", "seq"];

/** The first waiting send of the next line that has the same `n` columns before. An index finds it at once; comparing whole rows, SQLite would not use it. */
function next(n: number) {
  const same = columns.slice(0, n).map((c) => `next.${c} = here.${c} and `);
  const rest = columns.slice(n).map((c) => `next.${c}`);
  return `(select next.seq from sends as next where next.state = 'waiting'
    and ${same.join("")}next.${columns[n]} > here.${columns[n]} order by ${rest.join(", ")} limit 1)`;
}

/** The oldest of each address and degree, from one to the next along the index `sends_waiting`. */
export const heads = sql.raw<{ seq: number }>(`with recursive head(seq) as (
    select (select seq from sends where state = 'waiting' order by ${columns.join(", ")} limit 1)
    union all
    select coalesce(${[3, 2, 1, 0].map(next).join(", ")})
    from head join sends as here on here.seq = head.seq
  ) select seq from head where seq is not null`);

/** More than `long` waiting, in fewer lines than `few`. */
const long = 1_000;
const few = 200;
/** How long what was found holds, in ms. */
const holdsMs = 5_000;
const found = new WeakMap<Db, { at: Instant; fewLines: boolean }>();

/** Whether very many wait for few addresses; looked up anew every five seconds. */
async function fewLongLines(db: Db, now: Instant): Promise<boolean> {
  const last = found.get(db);
  if (last && Math.abs(now - last.at) < holdsMs) return last.fewLines;
  const many = await sql`select 1 from sends where state = 'waiting' limit ${long + 1}`.execute(db);
  const fewLines =
    many.rows.length > long &&
    (await sql`select 1 from (${heads} limit ${few}) as lines`.execute(db)).rows.length < few;
  found.set(db, { at: now, fewLines });
  return fewLines;
}

/** The condition that only the first in line meet, in the shorter of the two ways. */
export const firstInLineNow = async (db: Db, now: Instant) =>
  (await fewLongLines(db, now))
    ? sql<boolean>`sends.seq in (${heads}) and ${firstInLine}`
    : firstInLine;
