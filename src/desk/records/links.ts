/** The records of a hire on its page: which are there, and where they are written. Pure. */
import { type Instant, sayTime } from "../../calendar.js";
import type { HandoverRecord, Hire } from "../../hires/hire.js";
import { type Html, html } from "../../pages/html.js";

/** Links to both records and the return sheet. */
export function recordLinks(hire: Hire, now: Instant): Html {
  const { zone } = hire.booking;
  const one = (kind: "pickup" | "return", name: string, record: HandoverRecord | undefined) =>
    record
      ? html`<li>${name}: kept ${sayTime(record.at, now, zone)}${record.keyBox ? ", key box" : ""} · <a href="/desk/hires/${hire.id}/${kind}">correct it</a></li>`
      : html`<li><a class="go" href="/desk/hires/${hire.id}/${kind}">Write the ${name.toLowerCase()}</a></li>`;
  return html`<section><h2>Records</h2><ul class="goes">${one("pickup", "Pick-up record", hire.pickup)}${one("return", "Return record", hire.back)}${hire.pickup || hire.returnRecordAt ? html`<li><a href="/desk/hires/${hire.id}/sheet">Return sheet</a></li>` : ""}<li><a href="/desk/hires/${hire.id}/data">What is kept of them, a copy, erasing</a></li></ul></section>`;
}
