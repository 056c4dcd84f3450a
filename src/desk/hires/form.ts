/** The form of a hire, with what was typed and what is wrong beside each field. Pure. */
import type { Book } from "../../knowledge/book.js";
import { type Html, html } from "../../pages/html.js";
import { formKeys, type Who } from "../frame.js";

export type NewHire = Record<
  | "registration"
  | "type"
  | "pickup"
  | "return"
  | "zone"
  | "region"
  | "lang"
  | "surname"
  | "booker"
  | "phone"
  | "others",
  string
>;

/** What is wrong with each field. `sure`: what a tick sends that says the van is of another type than before. */
export type Wrong = Partial<Record<keyof NewHire | "sure", string>>;
const langs: readonly (readonly [string, string])[] = [
  ["en", "English"],
  ["de", "Deutsch"],
  ["fr", "Français"],
  ["es", "Español"],
  ["nl", "Nederlands"],
  ["it", "Italiano"],
  ["pl", "Polski"],
];

/** The fields of a hire, with what was typed and what is wrong beside each. `vans`: registrations to choose from. */
export function hireFields(
  book: Book,
  typed: Partial<NewHire>,
  wrong: Wrong,
  vans: readonly string[] = [],
): Html {
  const field = (name: keyof NewHire, label: string, more: Html) =>
    html`<label>${label} ${more}${wrong[name] ? html`<strong class="wrong" id="wrong-${name}">${wrong[name]}</strong>` : ""}</label>`;
  const input = (name: keyof NewHire, type = "text", fallback = "", more: Html | string = "") =>
    html`<input name="${name}" type="${type}" value="${typed[name] ?? fallback}"${more}${wrong[name] ? html` aria-invalid="true" aria-describedby="wrong-${name}"` : ""}>`;
  const choose = (
    name: keyof NewHire,
    options: readonly (readonly [string, string])[],
    fallback = "",
  ) =>
    html`<select name="${name}">${options.map(([value, label]) => html`<option value="${value}"${(typed[name] ?? fallback) === value ? html` selected` : ""}>${label}</option>`)}</select>`;
  const regions = [...book.regions].flatMap(([key, r]) => [
    [key, r.name] as const,
    ...Object.entries(r.nations)
      .filter(([k]) => k !== key)
      .map(([k, n]) => [k, n.name] as const),
  ]);
  const types = [...book.vans].map(([key, v]) => [key, v.name] as const);
  return html`${field("registration", "Registration", input("registration", "text", "", vans.length > 0 ? html` list="vans"` : ""))}
${vans.length > 0 ? html`<datalist id="vans">${vans.map((v) => html`<option value="${v}">`)}</datalist>` : ""}
${field("type", "Van type", choose("type", [["", "choose"], ...types]))}
${wrong.sure === undefined ? "" : html`<label class="tick"><span><input type="checkbox" name="sure" value="${wrong.sure}"> It is a ${book.vans.get(typed.type ?? "")?.name ?? typed.type}: its hirers get the height and the safety points of that.</span></label>`}
${field("pickup", "Pick-up (local time)", input("pickup", "datetime-local"))}
${field("return", "Return (local time)", input("return", "datetime-local"))}
${field("zone", "Time zone", input("zone", "text", book.firm.zone))}
${field("region", "Where they travel", choose("region", regions, book.firm.region))}
${field("lang", "Language for dangers (all else is English)", choose("lang", langs, "en"))}
${field("surname", "Surname of the booking", input("surname"))}
${field("booker", "First name of who booked", input("booker"))}
${field("phone", "Phone", input("phone", "tel"))}
${field("others", "Others on it, with commas", input("others"))}`;
}

/** The form for a new hire. */
export function newHirePage(
  book: Book,
  who: Who,
  id: string,
  typed: Partial<NewHire> = {},
  wrong: Wrong = {},
): Html {
  return html`<h1>Add a hire</h1>${Object.keys(wrong).length > 0 ? html`<p class="wrong" role="alert">Nothing was kept yet. Please mend what is marked.</p>` : ""}
<form method="post" action="/desk/hires/new" class="fields">${formKeys(who, id)}
${hireFields(book, typed, wrong)}
<button class="main">Keep this hire</button></form>`;
}
