/** What every page of the desk has around it: who is signed in, where to go, how severity is shown. */
import { addressOf } from "../page-files.js";
import { type Html, html } from "../pages/html.js";
import { isGrave, type Severity, severityWords, shapes } from "../severity.js";
import type { Role } from "../store/staff/accounts.js";
import type { Right } from "./accounts/rights.js";

export type Who = {
  contact: string;
  name: string;
  csrf: string;
  role: Role;
  may(right: Right): boolean;
  /** The severities of what waits for a person, the worst first. */
  waits: readonly Severity[];
  /** The last alert that rang for them, by a number that rises; `of`: the key of its card. */
  rung?: { n: number; loud: boolean; of: string };
  /** What they were told lately and no card shows. */
  told?: Html;
};

/** A number to ring; empty where there is none. */
export const telLink = (phone: string | undefined): Html =>
  phone ? html`<a class="dial" href="tel:${phone.replace(/[^\d+]/g, "")}">${phone}</a>` : html``;

/** "■ must not move" with its colour class; the colours follow ISO 2575: red danger, amber caution, blue information. */
export const severityTag = (of: Severity): Html =>
  html`<span class="tag ${of}"><span aria-hidden="true">${shapes[of]}</span> ${severityWords[of]}</span>`;

/**
 * On every page and in its parts: the last alert that rang for who looks, since an open page sounds at a later one, and
 * what they were told. By contact and token a page knows who it is of.
 */
export const forWho = ({ contact, csrf, rung, told = html`` }: Who): Html =>
  html`<data id="rung" hidden value="${rung?.n ?? 0}" data-loud="${rung?.loud ? "yes" : "no"}" data-of="${rung?.of ?? ""}" data-contact="${contact}" data-csrf="${csrf}"></data>${told}`;

/** The way to what waits, with how much: on every page, so that a danger is seen and heard on whichever is open. */
export function waitingWay(waits: readonly Severity[], current = false): Html {
  const urgent = waits.filter(isGrave).length;
  const [worst = "note"] = waits;
  return html`<a href="/desk" id="way-waits" data-fresh data-urgent="${urgent}"${current ? html` aria-current="page"` : ""}>What waits${waits.length > 0 && !current ? html` <b class="tag ${worst}"><span aria-hidden="true">${shapes[worst]}</span> ${waits.length}<span class="unseen">, the worst: ${severityWords[worst]}</span></b>` : ""}</a>`;
}

type Way = [path: string, name: string, right?: Right];
const ways: readonly Way[] = [
  ["today", "Today"],
  ["hires", "On the road"],
  ["vans", "Vans"],
  ["roster", "Roster"],
];
/** Of a quiet morning. */
const more: readonly Way[] = [
  ["replies", "Answers"],
  ["notices", "Notices"],
  ["bookings", "Bookings"],
  ["wordings", "New wordings"],
  ["numbers", "Numbers"],
  ["accounts", "Accounts", "accounts"],
  ["trail", "Who did what", "trail"],
  ["password", "My password"],
];

function head(who: Who, title: string): Html {
  const way = ([path, name, right]: Way) =>
    right && !who.may(right)
      ? ""
      : html`<a href="/desk/${path}"${name === title ? html` aria-current="page"` : ""}>${name}</a>`;
  return html`<header><nav aria-label="Desk">${waitingWay(who.waits, title === "What waits")}${ways.map(way)}<details><summary>More</summary>${more.map(way)}<form method="post" action="/desk/leave"><input type="hidden" name="csrf" value="${who.csrf}"><button>Sign out ${who.name}</button></form></details></nav>
<form role="search" action="/desk/find" id="find"><label class="unseen" for="find-q">Find a hire: registration, surname, or last digits of a phone</label><input type="search" id="find-q" name="q" placeholder="Find: van, name, phone" enterkeyhint="search" autocomplete="off" aria-keyshortcuts="Control+/" minlength="2" maxlength="60" required><button>Find</button><div id="found" role="region" aria-label="Found" aria-live="polite" hidden></div></form>
<p class="who"><span>${who.name}</span> <button type="button" id="sound">Switch on sound</button></p></header>`;
}

const styles = ["desk", "waits", "roster", "records", "care", "today", "insight"];

/** A whole page. `live`: the path of its parts, fetched anew whenever something happens; else only what waits is. */
export const deskPage = (
  title: string,
  who: Who | undefined,
  body: Html,
  live?: string,
): Html => html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="same-origin">
<meta name="robots" content="noindex">
<meta name="color-scheme" content="light dark">
<title>${title}</title>
${styles.map((s) => html`<link rel="stylesheet" href="${addressOf(`/pages/${s}.css`)}">`)}
${who ? html`<script type="module" src="/pages/desk.js"></script>` : ""}
</head>
<body${who ? html` data-live="${live ?? "/desk/waiting"}"` : ""}>
${who ? head(who, title) : ""}
<p id="line" role="alert" hidden></p>
${who ? forWho(who) : ""}
<p id="news" class="unseen" role="status"></p>
<main>${body}</main>
</body></html>`;

/** The hidden fields of every form: the page's token, and an id that makes a double click act once. */
export const formKeys = (who: Who, id: string): Html =>
  html`<input type="hidden" name="csrf" value="${who.csrf}"><input type="hidden" name="id" value="${id}">`;

/** A form of one act on a hire or a call-out of it. `hidden`: the fields that nobody sees, `do` among them. */
export const actForm = (
  who: Who,
  id: string,
  hidden: Readonly<Record<string, string | number>>,
  inside: Html,
  cls = "",
): Html =>
  html`<form method="post" action="/desk/act" class="${`act ${cls}`.trim()}">${formKeys(who, id)}${Object.entries(hidden).map(([name, value]) => html`<input type="hidden" name="${name}" value="${value}">`)}${inside}</form>`;

/** The page for a hire or van that is not there, with the way to those that are. */
export const unknownPage = (who: Who, what: "hire" | "van"): Html =>
  deskPage(
    "Desk",
    who,
    html`<h1>This ${what} is not known</h1><p><a href="/desk/${what}s">All ${what}s</a></p>`,
  );

/** A table for screens that are wide enough, else a list: the first cell of each row is its head. */
export const listTable = (
  columns: readonly string[],
  rows: readonly (readonly (Html | string | number)[])[],
): Html =>
  html`<table class="stack"><thead><tr>${columns.map((c) => html`<th scope="col">${c}</th>`)}</tr></thead><tbody>${rows.map(
    ([first, ...rest]) =>
      html`<tr><th scope="row">${first}</th>${rest.map((cell, i) => html`<td data-label="${columns[i + 1] ?? ""}">${cell}</td>`)}</tr>`,
  )}</tbody></table>`;
