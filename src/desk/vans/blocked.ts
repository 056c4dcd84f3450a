/** Which vans may not go out now, by registration; for the lists of the desk. */
import type { Instant } from "../../calendar.js";
import { overdue, vansCare } from "../../store/care/vans.js";
import type { Db } from "../../store/tables.js";
import { type Block, blocksOf } from "../../vans/blocks.js";
import { newVan } from "../../vans/van.js";

/** Vans with something against them. */
export async function blockedVans(db: Db, now: Instant): Promise<Map<string, Block[]>> {
  const care = await vansCare(db);
  const missing = await overdue(db, now);
  const found = new Map<string, Block[]>();
  for (const registration of new Set([...care.keys(), ...missing.keys()])) {
    const van = care.get(registration) ?? newVan(registration, "");
    const blocks = blocksOf(van, missing.get(registration) ?? []);
    if (blocks.length > 0) found.set(registration, blocks);
  }
  return found;
}
