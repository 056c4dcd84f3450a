/** The hirer's page: who to ring, the talk so far, and a box to write in. Works without script; better with it. */

import { addressOf, ownStyle } from "../../page-files.js";
import { Html, html } from "../../pages/html.js";
import { type Booking, mostLetters } from "../../post.js";
import type { TripEvent } from "../../store/events.js";
import { phrase, type Voice } from "../../wording/say.js";
import { dayWords, dial, linked, messageHtml, tapped, type View } from "./message.js";
import { callOrder, whoToRing } from "./ring.js";

type Shell = {
  script?: "chat" | "guide" | "open";
  /** Styles beside the one that stands in every page. */
  styles?: readonly string[];
  data?: Record<string, string>;
};

/** A page of the hirer's: title, body, and its browser code. */
export const shell = (
  title: string,
  body: Html,
  { script, styles = [], data = {} }: Shell = {},
): Html => html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1, interactive-widget=resizes-content">
<meta name="referrer" content="same-origin">
<meta name="robots" content="noindex">
<meta name="color-scheme" content="light dark">
<meta name="format-detection" content="telephone=no">
<title>${title}</title>
<link rel="icon" href="${addressOf("/pages/icon.svg")}">
<link rel="apple-touch-icon" href="/pages/icon-180.png">
<link rel="manifest" href="/app.webmanifest">
<style>${new Html(ownStyle().text)}</style>
${styles.map((s) => html`<link rel="stylesheet" href="${addressOf(`/pages/${s}.css`)}">`)}
${script ? html`<script type="module" src="${addressOf(`/pages/${script}.js`)}"></script>` : ""}
</head>
<body${Object.entries(data).map(([k, v]) => html` data-${k}="${v}"`)}>
${body}
</body>
</html>`;

/** What a link shows first: who to ring, and the way in. Nothing is used up by looking at it. */
export const openPage = (voice: Voice, emergency: readonly string[], token: string): Html =>
  shell(
    voice.book.firm.name,
    html`<header class="top"><p class="van">${voice.van.name}</p>
${whoToRing(voice, emergency)}</header>
<main class="plain"><h1>${voice.book.firm.name}</h1>
<p>This link opens the page of your hire on this device.</p>
<form method="post" action="/h/${token}" id="open"><button class="big">Open my van's page</button></form></main>`,
    { script: "open" },
  );

/** A page that says one thing, and whom to ring. `kept`: words that the visitor need not write again. */
export const sayPage = (
  firm: { name: string; phone: string },
  emergency: readonly string[],
  heading: string,
  text: string,
  kept = "",
): Html =>
  shell(
    firm.name,
    html`<main class="plain"><h1>${heading}</h1><p>${text}</p>
${kept ? html`<p>You wrote:</p><blockquote>${kept}</blockquote>` : ""}
<p>Danger to life: ${emergency.map((n) => html`<a class="number" href="${dial(n)}">${n}</a> `)}</p>
<p>${firm.name}: <a class="number" href="${dial(firm.phone)}">${firm.phone}</a></p></main>`,
  );

type ChatPage = {
  voice: Voice;
  view: View;
  booking: Booking;
  person: { id: string; name: string };
  /** In order; the last ones of the talk. */
  events: readonly TripEvent[];
  /** Earlier ones are left out. */
  more: boolean;
  /** The hire is over: only dangers are still heard. */
  over: boolean;
};

/** Shown by the page's script where there is no signal; what it says is true whatever was written before. */
const noSignal = (
  voice: Voice,
  view: View,
): Html => html`<section id="no-signal" hidden aria-label="No signal">
<p><b>${phrase(voice, "no-signal")}</b> ${linked(phrase(voice, "no-signal-ring"), view)}</p>
<p>${linked(phrase(voice, "rang-twice"), view)}</p>
<div class="found"></div>
<p class="taps"><a class="button" href="/chat/steps">Step by step</a></p>
</section>`;

/** The whole page of a hire for one of its people. */
export function chatPage({ voice, view, booking, person, events, more, over }: ChatPage): Html {
  const chosen = tapped(events);
  const latest = events.findLast((e) => e.kind === "in")?.n;
  let day = "";
  const talk = events.map((event) => {
    const on = dayWords(event.at, view.zone);
    const mark = on === day ? "" : html`<li class="day">${on}</li>`;
    day = on;
    return html`${mark}${messageHtml(event, view, chosen.get(event.n), event.n === latest)}`;
  });
  return shell(
    `${voice.van.name} ${booking.van.registration}`,
    html`<header class="top"><h1>${voice.van.name} <span class="plate">${booking.van.registration}</span></h1>
${whoToRing(voice, view.emergency)}</header>
<main>
${callOrder(voice, view.emergency)}
<p class="earlier"><a href="/chat/guide">Guide of my van</a><br><small id="kept">&nbsp;</small></p>
<p class="earlier"><a href="/chat/calendar">Reminders in my calendar</a></p>
${more ? html`<p class="earlier"><a href="/chat?all=1">Earlier messages</a></p>` : ""}
${over ? html`<p class="over" role="note">This hire has ended. Dangers are still heard here; for all else ring ${linked(voice.book.firm.phone, view)}.</p>` : ""}
<section role="log" aria-live="polite" aria-label="Messages"><ol id="talk">
${events.length === 0 ? html`<li class="theirs intro"><p class="line">${linked(phrase(voice, "greeting"), view)}</p></li>` : ""}
${talk}
</ol></section>
<ol id="queue" aria-label="Not yet with us"></ol>
${noSignal(voice, view)}
<noscript><p class="earlier"><a href="/chat#latest">Look for new messages</a></p></noscript>
</main>
<form id="say" method="post" action="/chat/say" autocomplete="off" aria-label="Write to us">
<p class="below"><button type="button" id="below" hidden></button></p>
<p id="state" role="status"></p>
<label for="text" class="unseen">Write what you need or see</label>
<textarea id="text" name="text" rows="1" maxlength="${mostLetters}" required placeholder="Write here"></textarea>
<button type="submit">Send</button>
<div class="tools">
<button type="button" id="place">Share place</button>
<label class="button">Send photo<input type="file" id="photo" accept="image/*" class="unseen"></label>
<a class="button" href="/chat/guide">Guide</a>
</div>
</form>
<dialog id="large" aria-label="Picture, large"><form method="dialog"><button>Close</button></form><img alt=""></dialog>`,
    {
      script: "chat",
      data: { hire: booking.hire, person: person.id, last: `${events.at(-1)?.n ?? 0}` },
    },
  );
}
