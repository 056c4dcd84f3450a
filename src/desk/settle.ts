/** Files an arrival and waits a moment until its lane shows it, so that the page that follows is not an old one. */
import { setTimeout as pause } from "node:timers/promises";
import type { Arrival } from "../post.js";
import { outcomeOf } from "../store/arrivals.js";
import type { DeskParts } from "./entry.js";

const mostMs = 1500;

/** Resolves once the lane has new events, at the latest after a second and a half. @throws STORE_WRONG */
export async function fileAndSee(
  parts: Pick<DeskParts, "file" | "onEvents">,
  arrival: Arrival,
): Promise<void> {
  let seen = () => {};
  const settled = new Promise<void>((resolve) => {
    seen = resolve;
  });
  const timer = setTimeout(seen, mostMs);
  const stop = parts.onEvents((lane) => {
    if (lane === arrival.lane) seen();
  });
  try {
    if ((await parts.file(arrival)) === "new") await settled;
  } finally {
    clearTimeout(timer);
    stop();
  }
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
