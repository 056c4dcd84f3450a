/** Files dues that have come as arrivals of their lanes. */
import { fileDues } from "../store/dues.js";
import type { Db } from "../store/tables.js";
import type { Clock, Crash } from "./turns.js";

/** Files all dues at or before now, in batches; returns how many. */
export async function callDues(parts: { db: Db; clock: Clock; crash: Crash }): Promise<number> {
  const batch = 100;
  let filed = 0;
  for (;;) {
    parts.crash("dues: before filing");
    const n = await fileDues(parts.db, parts.clock.now(), batch, parts.crash);
    filed += n;
    parts.crash("dues: filed");
    if (n < batch) return filed;
  }
}
