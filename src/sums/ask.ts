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

/** What an earlier question of a sum waits for; `next`: another sum of the same message, to be asked about after it. */
export type OpenSum = {
  entry: string;
  words: string;
  unit?: string;
  odd?: string;
  next?: OpenSum;
};

/**
 * The words so far, completed by a reply: a bare number counts in the unit that was asked for, a unit alone
 * belongs to the number that had none, and a quantity that could not be right gives way.
 */
export function completed(open: OpenSum, reply: string): string {
  const before = plain(open.words);
  const words = plain(reply).trim();
  // Marks of units after it ("15\"", "40 %") make it more than a bare number.
  const number = /^\D{0,20}?(-?\d+(?:[.,]\d+)*)[^\w"'%°]*$/.exec(words)?.[1];
  const oddUnit = open.odd?.replace(/^-?[\d.,\s]+/, "");
  if (open.odd !== undefined) {
    const kept = before.replace(new RegExp(spaced(open.odd)), " ");
    return `${kept} ${number === undefined || !oddUnit ? words : `${number} ${oddUnit}`}`;
  }
  if (number !== undefined && open.unit) return `${before}; ${number} ${open.unit}`;
  if (!/\d/.test(words)) {
    const bare = quantities(before).find((q) => q.kind === "bare");
    const joined =
      bare &&
      before.slice(0, bare.at + bare.said.length) +
        ` ${words}` +
        before.slice(bare.at + bare.said.length);
    if (joined && quantities(joined).every((q) => q.kind !== "bare" || q.at !== bare.at))
      return joined;
  }
  return `${before}; ${words}`;
}
/** A quantity as it is repeated ("600 amp") in the words that it was read from ("600amp"). */
const spaced = (said: string): string =>
  said.replace(/[.*+?^${}()|[\]\\]/g, "\\$&").replace(/ /g, "\\s?");
