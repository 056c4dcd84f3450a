/** The last known place of a hire. Pure. */
import { after, type Instant } from "../../calendar.js";
import { placeWords } from "../../place/place.js";
import type { Hire } from "../hire.js";
import { clock, type Turn } from "../turn.js";

/** A place told so shortly before a trouble is where the trouble is. */
const stillThereMin = 10;

/** Whether a place is known since the matter was opened, or from just before. */
export function placeKnown({ place, placeSaid }: Hire, since: Instant): boolean {
  const from = after(since, -stillThereMin);
  return (place?.at ?? 0) >= from || (placeSaid?.at ?? 0) >= from;
}

/** The last known place in words for staff, each with its time; undefined when nothing is known. */
export function lastPlace(turn: Turn): string | undefined {
  const { place, placeSaid } = turn.hire;
  const parts = [
    ...(place ? [`${placeWords(place)} at ${clock(turn, place.at)}`] : []),
    ...(placeSaid ? [`"${placeSaid.words}" at ${clock(turn, placeSaid.at)}`] : []),
  ];
  const newestFirst = (placeSaid?.at ?? 0) > (place?.at ?? 0) ? parts.reverse() : parts;
  return newestFirst.join("; ") || undefined;
}
