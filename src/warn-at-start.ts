/** What the log warns of at each start: what works, and would leave somebody alone all the same. */
import { after } from "./calendar.js";
import { nothingRings } from "./desk/ringing.js";
import type { House } from "./house.js";
import { hiresOfOtherTypes } from "./store/hires.js";
import { ordersOf, weakIn } from "./triage/reached.js";

/** So far ahead the call orders are looked at. */
const aheadMin = 14 * 24 * 60;

/** `hook`: whether a telephone is connected. @throws what the store throws */
export async function warnAtStart(house: House, hook: boolean): Promise<void> {
  const { book, clock, db, log } = house;
  const { firm, reach } = await house.firmNow();
  const why = nothingRings(firm, hook);
  if (why !== undefined) log.warn("nothing rings: somebody must look at the desk", { why });
  const now = clock.now();
  for (const of of ordersOf(firm))
    if (weakIn(firm, reach, of, now, after(now, aheadMin)).some((w) => w.how === "nobody"))
      log.warn("call order reaches nobody at times: see the roster at the desk", {
        kind: of.kind ?? "any",
        why: of.severity,
      });
  const count = await hiresOfOtherTypes(db, [...book.vans.keys()]);
  if (count > 0)
    log.warn("hires of van types that are not in knowledge/vans", {
      count,
      why: "their hirers have no guide and no card, and a person answers them: bring the van type back, or give them another at the desk",
    });
}
