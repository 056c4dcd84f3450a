/** One hire: who, when, what is open, readings, its trip log a part at a time, a box to write to its people. Pure. */
import { type Instant, isoIn, sayTime } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { type Book, regionOf } from "../../knowledge/book.js";
import { type Html, html } from "../../pages/html.js";
import { sayKm } from "../../reminders/distance.js";
import { nameIn } from "../../roster/reach.js";
import type { TripEvent } from "../../store/events.js";
import { actForm, formKeys, severityTag, telLink, type Who } from "../frame.js";
import { placeHtml, placeLink } from "../place.js";
import { recordLinks, type Since } from "../records/links.js";
import { marks as oilMarks } from "../records/read-record.js";
import { vanPath } from "../vans/blocks.js";
import { fileLink } from "../waits/log.js";
import { whyLink } from "../why.js";

const links = (hire: Hire, made: ReadonlyMap<string, string>): Html =>
  html`${[...made].map(([person, url]) => html`<p class="made"><b>${hire.people.find((p) => p.id === person)?.name ?? person}</b>: <code>${url}</code> (shown once; send it to them)</p>`)}`;

type HireView = {
  who: Who;
  book: Book;
  now: Instant;
  id: () => string;
  /** Links just made, by person. */
  made: ReadonlyMap<string, string>;
  blocked: Html;
  since: Since;
  /** Under which reference a program or a file brought it, and who did last. */
  ref?: { reference: string; by: string } | undefined;
  /** The part of the trip log is its end. */
  isLatest: boolean;
};
/** So many lines of the trip log a page. */
export const logPart = 200;

/** The way to the other parts of a trip log. */
function logWays(hire: Hire, events: readonly TripEvent[], isLatest: boolean): Html {
  const first = events[0]?.n ?? 1;
  const path = `/desk/hires/${hire.id}`;
  return html`<p>${first > 1 ? html`<a href="${path}?before=${first}#log">Earlier lines</a> (${first - 1})` : "From the beginning."}${isLatest ? "" : html` · <a href="${path}?before=${first + 2 * logPart}#log">Later lines</a> · <a href="${path}#log-end">Newest lines</a>`}</p>`;
}

/** Who is on the hire. A new link or card is behind a fold, since it ends the one that somebody has. */
function people(hire: Hire, who: Who, id: () => string): Html {
  const over = hire.booking.status === "cancelled" || hire.returnRecordAt !== undefined;
  const act = (to: string, person: string, label: string) =>
    html`<form method="post" action="/desk/hires/${hire.id}/${to}" class="act">${formKeys(who, id())}<input type="hidden" name="person" value="${person}"><button>${label}</button></form>`;
  return html`<section><h2>People</h2><ul class="people">${hire.people.map(
    (
      p,
    ) => html`<li>${p.name}${p.booker ? " (booked it)" : ""} ${telLink(p.phone)} reads on: ${p.reached.map((a) => a.channel).join(", ") || "nothing yet"}
<details><summary>Card for the visor, new link</summary>${over ? "" : html`<p class="hint">A new card ends the code on the one before, and closes this page on every phone that came by it.</p>${act("card", p.id, "Card for the visor")}`}
<p class="hint">A new link ends the old one on every device of ${p.name}, with calendar and card. Telegram and texts end too, but for texts with the number in the booking; ${p.name} joins there again with the new link.</p>${act("link", p.id, "Make a new link")}</details></li>`,
  )}</ul></section>`;
}

export function hirePage(
  hire: Hire,
  events: readonly TripEvent[],
  { who, book, now, id, made, blocked, since, ref, isLatest }: HireView,
): Html {
  const { firm } = book;
  const unit = regionOf(book, firm.region).region.distanceUnit;
  const { booking } = hire;
  const { zone } = booking;
  const open = hire.callouts.filter((c) => c.state !== "done");
  const checks = hire.sentReminders.filter((s) => !s.answered);
  return html`<h1><a href="${vanPath(booking.van.registration)}"><span class="plate">${booking.van.registration}</span></a> ${book.vans.get(booking.van.type)?.name ?? booking.van.type}, ${booking.surname}</h1>
${blocked}${links(hire, made)}
<p>${booking.status === "cancelled" ? html`<b class="nobody">cancelled</b> · ` : ""}From ${sayTime(booking.pickupAt, now, zone)} to ${sayTime(booking.returnAt, now, zone)} (${zone === firm.zone ? "" : `${zone}, `}${regionOf(book, booking.region).region.name}).${hire.returnRecordAt ? ` Back ${sayTime(hire.returnRecordAt, now, zone)}.` : ""}</p>
${ref ? html`<p>Reference ${ref.reference}, last pushed by ${ref.by}.</p>` : ""}
<p class="acts"><a class="button" href="/desk/hires/${hire.id}/call">Write down a call</a> <a class="button" href="/desk/hires/${hire.id}/change">Change this hire</a></p>
${recordLinks(hire, now, who, id(), since)}
${people(hire, who, id)}
<section><h2>Place</h2>${placeHtml(hire, now)}</section>
<section><h2>Open</h2>${open.length + checks.length === 0 ? html`<p>Nothing.</p>` : html`<ul>${open.map((c) => html`<li>${severityTag(c.severity)} ${c.title}: ${c.state === "with" ? `with ${nameIn(firm, c.with ?? "")}` : "nobody yet"}</li>`)}${checks.map((s) => html`<li>Check not answered: ${book.reminders.rules[s.rule]?.title ?? s.rule}, sent ${sayTime(s.sentAt, now, zone)}</li>`)}</ul>`}</section>
<section><h2>Readings</h2>${hire.readings.length === 0 ? html`<p>None yet.</p>` : html`<ul>${hire.readings.map((r) => html`<li>${sayTime(r.at, now, zone)} ${nameIn(firm, r.by)}: ${[r.oil && `oil ${oilMarks.find(([m]) => m === r.oil)?.[1].toLowerCase() ?? r.oil}`, r.odometerKm !== undefined && sayKm(r.odometerKm, unit), r.fluid !== undefined && `exhaust fluid ${Math.round(r.fluid * 100)} %`, r.fuel !== undefined && `fuel ${Math.round(r.fuel * 100)} %`, r.note].filter(Boolean).join(", ")}</li>`)}</ul>`}</section>
<section><h2>Write to them</h2>${actForm(
    who,
    id(),
    { hire: hire.id, do: "reply", back: `/desk/hires/${hire.id}` },
    html`<label>To <select name="person">${hire.people.map((p) => html`<option value="${p.id}">${p.name}</option>`)}</select></label><label class="grow">Message <textarea name="text" rows="2" maxlength="3500" required></textarea></label><button>Send</button>`,
    "wide",
  )}</section>
<section id="log"><h2>Trip log</h2>${logWays(hire, events, isLatest)}<ol class="log" id="log-end">${events.map((e) => html`<li class="${e.kind}" data-key="e${e.n}"><time datetime="${isoIn(e.at, zone)}">${sayTime(e.at, now, zone)}</time> ${e.kind === "out" ? "to " : ""}<b>${e.who.replace(/^(hirer|duty):/, "")}</b>${e.channel ? html` <i>${e.channel}</i>` : ""} <span class="words">${e.text}</span>${whyLink(hire, e)}${fileLink(e)}${e.more.lat !== undefined ? html` ${placeLink({ ...e.more, lat: e.more.lat, lon: e.more.lon ?? 0 }, true)}` : ""}</li>`)}</ol></section>`;
}
