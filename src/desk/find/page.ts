/** What was found, and the form for a telephone call. Pure. */
import { type Instant, sayTime } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { type Html, html } from "../../pages/html.js";
import { formKeys, type Who } from "../frame.js";
import type { Found } from "./find.js";

const state = ({ hire: h }: Found, now: Instant): string => {
  const time = (at: number) => sayTime(at as Instant, now, h.zone);
  if (h.status === "cancelled") return "cancelled";
  if (h.return_record_at !== null) return `back ${time(h.return_record_at)}`;
  if (h.pickup_at > now) return `from ${time(h.pickup_at)}`;
  return h.return_at < now
    ? `late, due ${time(h.return_at)}`
    : `on the road until ${time(h.return_at)}`;
};

/** The list; put in by the page while somebody types, or shown whole. */
export function foundList(found: readonly Found[], asked: string, now: Instant): Html {
  if (found.length === 0)
    return html`<p>No hire is found for “${asked}”. Part of a registration, a surname, or the last three digits of a phone will do.</p>`;
  return html`<ul class="found">${found.map((f) => {
    const { hire: h, person } = f;
    return html`<li><a href="/desk/hires/${h.id}"><span class="plate">${h.registration}</span> <b>${h.surname}</b></a> <span>${h.booker} · ${state(f, now)}</span> <a class="button" href="/desk/hires/${h.id}/call${person ? `?person=${person}` : ""}">Write down a call<span class="unseen"> of ${h.surname}</span></a></li>`;
  })}</ul>`;
}

export const foundPage = (found: readonly Found[], asked: string, now: Instant): Html =>
  html`<h1>Found for “${asked}”</h1>${foundList(found, asked, now)}`;

const outcomes: readonly (readonly [string, string])[] = [
  ["answered", "answered"],
  ["ring", "I ring back"],
  ["matter", "somebody must see to it"],
];

/** The form for a call: who, what about, how it ended. `wrong`: what to mend in what was typed. */
export function callPage(
  hire: Hire,
  who: Who,
  id: string,
  typed: Record<string, unknown> = {},
  wrong?: string,
): Html {
  const value = (name: string) => (typeof typed[name] === "string" ? typed[name] : "");
  const chosen = value("outcome") || "answered";
  const isOther = typed["person"] === "" || value("who") !== "";
  const caller = value("person") || (hire.people.find((p) => p.booker) ?? hire.people[0])?.id;
  const more = chosen !== "answered" || isOther || !["", "note"].includes(value("severity"));
  const is = (yes: boolean, what: "checked" | "selected") => (yes ? html` ${what}` : "");
  return html`<h1>A telephone call</h1><p><a href="/desk/hires/${hire.id}"><span class="plate">${hire.booking.van.registration}</span> ${hire.booking.surname}</a></p>
${wrong ? html`<p class="wrong" role="alert" id="wrong">${wrong}</p>` : ""}
<form method="post" action="/desk/hires/${hire.id}/call" class="fields call">${formKeys(who, id)}
<label>Who rang <select name="person">${hire.people.map((p) => html`<option value="${p.id}"${is(!isOther && p.id === caller, "selected")}>${p.name}${p.phone ? ` (${p.phone})` : ""}</option>`)}<option value=""${is(isOther, "selected")}>somebody else</option></select></label>
<label>What about <textarea name="about" rows="3" maxlength="900" required autofocus>${value("about")}</textarea></label>
<fieldset><legend>How it ended</legend>${outcomes.map(([key, label]) => html`<label class="tick"><input type="radio" name="outcome" value="${key}"${is(chosen === key, "checked")}> ${label}</label>`)}</fieldset>
<details${more ? html` open` : ""}><summary>By when, how bad, who else</summary>
<label>I ring back by <input type="time" name="clock" value="${value("clock")}"></label>
<label>May the van move <select name="severity">${[
    ["note", "yes, it is a question"],
    ["soon", "gently: look at it today"],
    ["stop", "no: it must not move"],
    ["danger", "a life is in danger: all staff are alerted"],
  ].map(
    ([key, label]) =>
      html`<option value="${key ?? ""}"${is(value("severity") === key, "selected")}>${label}</option>`,
  )}</select></label>
<label>Who sees to it <select name="mine"><option value="1">I do</option><option value=""${is("mine" in typed && value("mine") === "", "selected")}>whoever is on duty: alert them</option></select></label>
<label>Who rang, if it was somebody else <input name="who" maxlength="60" value="${value("who")}"></label></details>
<button class="main">Keep the call</button></form>`;
}
