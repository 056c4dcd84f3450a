/** What a form that was sent is written down as: which part of the desk, what it does, what it is about. Pure. */

/** Forms that only look, keep a draft, or are written down elsewhere. */
const noAct = /\/(draft|look|try|enter|photo)$/;
/** Forms that only look unless they say "keep". */
const looksFirst = /\/(change|import)$/;
/** A part of the desk, then a word: what follows a hire's or van's id. */
const shape = /^\/desk\/([a-z-]+)(?:\/([^/]+))?(?:\/([a-z-]+(?:\/[a-z-]+)?))?$/;
const named = new Set(["hires", "vans"]);
const short = (value: unknown): string =>
  typeof value === "string" && /^[\w .:-]{1,60}$/.test(value) ? value : "";

/** Undefined: no act. Nothing that somebody wrote stands in it. */
export function traceOf(
  path: string,
  form: Readonly<Record<string, unknown>>,
): { what: string; about: string } | undefined {
  const [, part = "", second = "", third = ""] = shape.exec(path) ?? [];
  if (part === "" || noAct.test(path)) return undefined;
  if (looksFirst.test(path) && !form["keep"]) return undefined;
  const hasId = named.has(part) && second !== "new";
  let id = "";
  try {
    id = hasId ? decodeURIComponent(second) : "";
  } catch {
    // Whatever it is, it is no id.
  }
  const verb = hasId ? third : [second, third].filter(Boolean).join(" ");
  const what = [part, verb.replace("/", " "), short(form["do"]), short(form["op"])];
  const about = [
    ...[short(id), short(form["hire"])],
    short(form["callout"]) && `call-out ${short(form["callout"])}`,
    ...[short(form["contact"]), short(form["role"]), short(form["entry"])],
  ];
  return { what: what.filter(Boolean).join(" "), about: about.filter(Boolean).join(", ") };
}
