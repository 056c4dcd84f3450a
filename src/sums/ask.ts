/** The sums as questions: which entry is answered by which, and what a message gives it. Pure. */
import { battery, gas, supply } from "./words/energy.js";
import { exhaustFluid, fuelBack, oilUse, tyreAir } from "./words/fluids.js";
import { plain, quantities } from "./words/quantities.js";
import type { Asked, SumFacts, Summed } from "./words/say.js";
import { height, mileage, range, stop, wind } from "./words/travel.js";

/** The entries of topics.yaml that a sum completes. */
const sums: Record<string, (asked: Asked) => Summed | undefined> = {
  "what-can-i-run": supply,
  "hook-up-dead": supply,
  "leisure-battery": battery,
  "battery-level": battery,
  inverter: battery,
  "gas-empty": gas,
  "gas-bottle": gas,
  "awning-wind": wind,
  "van-height": height,
  "exhaust-fluid-range": exhaustFluid,
  "return-fuel": fuelBack,
  "ev-range": range,
  "fuel-range": range,
  "mileage-limit": mileage,
  "oil-top-up": oilUse,
  "oil-check": oilUse,
  "tyre-pressure": tyreAir,
  "snow-ice": stop,
  "motorway-driving": stop,
  "speed-limits": stop,
};

/** The entries that have a sum. */
export const summed: readonly string[] = Object.keys(sums);

/**
 * The sum that a message asks for, on top of the entry that answers it: whole lines that show the inputs they
 * used, or a question for the one that is missing or cannot be right. Undefined where the message holds no
 * quantity for it: the entry alone is the answer. Rounds to the safe side; never says that a thing is safe.
 */
export function sumFor(entryId: string, text: string, facts: SumFacts): Summed | undefined {
  const sum = sums[entryId];
  if (!sum || text.length > 600) return undefined;
  const words = plain(text);
  return sum({ ...facts, text: words, quantities: quantities(words) });
}
