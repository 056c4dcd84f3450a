import { setTimeout as pause } from "node:timers/promises";

/** Waits for what goes on beside the test: until a look gives something. @throws after 50 s: no test waits longer */
export async function until<T>(look: () => Promise<T | undefined> | T | undefined): Promise<T> {
  const end = performance.now() + 50_000;
  for (;;) {
    const found = await look();
    if (found !== undefined) return found;
    if (performance.now() > end) throw new Error(`never came: ${look}`);
    await pause(2);
  }
}
