/** The records of a hire on its page: which are there, and where they are written. Pure. */
import { type Instant, sayTime } from "../../calendar.js";
import type { HandoverRecord, Hire } from "../../hires/hire.js";
import { type Html, html } from "../../pages/html.js";
import type { HandoverKind } from "../../vans/handover.js";
import { actForm, type Who } from "../frame.js";

/** Takes out a return record that was made of the wrong hire. */
const notBack = (hire: Hire, who: Who, id: string): Html =>
  html`<li><details><summary>Not back after all</summary>${actForm(
    who,
    id,
    { hire: hire.id, do: "not-back", back: `/desk/hires/${hire.id}` },
    html`<p class="hint">For a return record that was written on the wrong hire. It is taken out with its readings, and the hirers are reminded and looked after as before. Its photos are left out of the next record until somebody takes them in again. Faults that it noted stay on the van: clear them there.</p><label><input type="checkbox" name="sure" value="yes" required> The van is still with its hirers</label><button>Take the return record out</button>`,
    "wide",
  )}</details></li>`;

/** Who wrote for a record after it was kept, and when. */
export type Since = { [kind in HandoverKind]?: { name: string; at: Instant } };

/** Links to both records and the return sheet; `id`: of the form that takes a return record out. */
export function recordLinks(hire: Hire, now: Instant, who: Who, id: string, since: Since): Html {
  const { zone } = hire.booking;
  const later = (kind: HandoverKind) => {
    const { name, at } = since[kind] ?? {};
    return at === undefined
      ? ""
      : html`, <b>written after it was kept: ${name} ${sayTime(at, now, zone)}</b>`;
  };
  const one = (kind: HandoverKind, name: string, record: HandoverRecord | undefined) =>
    record
      ? html`<li>${name}: kept ${sayTime(record.at, now, zone)}${record.keyBox ? ", key box" : ""}${record.corrected ? `, corrected ${sayTime(record.corrected.at, now, zone)}` : ""}${later(kind)} · <a href="/desk/hires/${hire.id}/${kind}">correct it</a></li>`
      : html`<li><a class="go" href="/desk/hires/${hire.id}/${kind}">Write the ${name.toLowerCase()}</a></li>`;
  return html`<section><h2>Records</h2><ul class="goes">${one("pickup", "Pick-up record", hire.pickup)}${one("return", "Return record", hire.back)}${hire.pickup || hire.returnRecordAt ? html`<li><a href="/desk/hires/${hire.id}/sheet">Return sheet</a></li>` : ""}${hire.returnRecordAt ? notBack(hire, who, id) : ""}<li><a href="/desk/hires/${hire.id}/data">What is kept of them, a copy, erasing</a></li></ul></section>`;
}
