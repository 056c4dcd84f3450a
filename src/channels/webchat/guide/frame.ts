/** What the pages of the guide have in common: who to ring, the ways between them, the visitor's van. Pure. */
import { type Html, html } from "../../../pages/html.js";
import type { Booking } from "../../../post.js";
import type { Voice } from "../../../wording/say.js";
import type { View } from "../message.js";
import { shell } from "../page.js";
import { whoToRing } from "../ring.js";

/** For whom a page is drawn. */
export type Shown = { voice: Voice; view: View; booking: Booking };

const ways = [
  ["/chat", "My talk"],
  ["/chat/guide", "Guide"],
  ["/chat/steps", "Step by step"],
] as const;

/** The code and style of the guide's pages. */
export const guideCode = { script: "guide", styles: ["guide"] } as const;

/** A page of the guide. `at`: its own path among the ways. */
export const guideShell = (
  { voice, view, booking }: Shown,
  at: string,
  title: string,
  body: Html,
): Html =>
  shell(
    `${title}: ${voice.van.name}`,
    html`<header class="top"><p class="van">${voice.van.name} <span class="plate">${booking.van.registration}</span></p>
${whoToRing(voice, view.emergency)}</header>
<main class="guide">
<nav class="ways" aria-label="Pages">${ways.map(([path, name]) => html`<a href="${path}"${path === at ? html` aria-current="page"` : ""}>${name}</a>`)}</nav>
<p id="kept" role="status"></p>
${body}
</main>`,
    guideCode,
  );

/** In place of any page of the guide, where the book has no guide of this van: another van's would tell its height. */
export const noGuide = (shown: Shown): Html =>
  guideShell(
    shown,
    "",
    "No guide",
    html`<h1>There is no guide of this van here</h1>
<p>Please ask in your talk, or ring us: a person answers.</p>`,
  );
