/** The desk's pages about hires: the road, one hire with its trip log, adding one. */
import { type Instant, isoIn, sayTime } from "../calendar.js";
import type { Hire } from "../hires/hire.js";
import type { Book } from "../knowledge/book.js";
import { type Html, html } from "../pages/html.js";
import type { TripEvent } from "../store/events.js";
import type { HireRow } from "../store/hires.js";
import type { Block } from "../vans/blocks.js";
import { formKeys, severityTag, type Who } from "./frame.js";
import { placeHtml, placeLink } from "./place.js";
import { recordLinks } from "./records/links.js";
import { blockedTag, vanPath } from "./vans/blocks.js";
import { whyLink } from "./why.js";

const table = (
  heading: string,
  rows: readonly HireRow[],
  now: Instant,
  empty: string,
  blocked: ReadonlyMap<string, readonly Block[]>,
): Html => html`<section><h2>${heading}</h2>
${
  rows.length === 0
    ? html`<p>${empty}</p>`
    : html`<div class="scroll"><table><thead><tr><th>Van</th><th>Hirer</th><th>Pick-up</th><th>Return</th><th>Next reminder</th><th>Waits</th></tr></thead><tbody>
${rows.map(
  (
    r,
  ) => html`<tr><td><a href="/desk/hires/${r.id}"><span class="plate">${r.registration}</span></a> ${r.van_type} ${blockedTag(blocked.get(r.registration) ?? [])}</td><td>${r.surname}</td><td>${sayTime(r.pickup_at as Instant, now, r.zone)}</td>
<td class="${r.return_at < now && r.return_record_at === null ? "over" : ""}">${sayTime(r.return_at as Instant, now, r.zone)}${r.return_at < now && r.return_record_at === null && r.pickup_at < now ? " (late)" : ""}</td>
<td>${r.next_reminder_at ? sayTime(r.next_reminder_at as Instant, now, r.zone) : "none"}</td><td>${r.open_callouts > 0 ? html`<b class="nobody">${r.open_callouts}</b>` : "no"}</td></tr>`,
)}
</tbody></table></div>`
}</section>`;

/** Vans on the road, to come, and back. */
export const roadPage = (
  road: readonly HireRow[],
  coming: readonly HireRow[],
  back: readonly HireRow[],
  now: Instant,
  blocked: ReadonlyMap<string, readonly Block[]> = new Map(),
): Html =>
  html`<h1>Vans on the road</h1>${table("On the road", road, now, "No van is out.", blocked)}${table("To come", coming, now, "No hire is booked.", blocked)}${table("Back", back, now, "None yet.", blocked)}`;

const links = (hire: Hire, made: ReadonlyMap<string, string>): Html =>
  html`${[...made].map(([person, url]) => html`<p class="made"><b>${hire.people.find((p) => p.id === person)?.name ?? person}</b>: <code>${url}</code> (shown once; send it to them)</p>`)}`;

/** One hire: who, when, what is open, readings, its whole trip log, a box to write to its people. */
export function hirePage(
  hire: Hire,
  events: readonly TripEvent[],
  who: Who,
  now: Instant,
  id: () => string,
  made: ReadonlyMap<string, string> = new Map(),
  blocked: Html = html``,
): Html {
  const { booking } = hire;
  const { zone } = booking;
  const open = hire.callouts.filter((c) => c.state !== "done");
  const checks = hire.sentReminders.filter((s) => !s.answered);
  return html`<h1><a href="${vanPath(booking.van.registration)}"><span class="plate">${booking.van.registration}</span></a> ${booking.van.type}, ${booking.surname}</h1>
${blocked}${links(hire, made)}
<p>${booking.status === "cancelled" ? html`<b class="nobody">cancelled</b> · ` : ""}From ${sayTime(booking.pickupAt, now, zone)} to ${sayTime(booking.returnAt, now, zone)} (${zone}, ${booking.region}).${hire.returnRecordAt ? ` Back ${sayTime(hire.returnRecordAt, now, zone)}.` : ""}</p>
${recordLinks(hire, now)}
<section><h2>People</h2><ul>${hire.people.map(
    (
      p,
    ) => html`<li>${p.name}${p.booker ? " (booked it)" : ""} ${p.phone ? html`<a class="dial" href="tel:${p.phone.replace(/[^\d+]/g, "")}">${p.phone}</a>` : ""} reads on: ${p.reached.map((a) => a.channel).join(", ") || "nothing yet"}
<form method="post" action="/desk/hires/${hire.id}/link" class="act">${formKeys(who, id())}<input type="hidden" name="person" value="${p.id}"><button>Make a new link</button></form></li>`,
  )}</ul></section>
<section><h2>Place</h2>${placeHtml(hire, now)}</section>
<section><h2>Open</h2>${open.length + checks.length === 0 ? html`<p>Nothing.</p>` : html`<ul>${open.map((c) => html`<li>${severityTag(c.severity)} ${c.title}: ${c.state === "with" ? `with ${c.with ?? ""}` : "nobody yet"}</li>`)}${checks.map((s) => html`<li>Check not answered: ${s.rule}, sent ${sayTime(s.sentAt, now, zone)}</li>`)}</ul>`}</section>
<section><h2>Readings</h2>${hire.readings.length === 0 ? html`<p>None yet.</p>` : html`<ul>${hire.readings.map((r) => html`<li>${sayTime(r.at, now, zone)} ${r.by}: ${[r.oil && `oil ${r.oil}`, r.odometerKm !== undefined && `${Math.round(r.odometerKm)} km`, r.fluid !== undefined && `exhaust fluid ${Math.round(r.fluid * 100)} %`, r.fuel !== undefined && `fuel ${Math.round(r.fuel * 100)} %`, r.note].filter(Boolean).join(", ")}</li>`)}</ul>`}</section>
<section><h2>Write to them</h2><form method="post" action="/desk/act" class="act wide">${formKeys(who, id())}<input type="hidden" name="hire" value="${hire.id}"><input type="hidden" name="do" value="reply"><input type="hidden" name="back" value="/desk/hires/${hire.id}">
<label>To <select name="person">${hire.people.map((p) => html`<option value="${p.id}">${p.name}</option>`)}</select></label><label class="grow">Message <textarea name="text" rows="2" maxlength="3500" required></textarea></label><button>Send</button></form></section>
<section><h2>Trip log</h2><ol class="log">${events.map((e) => html`<li class="${e.kind}" data-key="e${e.n}"><time datetime="${isoIn(e.at, zone)}">${sayTime(e.at, now, zone)}</time> ${e.kind === "out" ? "to " : ""}<b>${e.who.replace(/^(hirer|duty):/, "")}</b>${e.channel ? html` <i>${e.channel}</i>` : ""} <span class="words">${e.text}</span>${whyLink(hire, e)}${e.more.file ? html` <a href="/desk/photo/${e.more.file.id}?hire=${hire.id}">photo</a>` : ""}${e.more.lat !== undefined ? html` ${placeLink({ ...e.more, lat: e.more.lat, lon: e.more.lon ?? 0 }, true)}` : ""}</li>`)}</ol></section>`;
}

