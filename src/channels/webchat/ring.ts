/** Who to ring, in the order of the triage rules: on every page of the hirer's, without any script. */
import { roadsideOf } from "../../knowledge/firm/roadside.js";
import { type Html, html } from "../../pages/html.js";
import { phrase, type Voice } from "../../wording/say.js";
import { dial } from "./message.js";

/** The numbers as big buttons, for the head of a page. */
export function whoToRing(voice: Voice, emergency: readonly string[]): Html {
  const { firm } = voice.book;
  const roadside = roadsideOf(firm);
  return html`<section class="ring" aria-label="Who do I ring?">
<p class="life"><b><span aria-hidden="true">▲</span>&nbsp;Danger to&nbsp;life</b>${emergency.map((n) => html`<a href="${dial(n)}">${n}</a>`)}</p>
<a class="us" href="${dial(firm.phone)}"><small>All else: us first</small> <b>${firm.phone}</b></a>
${roadside ? html`<a class="roadside" href="${dial(roadside.phone)}"><small>Breakdown: after us</small> <b>${roadside.phone}</b></a>` : ""}
</section>`;
}

/** The same in full sentences, at the head of the talk. */
export const callOrder = (
  voice: Voice,
  emergency: readonly string[],
): Html => html`<details class="order">
<summary>Who do I ring, and when?</summary>
<ol><li><b>Danger to life</b> (fire, smoke, gas, somebody hurt, a dangerous place in traffic): ${emergency.join(" or ")}, from outside the van.</li>
<li><b>Everything else</b>: us first. ${phrase(voice, "ring-firm")}</li>
<li><b>Breakdown</b>: ${phrase(voice, "ring-roadside")}</li></ol></details>`;
