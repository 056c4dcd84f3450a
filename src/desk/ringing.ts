/** Whether an alert can ring anybody's telephone: only the staff hook can. */
import type { FirmFile } from "../knowledge/schema.js";
import { type Html, html } from "../pages/html.js";

/** Why nothing rings; undefined where a telephone does. */
export function nothingRings(firm: FirmFile, hookSet: boolean): string | undefined {
  if (!hookSet) return "the staff hook is not set up (HOOK_URL)";
  const rings = Object.values(firm.contacts).some((c) => c.kind === "staff" && c.hook);
  return rings ? undefined : 'the staff hook is set up, but no contact has "hook: true"';
}

/** Said above what waits, since somebody must then be looking. */
export const ringingBanner = (why: string | undefined): Html =>
  why === undefined
    ? html``
    : html`<p class="noring" role="note"><b>No telephone rings here</b>: ${why}; see README.md, “Telephone and text messages”. Alerts show on this page and in staff chats only, so somebody must be looking, by day and night.</p>`;
