/** What keeps a van from going out, said at the desk, with the form by which a named person releases it. Pure. */
import { type Html, html } from "../../pages/html.js";
import { type Block, lastAt } from "../../vans/blocks.js";
import { formKeys, severityTag, type Who } from "../frame.js";

/** The path of a van's page. */
export const vanPath = (registration: string): string =>
  `/desk/vans/${encodeURIComponent(registration)}`;

const said = (block: Block): Html =>
  block.kind === "fault"
    ? html`${severityTag(block.fault.severity)} ${block.fault.title}, reported ${block.fault.reports.length === 1 ? "once" : `${block.fault.reports.length} times`}`
    : html`No return record of ${block.surname}'s hire: <a href="/desk/hires/${block.hire}/return">write it</a>`;

/** A mark for lists. */
export const blockedTag = (blocks: readonly Block[]): Html =>
  blocks.length === 0 ? html`` : html`<b class="nobody">blocked</b>`;

/** A line for the page of a hire; `out`: its van went out already. */
export const blockedLine = (blocks: readonly Block[], registration: string, out: boolean): Html =>
  blocks.length === 0
    ? html``
    : html`<p>${blockedTag(blocks)} This van may not go out ${out ? "again " : ""}yet: <a href="${vanPath(registration)}">why, and release</a></p>`;

/** The reasons, and the form to release what is shown here; what comes later is not covered. `reason`: as it was typed. */
export function blocksHtml(
  blocks: readonly Block[],
  registration: string,
  type: string,
  who: Who,
  id: string,
  { back, reason = "" }: { back: string; reason?: string | undefined },
): Html {
  if (blocks.length === 0) return html``;
  const seen = Math.max(0, ...blocks.map((b) => (b.kind === "fault" ? lastAt(b.fault) : 0)));
  return html`<section class="blocked" role="region" aria-label="This van is blocked"><h2><span aria-hidden="true">■</span> This van may not go out yet</h2>
<ul>${blocks.map((b) => html`<li>${said(b)}</li>`)}</ul>
<form method="post" action="${vanPath(registration)}" class="act wide">${formKeys(who, id)}<input type="hidden" name="do" value="release"><input type="hidden" name="type" value="${type}"><input type="hidden" name="back" value="${back}"><input type="hidden" name="seen" value="${seen}">${blocks.map((b) => html`<input type="hidden" name="covers" value="${b.key}">`)}
<label class="grow">Why it may go out all the same <input name="reason" maxlength="500" value="${reason}" required></label><button>Release it in my name (${who.name})</button></form></section>`;
}
