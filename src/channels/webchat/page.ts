/** The hirer's page: who to ring, the talk so far, and a box to write in. Works without script; better with it. */
import { clockOf, dayOf } from "../../calendar.js";
import { type Html, html } from "../../pages/html.js";
import type { Booking } from "../../post.js";
import type { TripEvent } from "../../store/events.js";
import { phrase, type Voice } from "../../wording/say.js";

const severityWords: Record<string, string> = {
  danger: "Danger",
  stop: "Do not drive on",
  soon: "Tell us today",
  note: "For information",
};
/** A shape beside every colour, so that the meaning does not hang on the colour alone. */
const severityShapes: Record<string, string> = { danger: "▲", stop: "■", soon: "◆", note: "●" };

const shell = (
  title: string,
  body: Html,
  scripts: readonly string[] = [],
  data: Record<string, string> = {},
) => html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<meta name="robots" content="noindex">
<meta name="color-scheme" content="light dark">
<title>${title}</title>
<link rel="stylesheet" href="/pages/chat.css">
${scripts.map((s) => html`<script type="module" src="/pages/${s}"></script>`)}
</head>
<body ${Object.entries(data).map(([k, v]) => html` data-${k}="${v}"`)}>
${body}
</body>
</html>`;

/** What a link shows first; nothing is used up by looking at it. */
export const openPage = (firm: string, token: string): Html =>
  shell(
    firm,
    html`<main class="plain"><h1>${firm}</h1>
<p>This link opens the page of your hire on this device.</p>
<form method="post" action="/h/${token}" id="open"><button class="big">Open my van's page</button></form></main>`,
    ["open.js"],
  );

/** A page that says one thing. */
export const sayPage = (firm: string, heading: string, lines: readonly (string | Html)[]): Html =>
  shell(
    firm,
    html`<main class="plain"><h1>${heading}</h1>${lines.map((l) => html`<p>${l}</p>`)}</main>`,
  );

const dial = (number: string) =>
  html`<a class="dial" href="tel:${number.replace(/[^\d+]/g, "")}">${number}</a>`;

/** Who to ring, in the order of the triage rules; always on the page, without any script. */
export function whoToRing(voice: Voice, numbers: readonly string[]): Html {
  const { firm } = voice.book;
  const roadside = Object.values(firm.contacts).find((c) => c.kind === "roadside");
  return html`<section class="ring" aria-label="Who do I ring">
<div class="ring-row danger"><span><b>Danger to life</b></span><span>${numbers.map((n) => html`${dial(n)} `)}</span></div>
<div class="ring-row"><span><b>Anything else</b></span><span>${dial(firm.phone)}</span></div>
${roadside ? html`<details><summary>Breakdown, and we do not answer?</summary><p>Roadside assistance, after you told us, or after two of us or ten minutes brought no answer: ${dial(roadside.phone)}</p></details>` : ""}
</section>`;
}

/** Paragraphs and line breaks of a message; telephone numbers of the firm become links. */
function lines(text: string): Html[] {
  return text.split("\n").map((l, i) => {
    const step = /^(\d+)\. (.*)$/.exec(l);
    if (step) return html`<span class="step"><i>${step[1]}</i>${step[2]}</span>`;
    if (l.startsWith("✗ ")) return html`<span class="never">${l}</span>`;
    if (l.startsWith("Take care: ")) return html`<span class="care">${l}</span>`;
    return i === 0 && text.includes("\n")
      ? html`<span class="head">${l}</span>`
      : html`<span>${l}</span>`;
  });
}

/** One message of the talk. */
export function messageHtml(event: TripEvent, zone: string): Html {
  const { more } = event;
  const mine = event.kind === "in";
  const severity = more.severity;
  return html`<li class="${mine ? "mine" : "theirs"}${severity ? ` ${severity}` : ""}" data-n="${event.n}" data-key="${more.arrival ?? ""}">
${severity && !mine ? html`<p class="severity"><span aria-hidden="true">${severityShapes[severity]}</span> ${severityWords[severity]}</p>` : ""}
<p class="text">${mine ? event.text : lines(event.text)}${more.lat !== undefined ? html`<a href="geo:${more.lat},${more.lon ?? 0}">My place: ${more.lat.toFixed(5)}, ${(more.lon ?? 0).toFixed(5)}</a>` : ""}</p>
${more.file ? html`<a href="/chat/photo/${more.file.id}"><img class="photo" src="/chat/photo/${more.file.id}" alt="The photo that you sent" loading="lazy"></a>` : ""}
${(more.pictures ?? []).map((p) => html`<a href="/pictures/${p}.svg" target="_blank" rel="noopener"><img class="picture" src="/pictures/${p}.svg" alt="" width="280" height="200" loading="lazy"></a>`)}
${(more.buttons ?? []).length > 0 ? html`<form method="post" action="/chat/tap" class="taps">${(more.buttons ?? []).map((b) => html`<button name="tap" value="${b.tap}">${b.label}</button>`)}</form>` : ""}
<time datetime="${new Date(event.at).toISOString()}">${clockOf(event.at, zone)}</time>
</li>`;
}

/** The whole page of a hire for one of its people. */
export function chatPage(
  voice: Voice,
  booking: Booking,
  person: { id: string; name: string },
  events: readonly TripEvent[],
  numbers: readonly string[],
): Html {
  const zone = booking.zone;
  let day = "";
  const talk = events.map((event) => {
    const on = dayOf(event.at, zone);
    const mark = on === day ? "" : html`<li class="day">${on}</li>`;
    day = on;
    return html`${mark}${messageHtml(event, zone)}`;
  });
  return shell(
    `${voice.van.name} ${booking.van.registration}`,
    html`<header><h1>${voice.van.name} <span class="plate">${booking.van.registration}</span></h1></header>
${whoToRing(voice, numbers)}
<main>
<ol id="talk" role="log" aria-live="polite" aria-label="Messages">
${events.length === 0 ? html`<li class="theirs intro"><p class="text">${phrase(voice, "greeting")}</p></li>` : ""}
${talk}
</ol>
</main>
<form id="say" method="post" action="/chat/say" autocomplete="off">
<label for="text" class="unseen">Write what you need or see</label>
<textarea id="text" name="text" rows="1" maxlength="4000" required placeholder="Write here"></textarea>
<button type="submit">Send</button>
<div class="more" hidden>
<button type="button" id="place">Share my place</button>
<label class="button">Send a photo<input type="file" id="photo" accept="image/*" class="unseen"></label>
</div>
<p id="state" role="status"></p>
</form>`,
    ["chat.js"],
    { hire: booking.hire, person: person.id, zone, last: `${events.at(-1)?.n ?? 0}` },
  );
}
