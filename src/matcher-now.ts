/** The matcher as it holds now: the trained one with what the desk has kept laid over it. Shell: reads the store. */
import type { Matcher } from "./matching/matcher.js";
import { teach, unteach } from "./matching/teach.js";
import type { Db } from "./store/tables.js";
import { keptAfter, wordingsSince } from "./store/wordings/kept.js";

/**
 * A reader that asks the database for what is new since it last looked, so that every process follows at its
 * next turn. A wording whose entry the book no longer has changes nothing.
 */
export function matcherReader(trained: Matcher): (db: Db) => Promise<Matcher> {
  let known = { version: 0, matcher: trained };
  return async (db) => {
    const acts = await wordingsSince(db, known.version);
    const last = acts.at(-1);
    // Another look may have gone further meanwhile.
    if (!last || last.version <= known.version) return known.matcher;
    const fresh = acts.filter((act) => act.version > known.version);
    const matcher =
      known.version === 0
        ? keptAfter(fresh).reduce(teach, trained)
        : fresh.reduce((m, act) => (act.does === "keep" ? teach : unteach)(m, act), known.matcher);
    known = { version: last.version, matcher };
    return matcher;
  };
}
