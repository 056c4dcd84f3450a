/** Vans on the road with their next reminder, what is open and promised; hires to come; vans back. Pure. */
import { type Instant, sayTime } from "../../calendar.js";
import { type Html, html } from "../../pages/html.js";
import type { HireRow } from "../../store/hires.js";
import type { Block } from "../../vans/blocks.js";
import { blockedTag } from "../vans/blocks.js";

/** What is open of one hire. */
export type RoadLine = HireRow & {
  /** The title of its next reminder. */
  reminder?: string;
  /** Titles of reminders that nobody has answered yet. */
  checks: readonly string[];
  /** "Morag by 18:30". */
  promises: readonly string[];
};
type Blocked = ReadonlyMap<string, readonly Block[]>;

const cell = (label: string, inside: Html | string, cls = ""): Html =>
  html`<td data-label="${label}" class="${cls}">${inside}</td>`;

function row(r: RoadLine, now: Instant, blocked: Blocked, isOut: boolean): Html {
  const time = (at: number) => sayTime(at as Instant, now, r.zone);
  const late = isOut && r.return_at < now;
  const next = r.next_reminder_at;
  return html`<tr><th scope="row"><a href="/desk/hires/${r.id}"><span class="plate">${r.registration}</span> ${r.surname}</a> ${blockedTag(blocked.get(r.registration) ?? [])}</th>
${cell("Pick-up", time(r.pickup_at))}${cell("Return", late ? html`<b><span aria-hidden="true">■</span> ${time(r.return_at)}, late</b>` : time(r.return_at), late ? "over" : "")}
${cell("Next reminder", next ? `${time(next)}${r.reminder ? ` ${r.reminder}` : ""}` : "none")}
${isOut ? html`${cell("Checks open", r.checks.join(", ") || "none")}${cell("Promised", r.promises.join(", ") || "nothing")}` : ""}
${cell("Waits", r.open_callouts > 0 ? html`<a href="/desk"><b class="nobody">${r.open_callouts}</b></a>` : "nothing")}</tr>`;
}

/** `isOut`: with what is open of each. */
function table(
  heading: string,
  rows: readonly RoadLine[],
  {
    now,
    blocked,
    empty,
    isOut = false,
  }: { now: Instant; blocked: Blocked; empty: string; isOut?: boolean },
): Html {
  const open = isOut ? ["Checks open", "Promised"] : [];
  const columns = ["Van", "Pick-up", "Return", "Next reminder", ...open, "Waits"];
  return html`<section><h2>${heading}</h2>${
    rows.length === 0
      ? html`<p>${empty}</p>`
      : html`<table class="stack"><thead><tr>${columns.map((c) => html`<th scope="col">${c}</th>`)}</tr></thead><tbody>${rows.map((r) => row(r, now, blocked, isOut))}</tbody></table>`
  }</section>`;
}

/** The whole page. */
export function roadPage(
  lines: { road: readonly RoadLine[]; coming: readonly RoadLine[]; back: readonly RoadLine[] },
  now: Instant,
  blocked: Blocked,
): Html {
  const how = { now, blocked };
  return html`<h1>Vans on the road</h1><p><a href="/desk/hires/new">Add a hire</a> · <a href="/desk/bookings">Hires from a file or another program</a></p>
${table("On the road", lines.road, { ...how, empty: "No van is out.", isOut: true })}${table("To come", lines.coming, { ...how, empty: "No hire is booked." })}${table("Back", lines.back, { ...how, empty: "None yet." })}`;
}
