/** Changing a hire: the form, and what would change, before it is kept. Pure. */
import type { Clash } from "../../bookings/change.js";
import { type Instant, isoIn, sayTime } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import type { Book } from "../../knowledge/book.js";
import { type Html, html } from "../../pages/html.js";
import type { Booking } from "../../post.js";
import type { Block } from "../../vans/blocks.js";
import { formKeys, type Who } from "../frame.js";
import { sayLength } from "../today/page.js";
import { blockedLine } from "../vans/blocks.js";
import { hireFields, type NewHire, type Wrong } from "./form.js";
import type { ReminderChange } from "./preview.js";

/** A booking as its form has it. */
const typedOf = (b: Booking): NewHire => ({
  registration: b.van.registration,
  type: b.van.type,
  pickup: isoIn(b.pickupAt, b.zone).slice(0, 16),
  return: isoIn(b.returnAt, b.zone).slice(0, 16),
  zone: b.zone,
  region: b.region,
  lang: b.lang,
  surname: b.surname,
  booker: b.people[0]?.name ?? "",
  phone: b.people[0]?.phone ?? "",
  others: b.people
    .slice(1)
    .map((p) => p.name)
    .join(", "),
});

const heading = (hire: Hire, what: string): Html =>
  html`<h1>${what} <a href="/desk/hires/${hire.id}"><span class="plate">${hire.booking.van.registration}</span> ${hire.booking.surname}</a></h1>`;

type ChangeView = {
  hire: Hire;
  book: Book;
  /** Registrations to choose from. */
  vans: readonly string[];
  who: Who;
  /** What was typed, and what is wrong with it. */
  typed?: Partial<NewHire>;
  wrong?: Wrong;
};

/** The form; nothing is kept by it. */
export function changePage({ hire, book, vans, who, typed, wrong = {} }: ChangeView): Html {
  const isOff = hire.booking.status === "cancelled";
  const form = (what: string, inside: Html, cls: string) =>
    html`<form method="post" action="/desk/hires/${hire.id}/change" class="${cls}"><input type="hidden" name="csrf" value="${who.csrf}"><input type="hidden" name="do" value="${what}">${inside}</form>`;
  const fields = hireFields(book, typed ?? typedOf(hire.booking), wrong, vans);
  return html`${heading(hire, "Change the hire")}${Object.keys(wrong).length > 0 ? html`<p class="wrong" role="alert">Nothing was kept. Please mend what is marked.</p>` : ""}
<p>Extend it, cut it short, give it another van: what would change is shown before it is kept.</p>
${form("change", html`${fields}<button class="main">Show what changes</button>`, "fields")}
<section><h2>${isOff ? "Take it up again" : "Cancel it"}</h2>${form(isOff ? "restore" : "cancel", html`<button>${isOff ? "Show what changes" : "Show what cancelling changes"}</button>`, "act")}</section>`;
}

type PreviewView = {
  hire: Hire;
  /** The booking as it would be, and what differs. */
  after: Booking;
  lines: readonly string[];
  reminders: { changes: readonly ReminderChange[]; same: number };
  clashes: readonly Clash[];
  /** What keeps the other van from going out, where it is given one. */
  blocks: readonly Block[];
  /** The van is given up on the road. */
  swaps: boolean;
  /** The registration of the van that is out may be put right instead; of one that is back it is. */
  mayPutRight: boolean;
  /** Whoever changes it has said so on the page before. */
  saysRight: boolean;
  putsRight: boolean;
  /** It is cancelled while its van is out. */
  endsOnRoad: boolean;
  /** The fields that keep it, and what booking they were made on. */
  fields: Readonly<Record<string, string>>;
  base: string;
  now: Instant;
  /** Somebody changed it since the form was opened. */
  isOld: boolean;
};

function clashHtml(c: Clash, now: Instant, zone: string): Html {
  const who = html`<a href="/desk/hires/${c.id}">${c.surname}</a> (${sayTime(c.pickupAt, now, zone)} to ${sayTime(c.returnAt, now, zone)})`;
  return c.how === "overlaps"
    ? html`<li class="over"><span aria-hidden="true">■</span> The van is promised twice: ${who}</li>`
    : html`<li class="near"><span aria-hidden="true">◆</span> Only ${sayLength(c.leftMin)} between it and ${who}</li>`;
}

/** The other hires of a van that a booking overlaps, or leaves too little time before or after. */
export const clashesHtml = (clashes: readonly Clash[], now: Instant, zone: string): Html =>
  clashes.length > 0
    ? html`<section aria-label="Clashes"><h2>Other hires of the van</h2><ul class="plain">${clashes.map((c) => clashHtml(c, now, zone))}</ul></section>`
    : html`<p>No other hire of the van comes in between.</p>`;

function reminderHtml(r: ReminderChange, now: Instant, zone: string): Html {
  const time = (at: Instant) => sayTime(at, now, zone);
  if (r.due === undefined)
    return html`<li><b>− gone</b> ${r.title}, ${r.was ? time(r.was) : ""}</li>`;
  if (r.was === undefined) return html`<li><b>+ new</b> ${r.title}, ${time(r.due)}</li>`;
  return html`<li><b>→ moved</b> ${r.title}, ${time(r.was)} → ${time(r.due)}</li>`;
}

/** What would change, with the button that keeps it. */
export function previewPage(v: PreviewView, who: Who, id: string): Html {
  const { hire, lines, reminders, clashes, now } = v;
  const { zone } = hire.booking;
  const path = `/desk/hires/${hire.id}/change`;
  const { changes, same } = reminders;
  return html`${heading(hire, "What would change")}${v.isOld ? html`<p class="wrong" role="alert">Somebody changed this hire meanwhile. This is what your change would do now.</p>` : ""}
${lines.length === 0 ? html`<p>Nothing would change.</p>` : html`<ul>${lines.map((l) => html`<li>${l}</li>`)}</ul>`}
${clashesHtml(clashes, now, zone)}
${blockedLine(v.blocks, v.after.van.registration, false)}
${v.swaps ? html`<p>The van is swapped on the road: its hirers get the safety points of the other one, and this one is to be fetched.</p>` : ""}
${v.putsRight ? html`<p>The van is back: its records, readings and photos go over to the other registration, and nobody is told. Faults stay with the van that they were noted on.</p>` : ""}
${v.endsOnRoad ? html`<p class="wrong" role="alert">By what was written down the van is out. Cancel it only if it never went, or is back: its hirers would be told that the hire has ended, and the van would count as free.</p>` : ""}
<section><h2>Reminders</h2>${changes.length === 0 ? "" : html`<ul class="plain">${changes.map((r) => reminderHtml(r, now, zone))}</ul>`}<p>${same === 0 && changes.length === 0 ? "None is to come." : `${same} ${same === 1 ? "stays as it is" : "stay as they are"}.`}</p></section>
<div class="acts">${lines.length === 0 ? "" : html`<form method="post" action="${path}" class="act">${formKeys(who, id)}${Object.entries(v.fields).map(([name, value]) => html`<input type="hidden" name="${name}" value="${value}">`)}<input type="hidden" name="base" value="${v.base}"><input type="hidden" name="keep" value="1">${v.mayPutRight ? html`<label class="tick"><span><input type="checkbox" name="puts-right" value="1"${v.saysRight ? html` checked` : ""}> No swap: it was this van all the time, the registration was written wrong. Nobody is told of another van, only of its open faults; kept records, readings and photos go over, faults do not.</span></label>` : ""}<button class="main">Keep this change</button></form>`}
<a class="button" href="${path}">Back to the form</a></div>`;
}
