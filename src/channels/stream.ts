/** Server-sent events: a long answer that only says "look again", with the number of the last event. */
import type { Request, Response } from "express";
import type { LaneId } from "../post.js";

const beatMs = 25_000;

const mostMs = 1500;

/**
 * Files something for a lane and resolves once that has new events, at the latest after a second and a half, so that the
 * page that follows is not an old one; at once where it was known already. @throws what `file` throws
 */
export async function fileAndSee(
  onEvents: (listener: (lane: LaneId) => void) => () => void,
  lane: LaneId,
  file: () => Promise<"new" | "known">,
): Promise<void> {
  let seen = () => {};
  const settled = new Promise<void>((resolve) => {
    seen = resolve;
  });
  const timer = setTimeout(seen, mostMs);
  const stop = onEvents((of) => {
    if (of === lane) seen();
  });
  try {
    if ((await file()) === "new") await settled;
  } finally {
    clearTimeout(timer);
    stop();
  }
}

/** Keeps every open stream, so that a stopping service can end them. */
export class Streams {
  readonly #open = new Set<Response>();

  /** Opens a stream. `watch` is given the sender and returns the way out; both end with the connection. */
  open(
    req: Request,
    res: Response,
    watch: (send: (id: number, data: string) => void) => () => void,
  ): void {
    res.status(200).set({
      "Content-Type": "text/event-stream; charset=utf-8",
      "Cache-Control": "no-cache, no-transform",
      "X-Accel-Buffering": "no",
      Connection: "keep-alive",
    });
    res.flushHeaders();
    res.write("retry: 3000\n\n");
    this.#open.add(res);
    const stop = watch((id, data) => {
      res.write(`${id > 0 ? `id: ${id}\n` : ""}data: ${data}\n\n`);
    });
    // A comment now and then keeps proxies from closing a quiet stream, and finds dead connections.
    const beat = setInterval(() => res.write(": \n\n"), beatMs);
    beat.unref();
    req.on("close", () => {
      clearInterval(beat);
      this.#open.delete(res);
      stop();
    });
  }

  /** How many pages are open. */
  get count(): number {
    return this.#open.size;
  }

  /** Ends every stream; pages connect again by themselves. */
  end(): void {
    for (const res of this.#open) res.end();
  }
}
