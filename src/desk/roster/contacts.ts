/** Contacts and call orders: who they are, how and when they are reached, and where an order reaches nobody. */
import { after, type Instant, sayTime } from "../../calendar.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { nameIn, type StaffReach } from "../../roster/reach.js";
import { callOrder } from "../../triage/order.js";
import { type OrderOf, ordersOf, type Weak, weakIn } from "../../triage/reached.js";
import { formKeys, telLink, type Who } from "../frame.js";
import { text } from "../read-forms.js";
import { rowsHtml, type Typed, withEmpty } from "./forms.js";
import { asShown, hoursKey, rowsOf } from "./read.js";

/** What is known of the ways to staff: who has a password for the desk, too. */
export type Ways = StaffReach & { accounts: ReadonlySet<string> };

const hoursText = (hours: FirmFile["contacts"][string]["hours"]): string =>
  hours.length === 0
    ? "at any hour"
    : hours
        .map(
          (h) =>
            `${h.days.map((d) => `${d.charAt(0).toUpperCase()}${d.slice(1)}`).join(" ")} ${h.from}–${h.to}`,
        )
        .join("; ");

function waysText(firm: FirmFile, id: string, ways: Ways): string[] {
  const contact = firm.contacts[id];
  if (contact?.kind !== "staff") return [];
  return [
    ...(contact.desk
      ? [
          ways.accounts.has(id)
            ? `desk${ways.atDesk.includes(id) ? " (there now)" : ""}`
            : "desk (no password set)",
        ]
      : []),
    ...(ways.telegram[id] ? ["Telegram"] : []),
    ...(contact.hook ? [ways.hook ? "staff hook, rings" : "staff hook (not set up)"] : []),
  ];
}

/** Everybody, with a way to change what may be changed here. */
export function contactsTable(firm: FirmFile, ways: Ways): Html {
  return html`<ul class="people">${Object.entries(firm.contacts).map(([id, c]) => {
    const by = waysText(firm, id, ways);
    const reached =
      c.kind === "roadside"
        ? html`Hirers ring it; we never alert it.`
        : html`Reached by ${by.length > 0 ? by.join(", ") : html`<b class="nobody">no channel</b>`} · alerted ${hoursText(c.hours)}${c.hours.length > 0 ? ", on duty and in danger always" : ""}`;
    return html`<li><p><b>${c.name}</b>, to hirers “${c.role}” · ${telLink(c.phone)} · <a href="/desk/roster/contacts/${id}">Change<span class="unseen"> ${c.name}</span></a></p>
<p>${reached}</p></li>`;
  })}</ul>`;
}

/** One contact as a form. */
export function contactForm(
  firm: FirmFile,
  contact: string,
  telegram: string,
  base: number,
  who: Who,
  id: string,
  typed?: Typed,
): Html {
  const c = firm.contacts[contact];
  if (!c) return html``;
  // What was not touched is shown as it is now.
  const value = (name: "role" | "phone" | "telegram", now: string) =>
    typed && !asShown(typed.form, name) ? text(typed.form, name) : now;
  const was = (name: string, now: string) =>
    html`<input type="hidden" name="${name}-was" value="${now}">`;
  const rows =
    typed && !asShown(typed.form, "hours")
      ? rowsOf(typed.form)
      : c.hours.map((h) => ({ contact: "", ...h }));
  return html`<h1>${c.name}</h1>${typed ? html`<p class="wrong" role="alert">Nothing was saved. ${typed.wrong}</p>` : ""}
<form method="post" action="/desk/roster/contacts/${contact}" class="fields wide">${formKeys(who, id)}<input type="hidden" name="base" value="${base}">
<label>Role, as hirers read it (on duty: the duty person) <input name="role" value="${value("role", c.role)}" maxlength="60" required></label>${was("role", c.role)}
<label>Phone <input name="phone" type="tel" value="${value("phone", c.phone)}" required></label>${was("phone", c.phone)}
${
  c.kind === "staff"
    ? html`<label>Telegram chat (its number; empty: none) <input name="telegram" inputmode="numeric" value="${value("telegram", telegram)}"></label>${was("telegram", telegram)}${was("hours", hoursKey(c.hours))}
<h2>Hours</h2><p class="quiet">When ${c.name} may be alerted besides shifts. No day ticked: at any hour. On duty, and when life is in danger, ${c.name} is alerted at any hour.</p>${rowsHtml(withEmpty(rows, 2))}`
    : ""
}
<button class="main">Save</button> <a href="/desk/roster">Back without saving</a></form>`;
}

const words: Record<string, string> = {
  danger: "Danger to life, all at once",
  stop: "Must not move",
  soon: "May move gently",
  person: "A question",
  note: "A note",
};
const kindWords: Record<string, string> = { light: "light", fault: "fault", reading: "check" };
const title = (of: OrderOf): string =>
  `${words[of.severity]}${of.kind ? ` (${kindWords[of.kind] ?? of.kind})` : ""}`;

const whyWeak: Record<Weak["how"], string> = {
  nobody: "reaches nobody: none of them has any channel",
  desk: "reaches somebody only while they are signed in at the desk",
  hours: "finds all of them away or outside their hours; they are alerted all the same",
};
const most = 5;

/** Each call order as it is now, and when in the coming fortnight it is weak. */
export function ordersHtml(firm: FirmFile, ways: Ways, now: Instant): Html {
  const until = after(now, 14 * 24 * 60);
  return html`<ol class="orders">${ordersOf(firm).map((of) => {
    const weak = weakIn(firm, ways, of, now, until);
    const always = weak.length === 1 && weak[0]?.from === now && weak[0].to === until;
    const when = (w: Weak) =>
      always
        ? "at every hour"
        : `${sayTime(w.from, now, firm.zone)} to ${sayTime(w.to, now, firm.zone)}`;
    return html`<li><p><b>${title(of)}</b>: ${
      callOrder(firm, of.severity, now, of.kind)
        .map((id) => nameIn(firm, id))
        .join(of.severity === "danger" ? ", " : ", then ") || "nobody"
    }</p>
${weak.length === 0 ? "" : html`<ul class="problem">${weak.slice(0, most).map((w) => html`<li>${when(w)}: it ${whyWeak[w.how]}${always ? "" : ` (${w.contacts.map((id) => nameIn(firm, id)).join(", ")})`}</li>`)}${weak.length > most ? html`<li>and ${weak.length - most} times more in the coming fortnight</li>` : ""}</ul>`}</li>`;
  })}</ol>`;
}
