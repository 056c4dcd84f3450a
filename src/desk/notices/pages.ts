/** The pages of notices: writing one, whom it reaches, and who has seen it. */
import { concernsHire } from "../../bookings/audience.js";
import { type Instant, sayTime } from "../../calendar.js";
import type { Book } from "../../knowledge/book.js";
import { type Html, html } from "../../pages/html.js";
import { nameIn } from "../../roster/reach.js";
import { audienceOf, type NoticeHire, type NoticeRow } from "../../store/care/notices.js";
import { formKeys, telLink, type Who } from "../frame.js";
import { type Form, text as field, texts } from "../read-forms.js";
import { type Draft, regionsOf, type Wrong } from "./read.js";

/** A hire that a notice would reach. */
export type Reached = {
  id: string;
  registration: string;
  vanType: string;
  surname: string;
  phone: string;
  /** Channels on which its people read; empty: none yet. */
  channels: string[];
  /** Set where it is told at pick-up. */
  pickupAt?: Instant;
};

/** "all hires in Scotland with a Wren". */
function audience(book: Book, region: string | null, vanType: string | null): string {
  const place = regionsOf(book).find(([id]) => id === region)?.[1];
  const van = vanType === null ? undefined : (book.vans.get(vanType)?.name ?? vanType);
  return `all hires${place ? ` in ${place}` : ""}${van ? ` with a ${van}` : ""}`;
}

/** What was sent so far. */
export const noticesPage = (
  rows: readonly NoticeRow[],
  book: Book,
  now: Instant,
  zone: string,
): Html =>
  html`<h1>Notices</h1><p>One message to many hires: a storm, a closed road, a part that is called back.</p>
<p><a class="button" href="/desk/notices/new">Write a notice</a></p>
${
  rows.length === 0
    ? html`<p>None yet.</p>`
    : html`<div class="scroll"><table><thead><tr><th>Notice</th><th>Sent</th><th>To</th><th>Told</th><th>Seen</th></tr></thead><tbody>
${rows.map((r) => html`<tr><td><a href="/desk/notices/${r.id}">${r.title}</a></td><td>${sayTime(r.made_at as Instant, now, zone)} by ${nameIn(book.firm, r.contact)}</td><td>${audience(book, r.region, r.van_type)}</td><td>${r.told} of ${r.hires}</td><td class="${r.seen < r.told ? "over" : ""}">${r.seen} of ${r.told}</td></tr>`)}
</tbody></table></div>`
}`;

/** The form, with what was typed and what is wrong beside each field. */
export function writePage(
  book: Book,
  who: Who,
  id: string,
  typed: Form = {},
  wrong: Wrong = {},
): Html {
  const beside = (name: keyof Wrong, label: string, control: Html) =>
    html`<label>${label} ${control}${wrong[name] ? html`<strong class="wrong" id="wrong-${name}">${wrong[name]}</strong>` : ""}</label>`;
  const marks = (name: keyof Wrong) =>
    wrong[name] ? html` aria-invalid="true" aria-describedby="wrong-${name}"` : html``;
  const choose = (name: "region" | "vanType", all: string, options: readonly [string, string][]) =>
    html`<select name="${name}" ${marks(name)}><option value="">${all}</option>${options.map(([value, label]) => html`<option value="${value}" ${field(typed, name) === value ? html` selected` : ""}>${label}</option>`)}</select>`;
  return html`<h1>Write a notice</h1>${Object.keys(wrong).length > 0 ? html`<p class="wrong" role="alert">Nothing was sent yet. Please mend what is marked.</p>` : ""}
<form method="post" action="/desk/notices/look" class="fields">${formKeys(who, id)}
${beside("title", "What it is, in a line", html`<input name="title" maxlength="80" value="${field(typed, "title")}" ${marks("title")}>`)}
${beside("text", "What they should know and do", html`<textarea name="text" rows="6" maxlength="1500" ${marks("text")}>${field(typed, "text")}</textarea>`)}
${beside("region", "Where they are", choose("region", "everywhere", regionsOf(book)))}
${beside(
  "vanType",
  "Van type",
  choose(
    "vanType",
    "all",
    [...book.vans].map(([key, v]): [string, string] => [key, v.name]),
  ),
)}
${beside("until", "It holds until (our local time; may stay empty)", html`<input name="until" type="datetime-local" value="${field(typed, "until")}" ${marks("until")}>`)}
<label class="tick"><span><input type="checkbox" name="joiners" value="1" ${field(typed, "joiners") === "1" ? html` checked` : ""}> Also to those who set out or come there until then</span></label>
<button class="main">Look at whom it reaches</button></form>`;
}

