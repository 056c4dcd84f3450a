/** Files an arrival and waits a moment until its lane shows it, so that the page that follows is not an old one. */
import { setTimeout as pause } from "node:timers/promises";
import { fileAndSee as seeFiled } from "../channels/stream.js";
import type { Arrival } from "../post.js";
import { sameJson } from "../same-json.js";
import { arrivalOf, outcomeOf } from "../store/arrivals.js";
import type { DeskParts } from "./entry.js";

/** Resolves once the lane has new events, at the latest after a second and a half. @throws STORE_WRONG */
export const fileAndSee = (
  parts: Pick<DeskParts, "file" | "onEvents">,
  arrival: Arrival,
): Promise<void> => seeFiled(parts.onEvents, arrival.lane, () => parts.file(arrival));

/**
 * The same for an act whose key is its form's id. A form that was left open may come again with other words: these get
 * a key of their own, and nothing is dropped for an id. @throws STORE_WRONG
 */
export const fileFormAndSee = (
  parts: Pick<DeskParts, "file" | "onEvents" | "db">,
  arrival: Arrival,
): Promise<void> => seeFiled(parts.onEvents, arrival.lane, () => fileForm(parts, arrival));

async function fileForm(
  { file, db }: Pick<DeskParts, "file" | "db">,
  arrival: Arrival,
): Promise<"new" | "known"> {
  let { key } = arrival;
  for (let n = 2; (await file({ ...arrival, key })) === "known"; n++) {
    const before = await arrivalOf(db, key);
    const isSame = before?.lane === arrival.lane && sameJson(before.body, arrival.body);
    if (!before || isSame) return "known";
    key = `${arrival.key}:${n}`;
  }
  return "new";
}

/** Files an arrival and gives the reasons of its turn; empty where it has had none within five seconds, or failed. @throws STORE_WRONG */
export async function fileAndLearn(
  parts: Pick<DeskParts, "file" | "db">,
  arrival: Arrival,
): Promise<readonly string[]> {
  await parts.file(arrival);
  for (let tries = 0; tries < 100; tries++) {
    const because = await outcomeOf(parts.db, arrival.key);
    if (because) return because;
    await pause(50);
  }
  return [];
}
