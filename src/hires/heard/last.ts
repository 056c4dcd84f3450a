/** The last known place of a hire. Pure. */
import { after, type Instant, sayTime } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import { isThreatened } from "../../callouts/whose.js";
import { placeWords } from "../../place/place.js";
import type { Hire, Person } from "../hire.js";

/** A place told so shortly before a trouble is where the trouble is. */
const stillThereMin = 10;

type Places = Pick<Hire, "place" | "placeSaid">;

/** Of what knows more, its places alone. */
export const placesOf = ({ place, placeSaid }: Places): Places => ({
  ...(place ? { place } : {}),
  ...(placeSaid ? { placeSaid } : {}),
});

/** Of the places of a hire those that were told by whoever passes. */
function toldBy({ place, placeSaid }: Hire, passes: (by: string | undefined) => boolean): Places {
  return {
    ...(place && passes(place.by) ? { place } : {}),
    ...(placeSaid && passes(placeSaid.by) ? { placeSaid } : {}),
  };
}

/**
 * The places that hirers may read: what is for `alone` has only their own, what is for everybody none of
 * somebody who told of a threat.
 */
export const placesFor = (hire: Hire, alone?: Person): Places =>
  toldBy(hire, (by) => (alone ? by === alone.id : !isThreatened(hire.callouts, by)));

/** Whether it is known where this person is, since the matter was opened or from just before. */
export function placeKnown(hire: Hire, person: Person, since: Instant): boolean {
  const from = after(since, -stillThereMin);
  const { place, placeSaid } = toldBy(
    hire,
    (by) => by === person.id || !isThreatened(hire.callouts, by),
  );
  return (place?.at ?? 0) >= from || (placeSaid?.at ?? 0) >= from;
}

/** The hire as far as its van of this call-out is to be found: of one that was given up since, where it was then. */
export function whereItStands(hire: Hire, { van, openedAt }: Callout): Hire {
  if (!van) return hire;
  const { place: _place, placeSaid: _said, ...rest } = hire;
  const before = hire.vansBefore?.find(
    (v) => v.registration === van.registration && (v.until ?? 0) >= openedAt,
  );
  if (!before) return rest;
  const kept = placesOf(before);
  // Of a van that was given up before its place was kept with it: what was told until then.
  const isOld = (told: { at: Instant } | undefined) => told && told.at < (before.until ?? 0);
  return {
    ...rest,
    ...(isOld(_place) ? { place: _place } : {}),
    ...(isOld(_said) ? { placeSaid: _said } : {}),
    ...kept,
  };
}

/** The last known place in words for staff, each with its time in the firm's `zone`; undefined when nothing is known. */
export function lastPlace(hire: Hire, now: Instant, zone: string): string | undefined {
  const { place, placeSaid, people, callouts } = hire;
  const time = (at: Instant) => sayTime(at, now, zone);
  const whose = (by: string | undefined) => {
    const name = people.find((p) => p.id === by)?.name ?? "whoever told it";
    return isThreatened(callouts, by) ? ` (of ${name}: tell nobody else of the hire)` : "";
  };
  const parts = [
    ...(place ? [`${placeWords(place)} at ${time(place.at)}${whose(place.by)}`] : []),
    ...(placeSaid ? [`"${placeSaid.words}" at ${time(placeSaid.at)}${whose(placeSaid.by)}`] : []),
  ];
  const newestFirst = (placeSaid?.at ?? 0) > (place?.at ?? 0) ? parts.reverse() : parts;
  return newestFirst.join("; ") || undefined;
}
