/** The page on what is kept of a hire: why and until when, a copy for one person, and erasing. */
import { after, type Instant, sayTime } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { type KeepingFile, ofHirers } from "../../knowledge/firm/keeping.js";
import { type Html, html } from "../../pages/html.js";
import type { Tables } from "../../store/tables.js";
import { formKeys, type Who } from "../frame.js";

export type KeptView = {
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
  /** What was chosen on the form that said so: whom of, and how much. */
  typed?: { person: unknown; what: unknown };
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
function until({ hire }: KeptView, days: number): string {
  const { booking, returnRecordAt } = hire;
  const end = returnRecordAt ?? (booking.status === "cancelled" ? booking.returnAt : undefined);
  if (end === undefined) return `${days.toLocaleString("en-GB")} days after the van is checked in`;
  const on = new Intl.DateTimeFormat("en-GB", { dateStyle: "long", timeZone: booking.zone });
  return on.format(after(end, days * 24 * 60));
}

const terms = (v: KeptView): Html =>
  html`<ul>${ofHirers.map((key) => {
    const { what, why, days } = v.terms[key];
    return html`<li><b>${what}</b>: ${why}. Until ${until(v, days)}.</li>`;
  })}</ul>`;

function goneHtml({ gone, hire, left, now, nameOf }: KeptView): Html {
  if (gone.length === 0) return html``;
  const of = (id: string | null) =>
    id === null ? "" : ` of ${[...hire.people, ...left].find((p) => p.id === id)?.name || id}`;
  return html`<section><h2>No longer kept</h2><ul>${gone.map(
    (g) =>
      html`<li>${sayTime(g.at as Instant, now, hire.booking.zone)}: ${whats[g.what] ?? g.what}${of(g.person)}, ${g.by === "keeping" ? "at its time" : `by ${nameOf(g.by)}`}${g.files_gone_at === null ? " (files follow within minutes)" : ""}</li>`,
  )}</ul></section>`;
}

/** The whole of it. */
export function dataPage(v: KeptView): Html {
  const { hire, who, id, why } = v;
  const here = `/desk/hires/${hire.id}/data`;
  const typed = v.typed ?? { person: hire.people[0]?.id, what: "talk" };
  const option = (p: { id: string; name: string }, more = "") =>
    html`<option value="${p.id}"${p.id === typed.person ? html` selected` : ""}>${p.name || p.id}${more}</option>`;
  const people = html`${hire.people.map((p) => option(p))}${v.left.map((p) => option(p, ", not on the hire any more"))}`;
  const how = (value: string) =>
    html`<input type="radio" name="what" value="${value}"${value === typed.what ? html` checked` : ""} required>`;
  return html`<h1>What is kept of <a href="/desk/hires/${hire.id}">${hire.booking.surname || "this hire"}</a></h1>${v.said ?? ""}
<p>Who asks has a right to a copy, and to have erased what need not be kept; the law gives one month to answer. Make sure first that it is they who ask.</p>
${terms(v)}
<section><h2>A copy for one person</h2><p>One file with what they wrote and were told, what they reported, and their photos. Notes of staff are not in it: look through the trip log for what is about them.</p>
<form method="post" action="${here}/copy" class="act">${formKeys(who, id())}<label>Of <select name="person">${people}</select></label><button>Download the copy</button></form></section>
<section><h2>Erase now</h2>${
    why === undefined
      ? html`<form method="post" action="${here}/erase" class="fields">${formKeys(who, id())}<label>Of <select name="person">${people}<option value=""${typed.person === "" ? html` selected` : ""}>everybody</option></select></label>
<label class="tick">${how("talk")} What they wrote and were told, places, numbers, chats and their photos</label>
<label class="tick">${how("hire")} All of everybody, with names and drivers: only where no claim and no fine can come</label>
<label class="tick"><input type="checkbox" name="sure" value="yes" required> I know who asks, and that it cannot be undone</label><button>Erase</button></form>
<p>Backups made before still have it until they go. What Telegram and text providers keep is theirs: those who ask can delete it there.</p>`
      : html`<p>Not now: ${why}. What is needed for that stays; erase it when that is over.</p>`
  }</section>
${goneHtml(v)}`;
}
