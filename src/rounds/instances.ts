/**
 * Who lives on the database. Each process moves its own beat on; one whose beat stands still while ours moves
 * six times is dead, and the sends it had under way are in doubt. Beats are counted, not timed: clocks that
 * disagree, jump or sleep declare nobody dead.
 */
import type { Log } from "../log.js";
import { beatOf, beats, forget } from "../store/shared/instances.js";
import type { Db } from "../store/tables.js";

/** Between two beats of a process. */
export const beatMs = 5_000;
/** Half a minute: longer than any stall of a process that still answers. */
const deadAfter = 6;

/** Returns what to call every `beatMs`; processes found dead are taken out of the table. Gives how many live, with this one. */
export function watchInstances(parts: {
  db: Db;
  instance: string;
  log: Log;
}): () => Promise<number> {
  let seen = new Map<string, { beat: number; still: number }>();
  return async () => {
    await beatOf(parts.db, parts.instance);
    const now: typeof seen = new Map();
    for (const { id, beat } of await beats(parts.db)) {
      if (id === parts.instance) continue;
      const before = seen.get(id);
      const still = before?.beat === beat ? before.still + 1 : 0;
      if (still < deadAfter) now.set(id, { beat, still });
      else if (await forget(parts.db, id, beat)) parts.log.warn("process found dead", { code: id });
    }
    seen = now;
    return now.size + 1;
  };
}
