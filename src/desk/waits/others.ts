/** Around what waits: what people without a hire wrote, and what never arrived. */
import { type Instant, sayTime } from "../../calendar.js";
import type { StrangerAlert } from "../../hires/hire.js";
import { hireIn } from "../../lanes.js";
import { type Html, html } from "../../pages/html.js";
import type { TripEvent } from "../../store/events.js";
import { formKeys, severityTag, telLink } from "../frame.js";
import type { View } from "./card.js";

/** A telephone number to ring back, where it was a text message. */
const from = ({ channel, to }: { channel: string | null; to: string }): Html =>
  channel === "gateway" ? html`text message from ${telLink(to)}` : html`${channel}`;

/** One of them in danger, until somebody of staff looks after it: a card among what waits. */
export function strangerCard(
  { lane, alert }: { lane: string; alert: StrangerAlert },
  { who, firm, now, id }: View,
): Html {
  const [, channel = "", to = ""] = lane.split(":");
  const label = `card-${lane}`;
  return html`<article class="card danger nobody-yet" data-key="${lane}" data-severity="danger" data-hurry="danger" data-news="${alert.at}" aria-labelledby="${label}">
<header data-part="head"><h2 id="${label}">${severityTag("danger")} Somebody without a hire</h2><p><b class="nobody">nobody yet</b></p></header>
<div data-part="who"><p>${alert.from.name ?? "No name"}, by ${from({ channel, to })}</p></div>
<div data-part="place">${alert.place ? html`<p>They are at: ${alert.place}</p>` : ""}</div>
<div data-part="talk"><ol class="said"><li class="in"><time>${sayTime(alert.at, now, firm.zone)}</time> ${alert.words.slice(0, 1000)}</li></ol><p class="quiet">They were told to ring the emergency services. What else they wrote stands below.</p></div>
<div data-part="first"><form method="post" action="/desk/seen" class="act">${formKeys(who, id())}<input type="hidden" name="lane" value="${lane}"><button class="main">I look after it</button></form></div>
</article>`;
}

/** What people without a hire wrote in the last two days. */
export const strangersHtml = (events: readonly TripEvent[], now: Instant, zone: string): Html =>
  events.length === 0
    ? html``
    : html`<section class="strangers"><h2>From people without a hire</h2><ul>${events.map((e) => html`<li>${sayTime(e.at, now, zone)} by ${from({ channel: e.channel, to: e.lane.slice("chat:gateway:".length) })}: ${e.text.slice(0, 300)}</li>`)}</ul></section>`;

/** Said above what waits: what hirers write by Telegram may not come in. */
export const telegramHtml = (doubts: readonly string[]): Html =>
  doubts.length === 0
    ? html``
    : html`<div class="noring" role="note"><b>Messages by Telegram may not come in.</b> Tell whoever runs this service:<ul>${doubts.map((why) => html`<li>${why}</li>`)}</ul></div>`;

/** What came in and met an error of ours: the words are in the log of their hire. */
export const failedHtml = (
  rows: readonly { key: string; lane: string; receivedAt: Instant }[],
  now: Instant,
  zone: string,
): Html =>
  rows.length === 0
    ? html``
    : html`<section class="undelivered"><h2>Met an error here</h2><p>Look at what was written, and ring them. Tell whoever runs this service the word at the end.</p><ul>${rows.map((r) => html`<li>${sayTime(r.receivedAt, now, zone)} in ${hireIn(r.lane) ? html`<a href="/desk/hires/${hireIn(r.lane)}">this hire</a>` : html`a talk without a hire`} <code>${r.key}</code></li>`)}</ul></section>`;

/** Messages that never arrived. */
export const notDelivered = (
  rows: readonly {
    key: string;
    lane: string;
    send: { who: string; message: { text: string } };
    madeAt: Instant;
    error: string;
  }[],
  now: Instant,
  zone: string,
): Html =>
  rows.length === 0
    ? html``
    : html`<section class="undelivered"><h2>Not delivered</h2><ul>${rows.map((r) => html`<li data-key="${r.key}">${sayTime(r.madeAt, now, zone)} to <b>${r.send.who.replace(/^(hirer|duty):/, "")}</b>: ${r.send.message.text.slice(0, 120)} <i>(${r.error})</i></li>`)}</ul></section>`;