export type NewHire = Record<
  | "registration"
  | "type"
  | "pickup"
  | "return"
  | "zone"
  | "region"
  | "lang"
  | "surname"
  | "booker"
  | "phone"
  | "others",
  string
>;

/** The form for a new hire, with what was typed and what is wrong beside each field. */
export function newHirePage(
  book: Book,
  who: Who,
  id: string,
  typed: Partial<NewHire> = {},
  wrong: Partial<Record<keyof NewHire, string>> = {},
): Html {
  const field = (name: keyof NewHire, label: string, more: Html) =>
    html`<label>${label} ${more}${wrong[name] ? html`<strong class="wrong" id="wrong-${name}">${wrong[name]}</strong>` : ""}</label>`;
  const input = (name: keyof NewHire, type = "text", fallback = "") =>
    html`<input name="${name}" type="${type}" value="${typed[name] ?? fallback}" ${wrong[name] ? html` aria-invalid="true" aria-describedby="wrong-${name}"` : ""}>`;
  const choose = (
    name: keyof NewHire,
    options: readonly (readonly [string, string])[],
    fallback = "",
  ) =>
    html`<select name="${name}">${options.map(([value, label]) => html`<option value="${value}" ${(typed[name] ?? fallback) === value ? html` selected` : ""}>${label}</option>`)}</select>`;
  const regions = [...book.regions].flatMap(([key, r]) => [
    [key, r.name] as const,
    ...Object.entries(r.nations)
      .filter(([k]) => k !== key)
      .map(([k, n]) => [k, n.name] as const),
  ]);
  return html`<h1>Add a hire</h1>${Object.keys(wrong).length > 0 ? html`<p class="wrong" role="alert">Nothing was kept yet. Please mend what is marked.</p>` : ""}
<form method="post" action="/desk/hires/new" class="fields">${formKeys(who, id)}
${field("registration", "Registration", input("registration"))}
${field(
  "type",
  "Van type",
  choose(
    "type",
    [...book.vans].map(([key, v]) => [key, v.name] as const),
  ),
)}
${field("pickup", "Pick-up (local time)", input("pickup", "datetime-local"))}
${field("return", "Return (local time)", input("return", "datetime-local"))}
${field("zone", "Time zone", input("zone", "text", book.firm.zone))}
${field("region", "Where they travel", choose("region", regions, book.firm.region))}
${field(
  "lang",
  "Language for dangers (all else is English)",
  choose(
    "lang",
    [
      ["en", "English"],
      ["de", "Deutsch"],
      ["fr", "Français"],
      ["es", "Español"],
      ["nl", "Nederlands"],
      ["it", "Italiano"],
      ["pl", "Polski"],
    ],
    "en",
  ),
)}
${field("surname", "Surname of the booking", input("surname"))}
${field("booker", "First name of who booked", input("booker"))}
${field("phone", "Phone", input("phone", "tel"))}
${field("others", "Others on it, with commas", input("others"))}
<button class="main">Keep this hire</button></form>`;
}
