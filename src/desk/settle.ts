/** Files an arrival and waits a moment until its lane shows it, so that the page that follows is not an old one. */
import { setTimeout as pause } from "node:timers/promises";
import { fileAndSee as seeFiled } from "../channels/stream.js";
import type { Arrival } from "../post.js";
import { outcomeOf } from "../store/arrivals.js";
import type { DeskParts } from "./entry.js";

/** Resolves once the lane has new events, at the latest after a second and a half. @throws STORE_WRONG */
export const fileAndSee = (
  parts: Pick<DeskParts, "file" | "onEvents">,
  arrival: Arrival,
): Promise<void> => seeFiled(parts.onEvents, arrival.lane, () => parts.file(arrival));

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
