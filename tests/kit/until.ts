import { setTimeout as pause } from "node:timers/promises";

/** Waits for what goes on beside the test: until a look, each few milliseconds, gives something. @throws after 50 s: no test waits longer */
export async function until<T>(
  look: () => Promise<T | undefined> | T | undefined,
  everyMs = 2,
): Promise<T> {
  const end = performance.now() + 50_000;
  for (;;) {
    const found = await look();
    if (found !== undefined) return found;
    if (performance.now() > end) throw new Error(`never came: ${look}`);
    await pause(everyMs);
  }
}

/** The same for what is only true at some time; it looks less often, since a look may ask the service. */
export async function untilTrue(holds: () => Promise<boolean> | boolean): Promise<void> {
  await until(async () => (await holds()) || undefined, 20);
}
