/** Delivers sends: one try each, and what follows from its outcome. */
import { type Instant, instantOf } from "../calendar.js";
import type { Door, Outcome } from "../channels/door.js";
import { faultFields, type Log } from "../log.js";
import type { Arrival, LostToHirer } from "../post.js";
import { fileArrival } from "../store/arrivals.js";
import { within } from "../store/open.js";
import { type Mark, markSend, type StoredSend, startedSends, takeSends } from "../store/sends.js";
import type { Db } from "../store/tables.js";
import type { Clock, Crash, Watcher } from "./turns.js";

export type DeliveryParts = {
  db: Db;
  /** This process, among those that share the database. */
  instance: string;
  clock: Clock;
  doors: ReadonlyMap<string, Door>;
  log: Log;
  /** 0 ≤ random() < 1; spreads the retries. */
  random(): number;
  crash: Crash;
  watcher?: Watcher | undefined;
};

/**
 * The pauses after tries whose outcome the wire did not tell, in ms; after the last of them one more try (DESIGN 3:
 * 5 more for safety, 1 for others). The first for safety is short, for a break of a moment; all together outlast a
 * minute of trouble. None is longer than any other pause of safety, since what comes later waits behind it.
 */
const unsurePausesMs = { safety: [0, 5_000, 15_000, 30_000, 30_000], other: [5_000] };
const firstPauseMs = 1_000;
/** A safety message is never put off for longer than this between two tries, unless the channel demands it. */
const longestPauseMs = { safety: 30_000, other: 300_000 };
/** A message that is older than this helps nobody any more: it is not tried, and the desk shows it. */
const oldestMs = 6 * 60 * 60_000;
/** Whatever a channel demands, the next try is not further away. */
const furthestMs = 30 * 60_000;
/** So many tries without reaching the channel: a safety message's lane hears of it while the tries go on. */
const tellAfterTries = 3;

/**
 * A lane that answers "not delivered" with messages that cannot be delivered either hears of them so many
 * times on end, then no more: what comes next is a due's affair. Without this, one dead channel is a storm.
 */
const chainMost = 4;
const chainOf = (key: string): number => key.split("undelivered:").length - 1;

/** Pause before the next try: doubling, spread by half so that many lanes do not come back at once. */
export function pauseMs(tries: number, safety: boolean, random: number, atLeastMs = 0): number {
  const longest = safety ? longestPauseMs.safety : longestPauseMs.other;
  const doubled = Math.min(longest, firstPauseMs * 2 ** Math.min(tries - 1, 20));
  return Math.max(Math.round(doubled * (0.5 + random / 2)), atLeastMs + Math.round(random * 250));
}

/** Whether it helps nobody any more: too old, or of a time that is over. */
const isTooLate = ({ madeAt, send }: StoredSend, now: Instant): boolean =>
  now - madeAt > oldestMs || (send.until !== undefined && now > send.until);

/** What a try's outcome makes of a send. Pure. */
function markAfter(row: StoredSend, outcome: Outcome, now: Instant, random: number): Mark {
  const tries = row.tries + 1;
  const unsure = row.unsure + (outcome.kind === "unsure" ? 1 : 0);
  const base = {
    tries,
    unsure,
    nextAt: now,
    sentAt: null,
    error: null,
    outsideId: row.went ?? null,
  };
  const later = (atLeastMs: number, why: string, outsideId = base.outsideId): Mark => ({
    ...base,
    outsideId,
    state: "waiting",
    nextAt: instantOf(
      now + Math.min(furthestMs, pauseMs(tries, row.send.safety, random, atLeastMs)),
    ),
    error: why,
  });
  switch (outcome.kind) {
    case "sent":
      return { ...base, state: "sent", sentAt: now, outsideId: outcome.outsideId ?? null };
    case "refused":
      return { ...base, state: "undelivered", error: `refused: ${outcome.why}` };
    case "unsure": {
      const pauses = row.send.safety ? unsurePausesMs.safety : unsurePausesMs.other;
      const atLeastMs = pauses[unsure - 1];
      return atLeastMs === undefined
        ? { ...base, state: "undelivered", error: `unsure: ${outcome.why}` }
        : later(atLeastMs, `unsure: ${outcome.why}`, outcome.went);
    }
    case "later":
      return isTooLate(row, now)
        ? { ...base, state: "undelivered", error: `too late: ${outcome.why}` }
        : later(outcome.afterMs, outcome.why, outcome.went);
    default:
      return outcome satisfies never;
  }
}

