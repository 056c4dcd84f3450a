/** What waits for a person: one card a call-out, the worst first, with what was said, told and comes next. */
import { clockOf, type Instant, isoIn, sayTime } from "../calendar.js";
import type { Callout } from "../callouts/callout.js";
import type { Hire } from "../hires/hire.js";
import type { FirmFile } from "../knowledge/schema.js";
import { type Html, html } from "../pages/html.js";
import type { TripEvent } from "../store/events.js";
import { formKeys, severityTag, type Who } from "./frame.js";
import { placeHtml, placeLink } from "./place.js";

export type Waiting = {
  callout: Callout;
  hire: Hire;
  /** Kept with the hire; the latest last. */
  events: TripEvent[];
  /** When the next contact is tried, where one is due. */
  nextAt: Instant | undefined;
};

const counted = (label: string, at: Instant, now: Instant, zone: string): Html =>
  html`<span class="${at < now ? "over" : ""}">${label} <time datetime="${isoIn(at, zone)}" data-until="${at}">${sayTime(at, now, zone)}</time></span>`;

const name = (firm: FirmFile, id: string | undefined) => firm.contacts[id ?? ""]?.name ?? id ?? "";

function state(firm: FirmFile, c: Callout): Html {
  if (c.state !== "with") return html`<b class="nobody">nobody yet</b>`;
  const also = c.offeredTo
    ? html`, passing it on to ${name(firm, c.offeredTo)}`
    : c.promiseBroken
      ? html`, promise missed: anyone may take it`
      : "";
  return html`<b>with ${name(firm, c.with)}</b>${also}`;
}

/** The last things said and told about it. */
function said(events: readonly TripEvent[], zone: string): Html {
  const shown = events.filter((e) => e.kind !== "out" || e.person !== null).slice(-8);
  return html`<ol class="said">${shown.map((e) => html`<li class="${e.kind}"><time>${clockOf(e.at, zone)}</time> <b>${e.who.replace(/^(hirer|duty):/, "")}</b> ${e.kind === "out" ? html`<i>told:</i> ` : ""}${e.text.slice(0, 240)}${e.text.length > 240 ? " …" : ""}${e.more.lat === undefined ? "" : html` place ${placeLink({ ...e.more, lat: e.more.lat, lon: e.more.lon ?? 0 })}`}${e.more.file ? html`<a href="/desk/photo/${e.more.file.id}?hire=${e.lane.slice(5)}">photo</a>` : ""}</li>`)}</ol>`;
}

/** One call-out as a card with everything that can be done to it. */
export function waitingCard(
  w: Waiting,
  who: Who,
  firm: FirmFile,
  now: Instant,
  id: () => string,
): Html {
  const { callout: c, hire } = w;
  const { booking } = hire;
  const person = hire.people.find((p) => p.id === c.person);
  const act = (what: string, inside: Html, cls = "") =>
    html`<form method="post" action="/desk/act" class="act ${cls}">${formKeys(who, id())}<input type="hidden" name="hire" value="${hire.id}"><input type="hidden" name="callout" value="${c.n}"><input type="hidden" name="do" value="${what}">${inside}</form>`;
  const others = Object.entries(firm.contacts).filter(
    ([k, v]) => v.kind === "staff" && k !== who.contact,
  );
  const mine = c.with === who.contact;
  return html`<article class="card ${c.severity} ${c.state}" data-key="${hire.id}:${c.n}" data-severity="${c.severity}">
<header><h2>${severityTag(c.severity)} ${c.title}</h2><p>${state(firm, c)}${c.urgent ? html` · <b class="nobody">urgent</b>` : ""}${c.checked ? html` · the check found: ${c.checked}` : ""}</p></header>
<p><a href="/desk/hires/${hire.id}"><span class="plate">${booking.van.registration}</span> ${booking.van.type}, ${booking.surname}</a> · ${person?.name ?? "somebody"} ${person?.phone ? html`<a class="dial" href="tel:${person.phone.replace(/[^\d+]/g, "")}">${person.phone}</a>` : ""}</p>
${placeHtml(hire, now)}
<p class="next">${counted("Answer by", c.answerBy, now, booking.zone)}${c.promisedAt ? html` · ${counted("promised by", c.promisedAt, now, booking.zone)}` : ""}${c.hearFromBy ? html` · ${counted("hear from them by", c.hearFromBy, now, booking.zone)}` : ""}${w.nextAt && c.state === "nobody-yet" ? html` · ${counted("next contact", w.nextAt, now, booking.zone)}` : ""}${(c.silent ?? 0) >= 2 ? html` <b class="nobody">Still silent: ask the police for a welfare check if they do not answer.</b>` : ""}</p>
<p class="tried">Alerted so far: ${c.alerted.map((a) => name(firm, a)).join(", ") || "nobody"}</p>
${said(w.events, booking.zone)}
<div class="acts">
${mine ? "" : act("take", html`<button class="main">I take it</button>`)}
${act("promise", html`<label>I ring them by <input type="time" name="clock" required></label><button>Promise</button>`)}
${act("reply", html`<input type="hidden" name="person" value="${c.person}"><label class="grow">Write to ${person?.name ?? "them"} <textarea name="text" rows="2" maxlength="3500" required></textarea></label><button>Send</button>`, "wide")}
${mine ? act("pass", html`<label>Pass on to <select name="to">${others.map(([k, v]) => html`<option value="${k}">${v.name}</option>`)}</select></label><button>Pass on</button>`) : ""}
${act("note", html`<label class="grow">Note <input name="note" maxlength="1000" required></label><button>Keep note</button>`)}
${act("done", html`<label>How it ended <select name="outcome">${Object.entries(firm.outcomes).map(([k, v]) => html`<option value="${k}">${v}</option>`)}</select></label><button>Done</button>`)}
</div></article>`;
}

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
