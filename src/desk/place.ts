/** Where a hire's people are, as staff see it: the last known place with its time, and a reference to copy. */
import { type Instant, sayTime } from "../calendar.js";
import { isThreatened } from "../callouts/whose.js";
import type { Hire } from "../hires/hire.js";
import { type Html, html } from "../pages/html.js";
import { accuracyWords, degrees, geoUri, gridLine, type Place } from "../place/place.js";

/** A place's reference and its link to a map. `copy`: with a button that copies the reference. */
export function placeLink(place: Omit<Place, "at">, copy = false): Html {
  const grid = gridLine(place);
  const figures = degrees(place);
  const button = (what: string, name: string) =>
    copy ? html` <button type="button" class="copy" data-copy="${what}">Copy ${name}</button>` : "";
  return html`${grid ? html`<b class="ref">${grid}</b>${button(grid.replace(/^\D+Grid /, ""), "grid reference")} · ` : ""}<a class="ref" href="${geoUri(place)}">${figures}</a>${button(figures, "degrees")}${accuracyWords(place) ? html` ${accuracyWords(place)}` : ""}`;
}

/** "Last known place, 14:05: …", and what they wrote of it; the newer first. */
export function placeHtml(hire: Hire, now: Instant): Html {
  const { place, placeSaid, booking, people, callouts } = hire;
  const time = (at: Instant) => sayTime(at, now, booking.zone);
  const whose = (by: string | undefined) => {
    const name = people.find((p) => p.id === by)?.name ?? "whoever told it";
    return isThreatened(callouts, by)
      ? html` <b>Of ${name}: tell nobody else of the hire.</b>`
      : "";
  };
  const parts = [
    ...(place
      ? [
          html`<p class="place">Last known place, ${time(place.at)}: ${placeLink(place, true)}${whose(place.by)}</p>`,
        ]
      : []),
    ...(placeSaid
      ? [
          html`<p class="place">They wrote, ${time(placeSaid.at)}: “${placeSaid.words}”${whose(placeSaid.by)}</p>`,
        ]
      : []),
  ];
  const newestFirst = (placeSaid?.at ?? 0) > (place?.at ?? 0) ? parts.reverse() : parts;
  return parts.length > 0
    ? html`<div class="places">${newestFirst}</div>`
    : html`<div class="places"><p class="place">Place: not known yet</p></div>`;
}
