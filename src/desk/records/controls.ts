/** The parts of a record's form: rows of choices, numbers, ticks. Pure. */
import { type Html, html } from "../../pages/html.js";
import type { Shown } from "./view.js";

const why = ({ wrong }: Shown, name: string): Html =>
  wrong[name] ? html`<strong class="wrong" id="wrong-${name}">${wrong[name]}</strong>` : html``;
const marked = ({ wrong }: Shown, name: string): Html =>
  wrong[name] ? html` aria-invalid="true" aria-describedby="wrong-${name}"` : html``;

/** A row of choices, one of which is taken by one tap. */
export function chips(
  shown: Shown,
  name: string,
  legend: string | Html,
  options: readonly (readonly [value: string, label: string, said?: string])[],
  hint: string | Html = "",
): Html {
  const chosen = shown.fields[name] ?? "";
  return html`<fieldset class="chips"${marked(shown, name)}><legend>${legend}</legend>${hint ? html`<p class="hint">${hint}</p>` : ""}${why(shown, name)}<div>${options.map(([value, label, said]) => html`<label class="chip"><input type="radio" name="${name}" value="${value}"${value === chosen ? html` checked` : ""}${said ? html` aria-label="${said}"` : ""}><span>${label}</span></label>`)}</div></fieldset>`;
}

/** A tank by eighths. */
export const tank = (
  shown: Shown,
  name: string,
  legend: string,
  hint: string | Html = "",
  none = "Not read",
): Html =>
  chips(
    shown,
    name,
    legend,
    [
      ...["Empty", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞", "Full"].map(
        (label, i) => [`${i}`, label, i % 8 === 0 ? label : `${i} eighths`] as const,
      ),
      ["none", none],
    ],
    hint,
  );

export function number(
  shown: Shown,
  name: string,
  label: string | Html,
  more: { hint?: string | Html; placeholder?: string } = {},
): Html {
  return html`<label class="number">${label}${more.hint ? html` <span class="hint">${more.hint}</span>` : ""} <input name="${name}" inputmode="decimal" autocomplete="off" maxlength="12" value="${shown.fields[name] ?? ""}" placeholder="${more.placeholder ?? ""}"${marked(shown, name)}>${why(shown, name)}</label>`;
}

export const tick = (shown: Shown, name: string, label: string | Html): Html =>
  html`<label class="yes"><input type="checkbox" name="${name}" value="yes"${shown.fields[name] ? html` checked` : ""}> <span>${label}</span></label>`;

export const words = (shown: Shown, name: string, label: string, most = 1000): Html =>
  html`<label class="grow">${label} <textarea name="${name}" rows="2" maxlength="${most}">${shown.fields[name] ?? ""}</textarea></label>`;

/** What is wrong with a field that stands somewhere else. */
export const wrongOf = why;
