/** The roster page, and the look at a change before it is saved. */
import { type Instant, isoIn, sayTime } from "../../calendar.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { changed, endOf, type RosterOp, sayChange, sayException } from "../../roster/change.js";
import type { FirmState } from "../../roster/duty/state.js";
import { dutyEnd, nextOn, whoIsOn } from "../../roster/on-duty.js";
import { faultsOf } from "../../roster/outlook.js";
import { nameIn } from "../../roster/reach.js";
import type { TripEvent } from "../../store/events.js";
import { formKeys, type Who } from "../frame.js";
import { text } from "../read-forms.js";
import { contactsTable, ordersHtml, type Ways } from "./contacts.js";
import { daysTable, faultsHtml } from "./days.js";
import { exceptionForms, type Typed, weeklyForm } from "./forms.js";

export type RosterView = {
  firm: FirmFile;
  version: number;
  state: FirmState | undefined;
  ways: Ways;
  who: Who;
  now: Instant;
  /** Call-outs that are with whoever looks. */
  held: number;
  changes: readonly TripEvent[];
  id: () => string;
};

/** Who is on, who comes, and going off. */
function nowHtml(v: RosterView): Html {
  const { firm, now, who, state, id } = v;
  const { contacts, gap } = whoIsOn(firm, now);
  const time = (t: Instant | undefined) => (t === undefined ? "" : sayTime(t, now, firm.zone));
  const next = nextOn(firm, now, contacts);
  const on = contacts.map((c) => {
    const until = dutyEnd(firm, c, now);
    return html`<b>${nameIn(firm, c)}</b>${until ? ` until ${time(until)}` : ""}`;
  });
  const leaving = state?.leaving;
  const mine = contacts.includes(who.contact);
  const others = Object.entries(firm.contacts).filter(
    ([k, c]) => c.kind === "staff" && k !== who.contact,
  );
  const act = (what: string, inside: Html) =>
    html`<form method="post" action="/desk/duty" class="act">${formKeys(who, id())}<input type="hidden" name="do" value="${what}">${inside}</form>`;
  return html`<section><h2>On duty now</h2><p>${gap ? html`<b class="nobody">Nobody is on the roster.</b> Alerts go to ${on}.` : html`${on.map((o, i) => html`${i > 0 ? " and " : ""}${o}`)}.`}${next.length > 0 ? ` Then ${[...new Set(next.map((s) => nameIn(firm, s.contact)))].join(" and ")}, from ${time(next[0]?.from)}.` : ""}</p>
${leaving ? html`<p>${nameIn(firm, leaving.contact)} wants to go off. ${nameIn(firm, leaving.to)} is asked to take over; until ${nameIn(firm, leaving.to)} answers, ${nameIn(firm, leaving.contact)} stays on.</p>` : ""}${
  leaving?.contact === who.contact
    ? act("stay", html`<button>I stay on</button>`)
    : leaving?.to === who.contact
      ? act(
          "here",
          html`<input type="hidden" name="test" value="${leaving.test}"><button class="main">I take over</button>`,
        )
      : mine || v.held > 0
        ? act(
            "off",
            html`<label>Who takes over <select name="to"><option value="">the next on the roster</option>${others.map(([k, c]) => html`<option value="${k}">${c.name}</option>`)}</select></label><button>I go off now</button>`,
          )
        : ""
}${mine || v.held > 0 ? html`<p class="quiet">${v.held === 0 ? "You have no open matter." : `You have ${v.held} open: each stays with you until the next person has taken it, with its promise.`}</p>` : ""}</section>`;
}

/** What differs from the pattern, each with a way to take it away. */
function exceptionsHtml(v: RosterView): Html {
  const coming = v.firm.roster.exceptions
    .filter((e) => endOf(v.firm, e) > v.now)
    .sort((a, b) => endOf(v.firm, a) - endOf(v.firm, b));
  return coming.length === 0
    ? html`<p>Nothing differs from the pattern.</p>`
    : html`<ul class="people">${coming.map((exception) => {
        const op: RosterOp = { op: "remove", exception };
        return html`<li><form method="post" action="/desk/roster/look" class="act">${keptFields(v, op)}<span>${sayException(v.firm, exception)}</span> <button>Take away<span class="unseen">: ${sayException(v.firm, exception)}</span></button></form></li>`;
      })}</ul>`;
}

const keptFields = (v: RosterView, op: RosterOp): Html =>
  html`${formKeys(v.who, v.id())}<input type="hidden" name="op" value="kept"><input type="hidden" name="change" value="${JSON.stringify(op)}">`;

const changesHtml = (v: RosterView): Html =>
  v.changes.length === 0
    ? html`<p>Nothing was changed here yet: the firm's file holds.</p>`
    : html`<ol class="log">${v.changes.map((e) => html`<li><time datetime="${isoIn(e.at, v.firm.zone)}">${sayTime(e.at, v.now, v.firm.zone)}</time> <b>${e.who.replace(/^duty:/, "")}</b> ${e.text}</li>`)}</ol>`;

/** The whole page. `typed`: a form that could not be read, shown again with what is wrong. */
export function rosterPage(v: RosterView, saved: boolean, typed?: Typed): Html {
  const weekly = typed && text(typed.form, "op") === "weekly" ? typed : undefined;
  const own = typed && !weekly && text(typed.form, "op") === "add" ? typed : undefined;
  return html`<h1>Roster</h1>${saved ? html`<p class="saved" role="status">Saved. Call orders follow it from now on.</p>` : ""}${typed && !weekly && !own ? html`<p class="wrong" role="alert">Nothing was saved. ${typed.wrong}</p>` : ""}
${nowHtml(v)}
<section><h2>The coming fortnight</h2>${daysTable(v.firm, v.now)}${faultsHtml(v.firm, v.now)}</section>
<section><h2>What differs from the pattern</h2>${exceptionsHtml(v)}${exceptionForms(v.firm, v.who, v.id, own)}</section>
<section><h2>Weekly pattern</h2><details class="add" ${weekly ? html` open` : ""}><summary>Change the weekly pattern</summary>${weeklyForm(v.firm, v.who, v.id(), weekly)}</details></section>
<section id="contacts"><h2>Contacts</h2>${contactsTable(v.firm, v.ways)}</section>
<section><h2>Call orders</h2>${ordersHtml(v.firm, v.ways, v.now)}</section>
<section><h2>Changes and shifts</h2>${changesHtml(v)}</section>`;
}

/** A change before it is saved: what it says, gaps, overlaps, the days. `notice`: why it is looked at again. */
export function lookPage(v: RosterView, op: RosterOp, notice?: Html): Html {
  const after: FirmFile = { ...v.firm, roster: changed(v.firm, op, v.now) };
  const { gaps } = faultsOf(after, v.now);
  return html`<h1>Before it is saved</h1>${notice ?? ""}<p class="change"><b>The change:</b> ${sayChange(v.firm, op)}.</p>
<section><h2>What follows</h2>${faultsHtml(after, v.now)}</section>
<form method="post" action="/desk/roster/save" class="fields">${keptFields(v, op)}<input type="hidden" name="base" value="${v.version}">
${gaps.length > 0 ? html`<label class="tick"><input type="checkbox" name="gaps" value="known" required> <span>I know that nobody is on then, and that ${nameIn(after, after.roster.fallback)} is alerted.</span></label>` : ""}
<p class="acts"><button class="main">Save</button> <a href="/desk/roster">Back without saving</a></p></form>
<section><h2>The coming fortnight with it</h2>${daysTable(after, v.now, v.firm)}</section>`;
}
