/** HTML by tagged template: whatever is put in is escaped, unless it is itself `html`. Pure. */
export class Html {
  readonly text: string;
  constructor(text: string) {
    this.text = text;
  }
  toString(): string {
    return this.text;
  }
}

type Value = Html | string | number | boolean | null | undefined | readonly Value[];

/** The five characters that mean something in HTML text and attributes. */
const escaped = (text: string): string =>
  text.replace(
    /[&<>"']/g,
    (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" })[c] ?? c,
  );

function put(value: Value): string {
  if (value === null || value === undefined || value === false || value === true) return "";
  if (value instanceof Html) return value.text;
  return Array.isArray(value) ? value.map(put).join("") : escaped(String(value));
}

/** `html\`<p>${text}</p>\``: lists are joined, null, undefined and booleans are nothing. */
export function html(parts: TemplateStringsArray, ...values: Value[]): Html {
  return new Html(
    parts.reduce((out, part, i) => out + part + (i < values.length ? put(values[i]) : ""), ""),
  );
}
