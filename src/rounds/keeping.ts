/** Keeps to the terms of knowledge/keeping.yaml: what has had its time goes, a little at each round. */
import { after, dayOf, type Instant } from "../calendar.js";
import type { KeepingFile } from "../knowledge/firm/keeping.js";
import { laneOf } from "../lanes.js";
import { faultFields, type Log } from "../log.js";
import { fileArrival } from "../store/arrivals.js";
import type { GoneFile } from "../store/keeping/forget.js";
import {
  dropStranger,
  filesGone,
  filesToGo,
  hiresEnded,
  keepingKey,
  strangersQuiet,
} from "../store/keeping/terms.js";
import { dropTraces } from "../store/staff/trail.js";
import type { Db } from "../store/tables.js";

type KeepingParts = {
  db: Db;
  clock: { now(): Instant };
  log: Log;
  terms: KeepingFile;
  /** The firm's zone. */
  zone: string;
  /** Takes a file from the disk; nothing happens where it is not there. */
  dropFile(file: GoneFile): Promise<void>;
};

/** Between two rounds. */
export const keepingMs = 10 * 60_000;
/** So much at a round: nobody waits for it, and turns go on between. */
const mostAtOnce = 50;

/**
 * One round. What stands against it today (an open call-out, a blocked van) is looked at again tomorrow.
 * @throws what the store throws
 */
export async function keepTerms(parts: KeepingParts): Promise<void> {
  const { db, clock, log, terms, zone } = parts;
  const now = clock.now();
  const since = (days: number): Instant => after(now, -days * 24 * 60);
  const today = dayOf(now, zone);
  for (const what of ["talk", "photos", "hire"] as const)
    for (const hire of await hiresEnded(
      db,
      { what, before: since(terms[what].days), day: today },
      mostAtOnce,
    ))
      await fileArrival(db, {
        key: keepingKey(what, hire, today),
        lane: laneOf(hire),
        receivedAt: now,
        body: { kind: "forget", by: "keeping", what },
      });
  let count = 0;
  for (const lane of await strangersQuiet(db, since(terms.stranger.days), mostAtOnce))
    if (await dropStranger(db, lane, now)) count++;
  if (count > 0) log.info("talks without a hire let go", { count });
  await dropTraces(db, { signIns: since(terms.signIns.days), trail: since(terms.trail.days) });
  for (const { key, files } of await filesToGo(db, mostAtOnce))
    try {
      for (const file of files) await parts.dropFile(file);
      await filesGone(db, key, now);
    } catch (error) {
      log.error("files not taken away", { arrival: key, ...faultFields(error) });
    }
}
