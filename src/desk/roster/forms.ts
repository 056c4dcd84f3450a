/** The forms of the roster page: the weekly pattern, and what differs from it. What was typed stays typed. */
import { weekdays } from "../../knowledge/firm/roster.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { awayWhys } from "../../roster/change.js";
import { formKeys, type Who } from "../frame.js";
import { type Form, text } from "../read-forms.js";
import { type Row, rowsMost, rowsOf } from "./read.js";

/** What somebody typed, and what is wrong with it. */
export type Typed = { form: Form; wrong: string };

const staffOf = (firm: FirmFile): [string, string][] =>
  Object.entries(firm.contacts)
    .filter(([, c]) => c.kind === "staff")
    .map(([id, c]) => [id, c.name]);

const choose = (
  name: string,
  label: string,
  options: readonly (readonly [string, string])[],
  chosen: string,
): Html =>
  html`<label>${label} <select name="${name}">${options.map(([value, words]) => html`<option value="${value}" ${value === chosen ? html` selected` : ""}>${words}</option>`)}</select></label>`;
const input = (name: string, label: string, type: string, value: string, needed = true): Html =>
  html`<label>${label} <input name="${name}" type="${type}" value="${value}" ${needed ? html` required` : ""}></label>`;

const dayNames = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
const full = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

/** Rows of days and times; `contacts` adds a name to each. */
export function rowsHtml(rows: readonly Row[], contacts?: readonly [string, string][]): Html {
  return html`<div class="rows">${rows.map(
    (row, i) => html`<fieldset class="row"><legend>${contacts ? "Shift" : "Hours"} ${i + 1}</legend>
${contacts ? choose(`contact-${i}`, "Who", contacts, row.contact) : ""}
<div class="days" role="group" aria-label="Days on which it starts">${weekdays.map(
      (day, d) =>
        html`<label class="day"><input type="checkbox" name="days-${i}" value="${day}" aria-label="${full[d]}" ${row.days.includes(day) ? html` checked` : ""}><span>${dayNames[d]}</span></label>`,
    )}</div>
${input(`from-${i}`, "From", "time", row.from, false)}${input(`to-${i}`, "To", "time", row.to, false)}</fieldset>`,
  )}</div>`;
}

const empty = (contact: string): Row => ({ contact, days: [], from: "", to: "" });
/** Rows for a form: those that there are, and empty ones to fill. */
export const withEmpty = (rows: readonly Row[], more: number, contact = ""): Row[] =>
  [...rows, ...Array.from({ length: more }, () => empty(contact))].slice(0, rowsMost);

const wrongHtml = (typed: Typed | undefined): Html =>
  typed ? html`<p class="wrong" role="alert">Nothing was saved. ${typed.wrong}</p>` : html``;

/** The weekly pattern as a form. */
export function weeklyForm(firm: FirmFile, who: Who, id: string, typed?: Typed): Html {
  const staff = staffOf(firm);
  const rows = typed
    ? rowsOf(typed.form)
    : firm.roster.weekly.map((s) => ({ ...s, days: [...s.days] }));
  const fallback = typed ? text(typed.form, "fallback") : firm.roster.fallback;
  return html`${wrongHtml(typed)}<form method="post" action="/desk/roster/look">${formKeys(who, id)}<input type="hidden" name="op" value="weekly">
<p class="quiet">A shift that ends at or before its start runs into the next day, and keeps its wall time when the clocks change. Untick all days of a row to take it away.</p>
${rowsHtml(withEmpty(rows, 2, staff[0]?.[0]), staff)}
${choose("fallback", "When nobody is on, alert", staff, fallback)}
<button>Look at it before saving</button></form>`;
}

/** One form for each kind of exception; the one with something wrong in it stays open. */
export function exceptionForms(firm: FirmFile, who: Who, id: () => string, typed?: Typed): Html {
  const staff = staffOf(firm);
  const kind = typed ? text(typed.form, "kind") : "";
  const value = (of: string, name: string, fallback = "") =>
    typed && kind === of ? text(typed.form, name) : fallback;
  const form = (of: string, title: string, fields: Html) =>
    html`<details class="add" ${kind === of ? html` open` : ""}><summary>${title}</summary>${kind === of ? wrongHtml(typed) : ""}<form method="post" action="/desk/roster/look" class="fields">${formKeys(who, id())}<input type="hidden" name="op" value="add"><input type="hidden" name="kind" value="${of}">${fields}<button>Look at it before saving</button></form></details>`;
  const first = staff[0]?.[0] ?? "";
  return html`${form(
    "away",
    "Somebody is sick or away",
    html`${choose("contact", "Who", staff, value("away", "contact", first))}${input("from", "From (local time)", "datetime-local", value("away", "from"))}${input("to", "Until (local time)", "datetime-local", value("away", "to"))}${choose("why", "Why", awayWhys, value("away", "why", "sick"))}${choose("instead", "Who stands in", [["", "nobody"], ...staff], value("away", "instead"))}`,
  )}${form(
    "swap",
    "Two people swap",
    html`${choose("contact", "Who gives away a shift", staff, value("swap", "contact", first))}${input("on", "The day on which it starts", "date", value("swap", "on"))}${choose("with", "Who does it", staff, value("swap", "with", staff[1]?.[0] ?? ""))}${input("back", "In return: the day of a shift of theirs (may stay empty)", "date", value("swap", "back"), false)}`,
  )}${form(
    "shift",
    "A shift on one day",
    html`${choose("contact", "Who", staff, value("shift", "contact", first))}${input("on", "The day on which it starts", "date", value("shift", "on"))}${input("from", "From", "time", value("shift", "from"))}${input("to", "To", "time", value("shift", "to"))}${choose(
      "beside",
      "The others on then",
      [
        ["", "this shift takes their place"],
        ["yes", "they stay on too"],
      ],
      value("shift", "beside"),
    )}`,
  )}`;
}
