/** The pages of accounts, of one's own password, and of who did what. */
import { type Instant, sayTime } from "../../calendar.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { passwordLetters } from "../../password.js";
import type { OpenMatter } from "../../roster/duty/state.js";
import { nameIn } from "../../roster/reach.js";
import type { Account } from "../../store/staff/accounts.js";
import type { Trace } from "../../store/staff/trail.js";
import { formKeys, listTable, type Who } from "../frame.js";

type View = { firm: FirmFile; who: Who; now: Instant; id: () => string };
/** Of a contact, or of what makes accounts beside them. */
export const whoIn = (firm: FirmFile, contact: string): string =>
  nameIn(firm, { settings: "the settings", command: "the command" }[contact] ?? contact);

const acts = {
  manager: ["Make a manager", "can then do all that is kept for managers, accounts too"],
  duty: ["Make duty staff", "can then no longer do what is kept for managers"],
  password: ["New password", "gets a new password; the old one ends"],
  end: ["End the account", "can then no longer sign in"],
} as const;
type AccountAct = keyof typeof acts;
export const isAccountAct = (word: string): word is AccountAct => Object.hasOwn(acts, word);

function accountItem(a: Account, v: View): Html {
  const { firm, who } = v;
  const name = whoIn(firm, a.contact);
  const way = (act: AccountAct) =>
    html`<a class="button" href="/desk/accounts/sure?contact=${a.contact}&do=${act}" aria-label="${acts[act][0]}: ${name}">${acts[act][0]} …</a>`;
  const gone = !firm.contacts[a.contact]?.desk;
  return html`<li><p><b>${name}</b>${a.contact === who.contact ? " (you)" : ""}: ${gone ? html`<b class="nobody">cannot sign in: no contact with the desk any more</b>` : a.role}</p><p class="soft">made by ${whoIn(firm, a.madeBy)}, ${sayTime(a.madeAt, v.now, firm.zone)}</p><div class="acts">${gone ? "" : html`${way(a.role === "duty" ? "manager" : "duty")}${way("password")}`}${way("end")}</div></li>`;
}

/**
 * Asks before an account is changed or ended: a slip of the thumb signs nobody out. `open`: all call-outs that are
 * not done; those that whoever is to go has are named.
 */
export function surePage(
  act: AccountAct,
  contact: string,
  open: readonly OpenMatter[],
  v: View,
): Html {
  const { firm, who } = v;
  const name = whoIn(firm, contact);
  const [label, then] = acts[act];
  const out =
    contact === who.contact
      ? "This is your own account: you are signed out now."
      : `${name} is signed out everywhere now. Alerts by telephone and Telegram go on; who is on duty stands in the roster.`;
  const has = act === "end" ? open.filter((c) => c.with === contact) : [];
  const pass =
    has.length === 0
      ? ""
      : html`<p class="wrong">${name} still has ${has.map((c) => `"${c.title}" (${c.registration})`).join(", ")}. Have it passed on or ended first: it stays with ${name}.</p>`;
  return html`<h1>${label}: ${name}?</h1><p>${name} ${then}. ${out}</p>${pass}
<form method="post" action="/desk/accounts" class="acts">${formKeys(who, v.id())}<input type="hidden" name="contact" value="${contact}"><button class="main" name="do" value="${act}">${label}: ${name}</button><a class="button" href="/desk/accounts">Leave it as it is</a></form>`;
}

/** `said`: what became of the last form. */
export function accountsPage(accounts: readonly Account[], v: View, said?: Html): Html {
  const without = Object.entries(v.firm.contacts).filter(
    ([id, c]) => c.desk && !accounts.some((a) => a.contact === id),
  );
  return html`<h1>Accounts</h1>${said ?? ""}
<p>Who may sign in at the desk. A manager can do everything that duty staff can, and what the firm keeps for managers. Who ends an account, changes its role or makes a new password for it signs it out everywhere.</p>
<ul class="rows">${accounts.map((a) => accountItem(a, v))}</ul>
<section><h2>Make an account</h2>${
    without.length === 0
      ? html`<p>Every contact with the desk has one. Others are added to the contacts in knowledge/firm.yaml, with <code>desk: true</code>.</p>`
      : html`<form method="post" action="/desk/accounts" class="act">${formKeys(v.who, v.id())}<input type="hidden" name="do" value="make"><label>For <select name="contact">${without.map(([id, c]) => html`<option value="${id}">${c.name}</option>`)}</select></label><label>As <select name="role"><option value="duty">duty staff</option><option value="manager">manager</option></select></label><button class="main">Make it</button></form>`
  }</section>`;
}

const { least, most } = passwordLetters;

/** The password of an account that was just made; nobody sees it again. */
export const passwordShown = (name: string, password: string): Html =>
  html`<p class="made" role="status">Password of <b>${name}</b>: <code>${password}</code> (shown once; hand it over by word of mouth, they change it under "My password")</p>`;

export const ownPasswordPage = (who: Who, wrong = ""): Html =>
  html`<h1>My password</h1>${wrong ? html`<p class="wrong" role="alert">${wrong}</p>` : ""}
<form method="post" action="/desk/password" class="fields"><input type="hidden" name="csrf" value="${who.csrf}">
<label>The present one <input type="password" name="old" autocomplete="current-password" required></label>
<label>The new one, at least ${least} letters <input type="password" name="fresh" autocomplete="new-password" minlength="${least}" maxlength="${most}" required></label>
<label>The new one again <input type="password" name="again" autocomplete="new-password" minlength="${least}" maxlength="${most}" required></label>
<button class="main">Change it</button></form><p class="soft">You are then signed out everywhere, and sign in with the new one.</p>`;

export type Filter = { contact: string; from: string; to: string };

export function trailPage(rows: readonly Trace[], f: Filter, v: View, most: number): Html {
  const { firm, now } = v;
  const query = new URLSearchParams(f);
  return html`<h1>Who did what</h1>
<form method="get" action="/desk/trail" class="act"><label>Who <select name="contact"><option value="">everybody</option>${Object.entries(
    firm.contacts,
  )
    .filter(([, c]) => c.desk)
    .map(
      ([id, c]) =>
        html`<option value="${id}"${id === f.contact ? html` selected` : ""}>${c.name}</option>`,
    )}</select></label><label>From <input type="date" name="from" value="${f.from}"></label><label>To <input type="date" name="to" value="${f.to}"></label><button>Show</button></form>
${
  rows.length === 0
    ? html`<p>Nothing was done then.</p>`
    : html`${listTable(
        ["When", "Who", "What", "About"],
        rows.map((r) => [
          sayTime(r.at, now, firm.zone),
          r.contact ? whoIn(firm, r.contact) : "a name that nobody has",
          r.what,
          r.about || "–",
        ]),
      )}${rows.length === most ? html`<p>Only the latest ${most} are shown: choose fewer days, or take the CSV.</p>` : ""}`
}<p><a class="button" href="/desk/trail.csv?${query.toString()}">As CSV</a></p>`;
}
