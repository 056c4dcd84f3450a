/** Below what waits: what people without a hire wrote, and what never arrived. */
import { type Instant, sayTime } from "../../calendar.js";
import { type Html, html } from "../../pages/html.js";
import type { TripEvent } from "../../store/events.js";

/** A telephone number to ring back, where it was a text message. */
const from = ({ channel, lane }: TripEvent): Html =>
  channel === "gateway"
    ? html`text message from <a class="dial" href="tel:${lane.slice("chat:gateway:".length)}">${lane.slice("chat:gateway:".length)}</a>`
    : html`${channel}`;

/** What people without a hire wrote in the last two days. */
export const strangersHtml = (events: readonly TripEvent[], now: Instant, zone: string): Html =>
  events.length === 0
    ? html``
    : html`<section class="strangers"><h2>From people without a hire</h2><ul>${events.map((e) => html`<li>${sayTime(e.at, now, zone)} by ${from(e)}: ${e.text.slice(0, 300)}</li>`)}</ul></section>`;

/** What came in and met an error of ours: the words are in the log of their hire. */
export const failedHtml = (
  rows: readonly { key: string; lane: string; receivedAt: Instant }[],
  now: Instant,
  zone: string,
): Html =>
  rows.length === 0
    ? html``
    : html`<section class="undelivered"><h2>Met an error here</h2><p>Look at what was written, and ring them. Tell whoever runs this service the word at the end.</p><ul>${rows.map((r) => html`<li>${sayTime(r.receivedAt, now, zone)} in ${r.lane.startsWith("hire:") ? html`<a href="/desk/hires/${r.lane.slice(5)}">this hire</a>` : html`a talk without a hire`} <code>${r.key}</code></li>`)}</ul></section>`;

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