/** Whom it would reach, and the words as they will read them. */
export function lookPage(
  book: Book,
  who: Who,
  id: string,
  typed: Form,
  draft: Draft,
  shown: string,
  reached: readonly Reached[],
  now: Instant,
  zone: string,
): Html {
  const kept = ["title", "text", "region", "vanType", "until", "joiners"];
  const hidden = kept.map(
    (n) => html`<input type="hidden" name="${n}" value="${field(typed, n)}">`,
  );
  // As it was sent from here, else all.
  const ticked = typed["shown"] === undefined ? undefined : texts(typed, "hire");
  const rows = reached.map(
    (
      r,
    ) => html`<tr><td><input type="checkbox" name="hire" value="${r.id}" id="h-${r.id}"${ticked?.includes(r.id) === false ? "" : html` checked`}></td>
<td><label for="h-${r.id}"><span class="plate">${r.registration}</span> ${r.vanType}</label></td><td>${r.surname} ${telLink(r.phone)}</td>
<td class="${r.channels.length === 0 ? "over" : ""}">${r.channels.join(", ") || "nothing yet: ring them"}</td><td>${r.pickupAt === undefined ? "now" : `at pick-up, ${sayTime(r.pickupAt, now, zone)}`}</td></tr>`,
  );
  return html`<h1>Whom it reaches</h1>
<p>To ${audience(book, draft.to.region ?? null, draft.to.vanType ?? null)}${draft.until === undefined ? "" : `, until ${sayTime(draft.until, now, zone)}`}${draft.joiners ? ", and to those who come later" : ""}.</p>
<blockquote class="words">${shown}</blockquote>
<form method="post" action="/desk/notices">${formKeys(who, id)}${hidden}
${reached.map((r) => html`<input type="hidden" name="shown" value="${r.id}">`)}
${
  reached.length === 0
    ? html`<p class="over">Nobody now.${draft.joiners ? " Those who come later get it." : ""}</p>`
    : html`<div class="scroll"><table><thead><tr><th><span class="unseen">Send</span></th><th>Van</th><th>Hirer</th><th>Reads on</th><th>Told</th></tr></thead><tbody>${rows}</tbody></table></div>`
}
<p class="acts">${reached.length > 0 || draft.joiners ? html`<button class="main">Send to those ticked</button>` : ""}
<button formaction="/desk/notices/change">Change it</button></p></form>`;
}

const state = (r: NoticeHire, notice: NoticeRow, now: Instant): Html => {
  const { until_at: until } = notice;
  if (r.seen_at !== null)
    return html`seen ${sayTime(r.seen_at as Instant, now, r.zone)} by ${r.seen_by ?? ""}`;
  if (r.told_at !== null)
    return html`<b class="nobody">not seen</b>, told ${sayTime(r.told_at as Instant, now, r.zone)}`;
  if (r.status === "cancelled" || r.return_record_at !== null)
    return html`not told: the hire is over`;
  if (until !== null && until <= Math.max(now, r.pickup_at))
    return html`not told: the notice is over by then`;
  if (notice.joiners && !concernsHire(audienceOf(notice), r))
    return html`not told: it is about others, and the hire was changed`;
  return html`told at pick-up, ${sayTime(r.pickup_at as Instant, now, r.zone)}`;
};

/** One notice: who has seen it, those who have not first. */
export const noticePage = (
  notice: NoticeRow,
  hires: readonly (NoticeHire & { phone: string })[],
  book: Book,
  now: Instant,
  zone: string,
): Html => html`<h1>${notice.title}</h1>
<p>Sent ${sayTime(notice.made_at as Instant, now, zone)} by ${nameIn(book.firm, notice.contact)} to ${audience(book, notice.region, notice.van_type)}${notice.until_at === null ? "" : `, until ${sayTime(notice.until_at as Instant, now, zone)}`}${notice.joiners ? ", and to those who come later" : ""}. Seen by ${notice.seen} of ${notice.told}.</p>
<blockquote class="words">${notice.text}</blockquote>
<div class="scroll"><table><thead><tr><th>Van</th><th>Hirer</th><th>Seen</th></tr></thead><tbody>
${hires.map((r) => html`<tr><td><a href="/desk/hires/${r.hire}"><span class="plate">${r.registration}</span></a></td><td>${r.surname} ${r.seen_at === null ? telLink(r.phone) : ""}</td><td>${state(r, notice, now)}</td></tr>`)}
</tbody></table></div>
<p><a href="/desk/notices">All notices</a></p>`;

/** The way to end a notice, or who has ended it. */
export function noticeEnd(
  notice: NoticeRow,
  endedBy: string | undefined,
  who: Who,
  id: string,
  book: Book,
  now: Instant,
  zone: string,
): Html {
  const { until_at: until, told } = notice;
  if (until === null || until > now)
    return html`<section><h2>End it</h2><p>It then goes to nobody any more: neither to those who come later, nor at a pick-up. The ${told} who were told it keep it: write to them where it was wrong.</p>
<form method="post" action="/desk/notices/${notice.id}/end" class="act">${formKeys(who, id)}<button>End it now</button></form></section>`;
  return endedBy === undefined
    ? html``
    : html`<p><b>Ended by ${nameIn(book.firm, endedBy)}</b>, ${sayTime(until as Instant, now, zone)}.</p>`;
}