/** Whether the lane must hear that this send does not get through. */
const tellsLane = (row: StoredSend, mark: Mark): boolean =>
  chainOf(row.key) < chainMost &&
  (mark.state === "undelivered" ||
    (mark.state === "waiting" && row.send.safety && mark.tries >= tellAfterTries));

/** What of a safety message its person's lane needs, so that it goes another way. */
function lostToHirer(
  { send, madeAt }: StoredSend,
  mark: Mark,
  now: Instant,
): LostToHirer | undefined {
  const { person, contact, message, safety } = send;
  if (!safety || person === undefined || contact !== undefined) return undefined;
  const lost = { person, message, madeAt };
  if (mark.state === "waiting") return { ...lost, waits: true };
  const isLate = mark.tries > tellAfterTries || now - madeAt > oldestMs;
  return isLate ? { ...lost, onlyStaff: true } : lost;
}

const became = { sent: "sent", waiting: "put-off", undelivered: "not-delivered" } as const;

/** Writes an outcome down, and in the same transaction tells the lane where the send does not get through. */
export async function settle(
  parts: DeliveryParts,
  row: StoredSend,
  outcome: Outcome,
): Promise<void> {
  const now = parts.clock.now();
  const mark = markAfter(row, outcome, now, parts.random());
  const { callout, to } = row.send;
  const hirer = lostToHirer(row, mark, now);
  const told: Arrival = {
    key: `undelivered:${row.key}${hirer?.onlyStaff ? " at last" : ""}`,
    lane: row.lane,
    receivedAt: now,
    body: {
      ...{ kind: "undelivered", send: row.key, to },
      ...(callout === undefined ? {} : { callout }),
      ...(hirer ? { hirer } : {}),
    },
  };
  const counts = tellsLane(row, mark)
    ? await within(parts.db, async (tx) => {
        const marked = await markSend(tx, row.key, mark);
        if (marked) await fileArrival(tx, told);
        return marked;
      })
    : await markSend(parts.db, row.key, mark);
  const fields = { lane: row.lane, send: row.key, channel: row.send.to.channel, count: mark.tries };
  if (!counts) return parts.log.warn("try no longer counts", { ...fields, outcome: outcome.kind });
  parts.watcher?.tried(fields.channel, became[mark.state]);
  if (mark.state === "sent") parts.log.info("sent", fields);
  else
    parts.log.warn(mark.state === "undelivered" ? "not delivered" : "send put off", {
      ...fields,
      outcome: outcome.kind,
      ...(mark.error === null ? {} : { why: mark.error }),
    });
}

/** Drops what is half a letter: where words were cut within an emoji, a channel may refuse the whole message. */
const wholeLetters = (text: string): string => text.replace(/\p{Surrogate}/gu, "");

/** One try of a send that was taken. Never throws: of a door that does, the log has where. */
export async function tryOnce(parts: DeliveryParts, row: StoredSend): Promise<Outcome> {
  if (isTooLate(row, parts.clock.now()))
    return { kind: "later", afterMs: 0, why: "not tried any more" };
  const { send } = row;
  const door = parts.doors.get(send.to.channel);
  if (!door) return { kind: "refused", why: "this channel is not set up" };
  const message = { ...send.message, text: wholeLetters(send.message.text) };
  try {
    return await door.send({ ...send, message }, row.key, row.lane, row.went);
  } catch (error) {
    // A door that throws breaks its promise; the message of what it threw may hold a token, so it goes nowhere.
    const { channel } = send.to;
    parts.log.error("door failed", {
      ...{ lane: row.lane, send: row.key, channel },
      ...faultFields(error),
    });
    return { kind: "unsure", why: "the channel's own code failed" };
  }
}

/** One try and its mark. @throws what the store throws */
export async function deliver(parts: DeliveryParts, row: StoredSend): Promise<void> {
  parts.crash("delivery: taken");
  const outcome = await tryOnce(parts, row);
  parts.crash("delivery: sent");
  await settle(parts, row, outcome);
  parts.crash("delivery: marked");
}

/** Takes the next sends, at most `limit`, safety first and nothing else of the channels in `held`. */
export const takeDeliveries = (
  parts: DeliveryParts,
  limit: number,
  held: readonly string[] = [],
): Promise<StoredSend[]> => takeSends(parts.db, parts.clock.now(), limit, parts.instance, held);

/** A try that was under way when its process ended may or may not have arrived. Returns how many there were. */
export async function settleStarted(parts: DeliveryParts): Promise<number> {
  const rows = await startedSends(parts.db);
  for (const row of rows)
    await settle(parts, row, { kind: "unsure", why: "the service stopped during the try" });
  return rows.length;
}
