/** What a form that was sent, or a file that was taken, is written down as: which part of the desk, what, of what. Pure. */
import { type Form, text } from "../read-forms.js";

/** Forms that only look, keep a draft, or are written down elsewhere. */
const noAct = /\/(draft|look|try|enter|photo)$/;
/** Forms that only look unless they say "keep". */
const looksFirst = /\/(change|import)$/;
/** Files of many people's data: who takes one is written down as well. */
const fileTaken = /\.csv$/;
/** Whether a request of this route is an act, or takes a file. */
export const isTraced = (method: string, route: string): boolean =>
  method === "POST" || fileTaken.test(route);
const short = (value: string): string => (/^[\w .:-]{1,60}$/.test(value) ? value : "");

/**
 * Undefined: no act. Nothing that somebody wrote stands in it. `route`: as it was declared, so it is the same however
 * an address was written; `named`: what the address names, such as a hire's id.
 */
export function traceOf(
  route: string,
  named: Readonly<Record<string, unknown>>,
  form: Form,
): { what: string; about: string } | undefined {
  if (noAct.test(route)) return undefined;
  if (looksFirst.test(route) && !form["keep"]) return undefined;
  const field = (name: string): string => short(text(form, name));
  const words = route
    .split("/")
    .slice(2)
    .filter((word) => !word.startsWith(":"));
  const about = [
    ...Object.keys(named).map((name) => short(text(named, name))),
    field("hire"),
    field("callout") && `call-out ${field("callout")}`,
    ...[field("contact"), field("role"), field("entry")],
  ];
  return {
    what: [...words, field("do"), field("op")].filter(Boolean).join(" "),
    about: about.filter(Boolean).join(", "),
  };
}
