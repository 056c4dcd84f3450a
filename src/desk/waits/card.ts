/** One call-out that waits: who, where, how soon, what was said and told, the steps so far and the next one, all that can be done. */

import { after, type Instant, isoIn, sayTime } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import { type CardLine, needWords } from "../../callouts/card.js";
import { isSecret } from "../../callouts/whose.js";
import { whereItStands } from "../../hires/heard/last.js";
import type { Hire } from "../../hires/hire.js";
import { roadsideOf } from "../../knowledge/firm/roadside.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { nameIn } from "../../roster/reach.js";
import type { TripEvent } from "../../store/events.js";
import { severityTag, telLink, type Who } from "../frame.js";
import { placeHtml } from "../place.js";
import { actsHtml, cardHtml, firstActs, offersHtml } from "./acts.js";
import { stepsHtml, stepsOf, talkHtml, toldOf } from "./log.js";
import { type Next, nextSteps, type Pending } from "./next.js";

export type Waiting = {
  callout: Callout;
  hire: Hire;
  /** Of the type of the van that it is about. */
  vanName: string;
  /** Kept with the hire; the latest last. */
  events: readonly TripEvent[];
  pending: readonly Pending[];
  /** What is read out to roadside assistance. */
  card: readonly CardLine[];
  /** "101; 999 or 112 if a life may be in danger": by the region of the hire. */
  welfare: string;
};
export type View = { who: Who; firm: FirmFile; now: Instant; id: () => string };

const time = (at: Instant, now: Instant, zone: string): Html =>
  html`<time datetime="${isoIn(at, zone)}" data-until="${at}">${sayTime(at, now, zone)}</time>`;

function stateHtml(c: Callout, name: (id: string | undefined) => string): Html {
  if (c.state !== "with") return html`<b class="nobody">nobody yet</b>`;
  const also = c.handing
    ? ", handing over"
    : c.offeredTo
      ? `, offered to ${name(c.offeredTo)}`
      : c.promiseBroken
        ? `, ${c.promisedAt === undefined ? "no sign of them" : "promise missed"}: anyone may take it`
        : "";
  return html`<b>with ${name(c.with)}</b>${also}`;
}

/** What makes it urgent, and where the hirers stand. */
function hurryHtml(c: Callout): Html {
  const why = (c.needs ?? []).map((need) => needWords[need]).join(", ");
  const safe =
    c.placeSafe === undefined ? "" : c.placeSafe ? "They say it is safe to wait there." : "";
  return html`${c.urgent ? html`<p class="nobody"><b>Urgent: ${why || "it cannot wait"}</b></p>` : ""}${safe || c.checked ? html`<p>${safe}${c.checked ? ` The guided check found: ${c.checked}.` : ""}</p>` : ""}`;
}

/** A hirer who is silent: who was asked to ring, and then the police. */
function silenceHtml(w: Waiting, v: View, name: (id: string | undefined) => string): Html {
  const { callout: c, hire } = w;
  const count = c.silent ?? 0;
  const who = hire.people.find((p) => p.id === c.person)?.name ?? c.left?.name ?? "them";
  if (count === 0) return html``;
  if (count === 1)
    return html`<p class="silence"><b>Not heard from ${who}.</b> ${c.ringer ? `${name(c.ringer)} was asked to ring.` : "Nobody could be asked to ring: ring now."}</p>`;
  return html`<div class="silence red" role="alert"><p><b>Still nothing heard from ${who}.</b> Ring once more${c.ringer ? ` (${name(c.ringer)} was asked)` : ""}. If they do not answer: ask the police for a welfare check (${w.welfare}).</p>${placeHtml(hire, v.now)}</div>`;
}

const dialHtml = (phone: string | undefined): Html => (phone ? html` ${telLink(phone)}` : html``);

function phoneHtml(w: Waiting, v: View, name: (id: string | undefined) => string): Html {
  const { phone, roadside: job } = w.callout;
  const { zone } = v.firm;
  const when = (at: Instant) => sayTime(at, v.now, zone);
  const road = job
    ? html`<p class="job"><b>Roadside assistance</b> ${job.came ? "is there" : `asked by ${name(job.by)} ${when(job.askedAt)}`}: ${job.reference ? html`reference <b>${job.reference}</b>` : html`<b class="nobody">no reference yet</b>`}${job.arrivesAt === undefined || job.came ? "" : html`, there by ${time(job.arrivesAt, v.now, zone)}`}${job.chased > 0 && !job.came ? html`. <b class="nobody">Late: ring them and ask for a time</b>${dialHtml(roadsideOf(v.firm)?.phone)}` : ""}</p>`
    : html``;
  return html`${phone ? html`<p class="job"><b>${name(phone.by)} is on the phone with them</b> since ${when(phone.since)}</p>` : ""}${road}`;
}

