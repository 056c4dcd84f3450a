/** Files an arrival and waits a moment until its lane shows it, so that the page that follows is not an old one. */
import type { Arrival } from "../post.js";
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
