/** The card for the visor: the van's measures, who to ring, a code that opens the hire's page, a slip to tear off. Pure. */
import { roadsideOf } from "../../../knowledge/firm/roadside.js";
import { fill } from "../../../knowledge/placeholders.js";
import { Html, html } from "../../../pages/html.js";
import { phrase } from "../../../wording/say.js";
import { dial } from "../message.js";
import { shell } from "../page.js";
import { guideCode, guideShell, type Shown } from "./frame.js";

/** Where the card is made; nothing is made by looking at it. */
export const cardOffer = (shown: Shown): Html =>
  guideShell(
    shown,
    "/chat/card",
    "Card for the visor",
    html`<h1>Card for the visor</h1>
<p>One sheet to print: your van's registration, height, length and mass, who to ring, and a slip to hand to somebody whose phone works. A code on it opens this page on any phone.</p>
<p>Whoever scans the code reads this page, so keep the card inside the van and throw it away after the hire. A new card ends the code on the one before, and closes this page on every phone that came by it.</p>
<form method="post" action="/chat/card"><button class="big">Make my card</button></form>`,
  );

function measures({ voice, booking }: Shown): Html {
  const rows: [string, string][] = [
    ["Height", "{van.height}"],
    ["Length", "{van.length}"],
    ["Width", "{van.width}"],
    ["Mass, at most", "{van.mass}"],
    ["Fuel", "{van.fuel}"],
  ];
  return html`<p class="registration">${booking.van.registration}</p>
<dl>${rows.map(([name, value]) => html`<div><dt>${name}</dt><dd>${fill(value, voice.values)}</dd></div>`)}</dl>`;
}

function numbers({ voice, view }: Shown): Html {
  const { firm } = voice.book;
  const roadside = roadsideOf(firm);
  const line = (name: string, number: string) =>
    html`<li>${name} <a class="number" href="${dial(number)}">${number}</a></li>`;
  return html`<ol class="order">
<li><b><span aria-hidden="true">▲</span> Danger to life</b> ${view.emergency.map((n, i) => html`${i > 0 ? " or " : ""}<a class="number" href="${dial(n)}">${n}</a>`)}, from outside the van</li>
${line(`All else: ${firm.name}, first`, firm.phone)}
${roadside ? line("Breakdown, and we did not answer twice: roadside assistance", roadside.phone) : ""}
</ol>`;
}

type Card = {
  /** An SVG of the code, of our own making; what it says, to type. */
  qr: string;
  address: string;
  /** Made at the desk: the page to go back to. */
  atDesk: string | undefined;
};

/** The sheet: on the hirer's page among their pages, at the desk alone. */
export function cardPage(shown: Shown, { qr, address, atDesk }: Card): Html {
  const { voice, booking } = shown;
  const { firm } = voice.book;
  const { registration } = booking.van;
  const title = "Card for the visor";
  const sheet = html`<p class="print"><button type="button" id="print" class="big">Print</button></p>
${atDesk === undefined ? "" : html`<p class="print"><a href="${atDesk}">Back to the hire</a></p>`}
<section class="card"><h1>${voice.van.name}, ${firm.name}</h1>
<div class="sides"><div>${measures(shown)}</div>
<figure><div class="qr" role="img" aria-label="Code that opens this hire's page">${new Html(qr)}</div><figcaption>This hire's page: guide, and a person. Keep it inside the van.</figcaption></figure></div>
<h2>Who to ring</h2>
${numbers(shown)}
<p class="small">${address}</p></section>
<section class="card slip"><h2>Please ring this for me</h2>
<p>I have a campervan, registration <b>${registration}</b>, from ${firm.name}. My phone does not work here. Please ring <b class="number">${firm.phone}</b> and tell them where I am.</p>
<p>Danger to life: please ring <b>${fill("{region.emergency}", voice.values)}</b>. ${phrase(voice, "tell-operator", { registration })}</p>
<p class="fill">Where:</p><p class="fill">What happened, how many people:</p><p class="fill">My name:</p></section>`;
  return atDesk === undefined
    ? guideShell(shown, "/chat/card", title, sheet)
    : shell(title, html`<main class="guide">${sheet}</main>`, guideCode);
}