function nextHtml(c: Callout, next: readonly Next[], v: View): Html {
  const [first, ...rest] = next;
  const { zone } = v.firm;
  const by = time(c.answerBy, v.now, zone);
  const answer =
    c.state !== "nobody-yet"
      ? ""
      : c.answerBy > v.now
        ? html`<p>Somebody must answer by ${by}</p>`
        : html`<p>Nobody has answered: it was due by ${by}</p>`;
  return html`${answer}${first ? html`<p class="then">Next: <b>${first.what}</b> ${time(first.at, v.now, zone)}</p>` : ""}${rest.length > 0 ? html`<p class="quiet">then ${rest.map((n, i) => html`${i > 0 ? "; " : ""}${n.what} ${sayTime(n.at, v.now, zone)}`)}</p>` : ""}`;
}

const personHtml = (hire: Hire, c: Callout): Html =>
  html`${c.left ? html`<b>${c.left.name}</b>${dialHtml(c.left.phone)} (not on the hire any more; tell nobody else of it), ` : ""}${hire.people.map(
    (p, i) =>
      html`${i > 0 ? ", " : ""}${p.id === c.person ? html`<b>${p.name}</b>` : p.name}${dialHtml(p.phone)}`,
  )}`;

/** The number of the last thing that a hirer said, so that an open page tells when they write. */
const lastWords = ({ events, callout: c }: Waiting): number =>
  events.findLast((e) => e.kind === "in" && (!isSecret(c) || e.person === c.person))?.n ?? 0;

/** What was told longer ago is in the steps. */
const toldMin = 30;

/** What the service told who looks: the answer to what they did, or what they are to do. */
function toldLine(w: Waiting, v: View): Html {
  const told = toldOf(w.callout, w.events, v.who.contact);
  return told && told.at >= after(v.now, -toldMin)
    ? html`<p class="job">${sayTime(told.at, v.now, v.firm.zone)} <i>told to you:</i> ${told.text}</p>`
    : html``;
}

/** The article; its parts are replaced one by one while the page is open, but for the one under somebody's hands. */
export function waitingCard(w: Waiting, v: View): Html {
  const { callout: c, hire } = w;
  const { booking } = hire;
  const name = (id: string | undefined) => nameIn(v.firm, id ?? "");
  const acts = { hire, callout: c, firm: v.firm, who: v.who, now: v.now, id: v.id };
  const next = nextSteps(c, w.pending, v.now, name);
  const joined = (c.joined ?? []).map((n) => hire.callouts.find((o) => o.n === n)?.title ?? `${n}`);
  const steps = stepsOf(c, w.events, booking.zone, v.now, (id) => name(id));
  const label = `card-${hire.id}-${c.n}`;
  return html`<article class="card ${c.severity} ${c.state}" data-key="${hire.id}:${c.n}" data-severity="${c.severity}" data-hurry="${c.severity} ${c.urgent ? "urgent" : ""} ${(c.silent ?? 0) >= 2 ? "silent" : ""} ${(c.offers ?? []).join(",")}" data-news="${lastWords(w)}" data-told="${toldOf(c, w.events, v.who.contact, true)?.n ?? 0}" aria-labelledby="${label}">
<header data-part="head"><h2 id="${label}">${severityTag(c.severity)} ${c.title}</h2><p>${stateHtml(c, name)}</p></header>
<div data-part="who"><p><a href="/desk/hires/${hire.id}"><span class="plate">${(c.van ?? booking.van).registration}</span></a> ${w.vanName}, ${booking.surname} · ${personHtml(hire, c)}</p>${joined.length > 0 ? html`<p>Joined to this: ${joined.join("; ")}</p>` : ""}</div>
<div data-part="hurry">${hurryHtml(c)}</div>
<div data-part="place">${placeHtml(whereItStands(hire, c), v.now)}</div>
<div data-part="silence">${silenceHtml(w, v, name)}</div>
<div data-part="job">${phoneHtml(w, v, name)}</div>
<div data-part="next" class="next">${nextHtml(c, next, v)}</div>
<div data-part="told">${toldLine(w, v)}</div>
<div data-part="first">${firstActs(acts)}</div>
<div data-part="offers">${offersHtml(acts)}</div>
<div data-part="talk">${talkHtml(c, w.events, v.now, booking.zone)}</div>
<div data-part="steps">${c.note ? html`<p>Note: ${c.note}</p>` : ""}${stepsHtml(steps, v.now, booking.zone)}</div>
<div data-part="card">${c.kind === "person" || c.kind === "reading" ? "" : cardHtml(w.card)}</div>
<div data-part="acts">${actsHtml(acts)}</div>
</article>`;
}
