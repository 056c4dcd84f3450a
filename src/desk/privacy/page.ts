/** The page on what is kept of a hire: why and until when, a copy for one person, and erasing. */
import { after, type Instant, sayTime } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { type KeepingFile, ofHirers } from "../../knowledge/firm/keeping.js";
import { type Html, html } from "../../pages/html.js";
import type { Tables } from "../../store/tables.js";
import { formKeys, type Who } from "../frame.js";

type DataView = {
  hire: Hire;
  /** Who was taken off it and has a talk still. */
  left: readonly { id: string; name: string }[];
  terms: KeepingFile;
  /** What was let go already, the latest first. */
  gone: readonly Tables["forgotten"][];
  /** What stands against erasing; undefined: nothing. */
  why: string | undefined;
  /** What became of the last form. */
  said?: Html;
  who: Who;
  now: Instant;
  id: () => string;
  nameOf(contact: string): string;
};

const whats: Record<string, string> = {
  talk: "what was written, places, numbers and chats",
  photos: "photos of the van without a mark",
  hire: "names and all else of people",
};

/** "3 September 2026", or what it waits for. */
function until({ hire }: DataView, days: number): string {
  const { booking, returnRecordAt } = hire;
  const end = returnRecordAt ?? (booking.status === "cancelled" ? booking.returnAt : undefined);
  if (end === undefined) return `${days.toLocaleString("en-GB")} days after the van is checked in`;
  const on = new Intl.DateTimeFormat("en-GB", { dateStyle: "long", timeZone: booking.zone });
  return on.format(after(end, days * 24 * 60));
}

const terms = (v: DataView): Html =>
  html`<ul>${ofHirers.map((key) => {
    const { what, why, days } = v.terms[key];
    return html`<li><b>${what}</b>: ${why}. Until ${until(v, days)}.</li>`;
  })}</ul>`;

function goneHtml({ gone, hire, left, now, nameOf }: DataView): Html {
  if (gone.length === 0) return html``;
  const of = (id: string | null) =>
    id === null ? "" : ` of ${[...hire.people, ...left].find((p) => p.id === id)?.name || id}`;
  return html`<section><h2>No longer kept</h2><ul>${gone.map(
    (g) =>
      html`<li>${sayTime(g.at as Instant, now, hire.booking.zone)}: ${whats[g.what] ?? g.what}${of(g.person)}, ${g.by === "keeping" ? "at its time" : `by ${nameOf(g.by)}`}${g.files_gone_at === null ? " (files follow within minutes)" : ""}</li>`,
  )}</ul></section>`;
}

/** The whole of it. */
export function dataPage(v: DataView): Html {
  const { hire, who, id, why } = v;
  const here = `/desk/hires/${hire.id}/data`;
  const people = html`${hire.people.map((p) => html`<option value="${p.id}">${p.name || p.id}</option>`)}${v.left.map((p) => html`<option value="${p.id}">${p.name || p.id}, not on the hire any more</option>`)}`;
  return html`<h1>What is kept of <a href="/desk/hires/${hire.id}">${hire.booking.surname || "this hire"}</a></h1>${v.said ?? ""}
<p>Who asks has a right to a copy, and to have erased what need not be kept; the law gives one month to answer. Make sure first that it is they who ask.</p>
${terms(v)}
<section><h2>A copy for one person</h2><p>One file with what they wrote and were told, what they reported, and their photos. Notes of staff are not in it: look through the trip log for what is about them.</p>
<form method="post" action="${here}/copy" class="act">${formKeys(who, id())}<label>Of <select name="person">${people}</select></label><button>Download the copy</button></form></section>
<section><h2>Erase now</h2>${
    why === undefined
      ? html`<form method="post" action="${here}/erase" class="fields">${formKeys(who, id())}<label>Of <select name="person">${people}<option value="">everybody</option></select></label>
<label class="tick"><input type="radio" name="what" value="talk" checked> What they wrote and were told, places, numbers, chats and their photos</label>
<label class="tick"><input type="radio" name="what" value="hire"> All of everybody, with names and drivers: only where no claim and no fine can come</label>
<label class="tick"><input type="checkbox" name="sure" value="yes"> I know who asks, and that it cannot be undone</label><button>Erase</button></form>
<p>Backups made before still have it until they go. What Telegram and text providers keep is theirs: those who ask can delete it there.</p>`
      : html`<p>Not now: ${why}. What is needed for that stays; erase it when that is over.</p>`
  }</section>
${goneHtml(v)}`;
}
