/** Hires from a file or from another program: the form, the dry run, what was kept, and the tokens. Pure. */
import { columns, type LineProblem } from "../../bookings/csv.js";
import { type Instant, sayTime } from "../../calendar.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { nameIn } from "../../roster/reach.js";
import type { ProgramToken } from "../../store/firm/program-tokens.js";
import { formKeys, type Who } from "../frame.js";
import type { Fate } from "./plan.js";

type BookingsView = {
  tokens: readonly ProgramToken[];
  firm: FirmFile;
  who: Who;
  now: Instant;
  id: () => string;
  apiUrl: string;
  /** A token just made: shown once. */
  made?: { name: string; token: string };
  wrong?: string;
};

function tokenRow(v: BookingsView, t: ProgramToken): Html {
  const time = (at: number) => sayTime(at as Instant, v.now, v.firm.zone);
  const state =
    t.revoked_at === null
      ? html`<form method="post" action="/desk/bookings/tokens/revoke" class="act">${formKeys(v.who, v.id())}<input type="hidden" name="token" value="${t.id}"><button>Revoke<span class="unseen"> the token of ${t.name}</span></button></form>`
      : html`revoked ${time(t.revoked_at)} by ${nameIn(v.firm, t.revoked_by ?? "")}`;
  return html`<tr><th scope="row">${t.name}</th><td data-label="Made">${time(t.made_at)} by ${nameIn(v.firm, t.contact)}</td><td data-label="Last used">${t.used_at === null ? "never" : time(t.used_at)}</td><td data-label="Ends">${state}</td></tr>`;
}

/** The field for a table file, with a button that reads one from the machine (pages/desk.ts). */
const fileField = (typed: string): Html =>
  html`<label>Take a file <input type="file" accept=".csv,text/csv,text/plain" data-into="csv"></label>
<label>or paste it here <textarea name="csv" id="csv" rows="8" spellcheck="false" required>${typed}</textarea></label>`;

const tokensHtml = (
  v: BookingsView,
): Html => html`<section id="tokens"><h2>Another program pushes hires</h2><p>It calls <code>${v.apiUrl}/hires/{reference}</code> with a token. <a href="/api/openapi.json">Description for programmers (OpenAPI 3.1)</a></p>
${v.wrong ? html`<p class="wrong" role="alert">${v.wrong}</p>` : ""}${v.made ? html`<p class="made">The token of <b>${v.made.name}</b>, shown once: <code>${v.made.token}</code></p>` : ""}
${v.tokens.length === 0 ? html`<p>No program has a token.</p>` : html`<table class="stack"><thead><tr><th scope="col">Program</th><th scope="col">Made</th><th scope="col">Last used</th><th scope="col">Ends</th></tr></thead><tbody>${v.tokens.map((t) => tokenRow(v, t))}</tbody></table>`}
<form method="post" action="/desk/bookings/tokens" class="act">${formKeys(v.who, v.id())}<label>Name of the program <input name="name" maxlength="60" required></label><button>Make a token</button></form></section>`;

export function bookingsPage(v: BookingsView, typed = ""): Html {
  return html`<h1>Bookings</h1>
<section><h2>Bring hires in from a table file (CSV)</h2><p>First it is looked at, and every line that is not right is named; nothing is kept until all are. A reference that is known changes its hire; the same line again does nothing.</p>
<form method="post" action="/desk/bookings/import" class="fields wide">${formKeys(v.who, v.id())}${fileField(typed)}<button class="main">Look at it</button></form>
<details><summary>The columns</summary><dl class="readout">${Object.entries(columns).map(([name, what]) => html`<div><dt>${name}</dt><dd>${what}</dd></div>`)}</dl></details></section>
<section><h2>Take all hires out</h2><p><a class="button" href="/desk/bookings/hires.csv">Hires as a table file (CSV)</a></p><p>It can be brought in again: unchanged lines do nothing.</p></section>
${v.who.may("tokens") ? tokensHtml(v) : html`<p>Another program may push hires: a manager makes its token.</p>`}`;
}

/** What is wrong with a file: nothing of it was kept. */
export const problemsPage = (
  problems: readonly LineProblem[],
  who: Who,
  id: string,
  typed: string,
): Html => html`<h1>Nothing was kept</h1><p role="alert" class="wrong">${problems.length} ${problems.length === 1 ? "thing is" : "things are"} not right. Mend the file, and look at it again.</p>
<table class="stack"><thead><tr><th scope="col">Line</th><th scope="col">Column</th><th scope="col">What is wrong</th><th scope="col">What would be right</th></tr></thead><tbody>${problems.slice(0, 500).map((p) => html`<tr><th scope="row" data-label="Line">${p.line}</th><td data-label="Column">${p.column || "the whole line"}</td><td data-label="Wrong">${p.wrong}</td><td data-label="Right">${p.right}</td></tr>`)}</tbody></table>
<form method="post" action="/desk/bookings/import" class="fields wide">${formKeys(who, id)}${fileField(typed)}<button class="main">Look at it again</button></form>`;

const resultWords = { made: "+ new", changed: "→ changed", same: "= as it is" } as const;

/** What a file would do. */
export function dryRunPage(
  fates: readonly Fate[],
  who: Who,
  id: string,
  typed: string,
  now: Instant,
): Html {
  const count = (result: Fate["result"]) => fates.filter((f) => f.result === result).length;
  const row = ({ line, result, changes, clashes }: Fate) => {
    const { content: c } = line;
    const what =
      result === "changed"
        ? changes.join("; ") || "nothing that is not so already"
        : `${sayTime(c.pickupAt, now, c.zone)} to ${sayTime(c.returnAt, now, c.zone)}${c.status === "cancelled" ? ", cancelled" : ""}`;
    return html`<tr><th scope="row" data-label="Line">${line.line}</th><td data-label="Reference">${line.reference}</td><td data-label="It is"><b>${resultWords[result]}</b></td><td data-label="Van"><span class="plate">${c.van.registration}</span> ${c.surname}</td><td data-label="What">${what}${clashes.map((k) => html`<br><span class="${k.how === "overlaps" ? "over" : "near"}"><span aria-hidden="true">${k.how === "overlaps" ? "■" : "◆"}</span> ${k.how === "overlaps" ? "van promised twice" : "little time between"}: ${k.surname}</span>`)}</td></tr>`;
  };
  const acts = count("made") + count("changed");
  return html`<h1>What the file would do</h1><p>${count("made")} new, ${count("changed")} changed, ${count("same")} as they are. Nothing is kept yet.</p>
<table class="stack"><thead><tr><th scope="col">Line</th><th scope="col">Reference</th><th scope="col">It is</th><th scope="col">Van</th><th scope="col">What</th></tr></thead><tbody>${fates.map(row)}</tbody></table>
<div class="acts">${acts === 0 ? "" : html`<form method="post" action="/desk/bookings/import" class="act">${formKeys(who, id)}<input type="hidden" name="keep" value="1"><textarea name="csv" hidden aria-label="The file">${typed}</textarea><button class="main">Keep all ${acts}</button></form>`}<a class="button" href="/desk/bookings">Back</a></div>`;
}
