/** What every page of the desk has around it: who is signed in, where to go, how severity is shown. */
import type { FirmFile } from "../knowledge/schema.js";
import { type Html, html } from "../pages/html.js";
import type { Role } from "../store/staff/accounts.js";
import type { Right } from "./accounts/rights.js";

export type Who = {
  contact: string;
  name: string;
  csrf: string;
  role: Role;
  may(right: Right): boolean;
};

/** A contact's name; what is no contact's id is a name already. */
export const nameIn = (firm: FirmFile, id: string): string => firm.contacts[id]?.name ?? id;

/** A word and a shape beside every severity; the colours follow ISO 2575: red danger, amber caution, blue information. */
const severity: Record<string, { shape: string; words: string }> = {
  danger: { shape: "▲", words: "danger to life" },
  stop: { shape: "■", words: "must not move" },
  soon: { shape: "◆", words: "may move gently" },
  note: { shape: "●", words: "a question" },
};

/** "■ must not move" with its colour class. */
export const severityTag = (of: string): Html =>
  html`<span class="tag ${of}"><span aria-hidden="true">${severity[of]?.shape ?? "●"}</span> ${severity[of]?.words ?? of}</span>`;

/** A whole page. `live`: the path of its parts, fetched anew whenever something happens. */
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
<link rel="stylesheet" href="/pages/desk.css">
<link rel="stylesheet" href="/pages/waits.css">
<link rel="stylesheet" href="/pages/roster.css">
<link rel="stylesheet" href="/pages/records.css">
<link rel="stylesheet" href="/pages/care.css">
<link rel="stylesheet" href="/pages/today.css">
<link rel="stylesheet" href="/pages/insight.css">
${who ? html`<script type="module" src="/pages/desk.js"></script>` : ""}
</head>
<body ${live ? html` data-live="${live}"` : ""}>
${
  who
    ? html`<header><nav aria-label="Desk"><a href="/desk">What waits</a><a href="/desk/today">Today</a><a href="/desk/hires">Vans on the road</a><a href="/desk/vans">Vans</a><a href="/desk/replies">Answers</a><a href="/desk/notices">Notices</a><a href="/desk/roster">Roster</a><details><summary>More</summary><a href="/desk/bookings">Bookings</a><a href="/desk/wordings">New wordings</a><a href="/desk/numbers">Numbers</a>${who.may("accounts") ? html`<a href="/desk/accounts">Accounts</a>` : ""}${who.may("trail") ? html`<a href="/desk/trail">Who did what</a>` : ""}<a href="/desk/password">My password</a></details></nav>
<form role="search" action="/desk/find" id="find"><label class="unseen" for="find-q">Find a hire: registration, surname, or last digits of a phone</label><input type="search" id="find-q" name="q" placeholder="Van, name, phone" autocomplete="off" minlength="2" maxlength="60" required><button>Find</button><div id="found" role="region" aria-label="Found" aria-live="polite" hidden></div></form>
<p class="who">${who.name} <button type="button" id="sound">Switch on sound</button></p>
<form method="post" action="/desk/leave"><input type="hidden" name="csrf" value="${who.csrf}"><button>Sign out</button></form></header>`
    : ""
}
<p id="line" role="alert" hidden></p>
<p id="news" class="unseen" role="status"></p>
<main>${body}</main>
</body></html>`;

/** The hidden fields of every form: the page's token, and an id that makes a double click act once. */
export const formKeys = (who: Who, id: string): Html =>
  html`<input type="hidden" name="csrf" value="${who.csrf}"><input type="hidden" name="id" value="${id}">`;

/** The page for a hire or van that is not there, with the way to those that are. */
export const unknownPage = (who: Who, what: "hire" | "van"): Html =>
  deskPage(
    "Desk",
    who,
    html`<h1>This ${what} is not known</h1><p><a href="/desk/${what}s">All ${what}s</a></p>`,
  );
