/** The coming days of the roster as a table: who is on when, what is a gap, where several are on. */

import { after, clockOf, type Instant, sayDay, sayTime } from "../../calendar.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { isReady, whoIsOn } from "../../roster/on-duty.js";
import { type DutyDay, dutyDays, faultsOf, type Stretch } from "../../roster/outlook.js";
import { nameIn } from "../../roster/reach.js";
import type { Span } from "../../roster/shifts.js";
import { sameJson } from "../../same-json.js";

/** Days that are shown. */
const shown = 14;

const clocks = (day: DutyDay): string =>
  day.clocksByMin === 0
    ? ""
    : `clocks go ${day.clocksByMin > 0 ? "forward" : "back"}: ${24 - day.clocksByMin / 60} hours`;

function part(firm: FirmFile, s: Stretch, end: Instant): Html {
  const to = s.to === end ? "24:00" : clockOf(s.to, firm.zone);
  const names = s.contacts.map((id) => nameIn(firm, id)).join(" and ");
  const cls = s.contacts.length === 0 ? "gap" : s.contacts.length > 1 ? "several" : "";
  return html`<li class="${cls}"><span class="when">${clockOf(s.from, firm.zone)}–${to}</span> ${names || "nobody"}</li>`;
}

/** The coming fortnight. `before`: the roster before a change; days that it leaves as they were are not marked. */
export function daysTable(firm: FirmFile, now: Instant, before?: FirmFile): Html {
  const old = before ? dutyDays(before, now, shown) : undefined;
  const rows = dutyDays(firm, now, shown).map((day, i) => {
    const differs = old !== undefined && !sameJson(old[i]?.parts, day.parts);
    const end = day.parts.at(-1)?.to ?? now;
    return html`<tr class="${differs ? "changed" : ""}"><th scope="row">${i === 0 ? "Today, " : ""}${sayDay(day.day)}${clocks(day) ? html`<small>${clocks(day)}</small>` : ""}${differs ? html`<small>changed</small>` : ""}</th>
<td><ul class="parts">${day.parts.map((s) => part(firm, s, end))}</ul></td></tr>`;
  });
  return html`<table class="duty"><caption class="quiet">In the firm's local time (${firm.zone})</caption><thead><tr><th scope="col">Day</th><th scope="col">On duty</th></tr></thead><tbody>${rows}</tbody></table>`;
}

const spanText = (firm: FirmFile, s: Span, now: Instant): string => {
  // A day is named on both sides: gaps lie weeks ahead.
  const day = (t: Instant) => (sayTime(t, now, firm.zone).length > 5 ? "" : "today ");
  return `${day(s.from)}${sayTime(s.from, now, firm.zone)} to ${day(s.to)}${sayTime(s.to, now, firm.zone)}`;
};
const most = 12;

/** The gaps in which whoever is to be alerted then is not there themselves, with who is alerted instead. */
function unfilled(firm: FirmFile, gaps: readonly Span[], now: Instant): Html {
  const { fallback } = firm.roster;
  const lines = gaps.flatMap((gap) => {
    const at = [gap.from, after(gap.to, -1)].find((t) => !isReady(firm, fallback, t));
    if (at === undefined) return [];
    const [other = fallback] = whoIsOn(firm, at).contacts;
    const instead =
      other === fallback ? "nobody else is there either" : `${nameIn(firm, other)} is alerted`;
    return [html`<li>${spanText(firm, gap, now)}: ${instead}</li>`];
  });
  return lines.length === 0
    ? html``
    : html`<p><b class="nobody">${nameIn(firm, fallback)} is away or outside their hours then:</b></p><ul>${lines.slice(0, most)}</ul>`;
}

/** Gaps and overlaps of the coming weeks, said plainly. */
export function faultsHtml(firm: FirmFile, now: Instant): Html {
  const { gaps, overlaps } = faultsOf(firm, now);
  const list = (spans: readonly Html[]) =>
    html`<ul>${spans.slice(0, most)}${spans.length > most ? html`<li>and ${spans.length - most} more</li>` : ""}</ul>`;
  return html`${
    gaps.length === 0
      ? html`<p>No gaps: somebody is on at every minute of the coming four weeks.</p>`
      : html`<div class="problem"><h3>Nobody is on</h3>${list(gaps.map((g) => html`<li>${spanText(firm, g, now)}</li>`))}<p>Then ${nameIn(firm, firm.roster.fallback)} is alerted.</p>${unfilled(firm, gaps, now)}</div>`
  }${
    overlaps.length === 0
      ? html`<p>No overlaps: nowhere are two on at once.</p>`
      : html`<div><h3>Several are on at once</h3>${list(overlaps.map((o) => html`<li>${spanText(firm, o, now)}: ${o.contacts.map((id) => nameIn(firm, id)).join(" and ")}</li>`))}<p>All of them are alerted, one after the other.</p></div>`
  }`;
}
