/** The pages of new wordings: what was not understood, what a wording would change, and what is kept. */
import { type Instant, sayTime } from "../../calendar.js";
import type { Book, Entry } from "../../knowledge/book.js";
import { noPlaceholders } from "../../matching/indexing.js";
import type { Matcher } from "../../matching/matcher.js";
import { type Html, html } from "../../pages/html.js";
import { nameIn } from "../../roster/reach.js";
import type { KeptWording } from "../../store/wordings/kept.js";
import type { Change, Kind, Looked, Verdict } from "../../wordings/changes.js";
import type { Group } from "../../wordings/groups.js";
import type { How } from "../../wordings/missed.js";
import { closed } from "../../wordings/plain.js";
import { formKeys, type Who } from "../frame.js";
import { type Look, mayKeep, recentDays } from "./look.js";
import type { Typed } from "./read.js";

export const titleOf = (book: Book, id: string): string =>
  noPlaceholders(book.entries.get(id)?.title ?? id)
    .replace(/\s+/g, " ")
    .trim();

const hows: Record<How, string> = {
  person: "handed to a person",
  offered: "offered a choice, none taken",
  chose: "offered a choice, one taken",
  else: "told, and it was something else",
};

export type Suggested = Group & { suggestions: readonly string[]; now?: Verdict };

const groupCard = (group: Suggested, book: Book, who: Who): Html => {
  const { leader, members, suggestions } = group;
  const others = [...new Set(members.slice(1).map((m) => m.text))].filter((t) => t !== leader.text);
  return html`<li class="card"><h2><span class="times">${members.length} ${members.length === 1 ? "time" : "times"}</span> <q class="words">${leader.text}</q></h2>
<p>${[...group.hows].map(([how, n]) => `${n} ${hows[how]}`).join(" · ")}</p>
${others.length > 0 ? html`<details><summary>${others.length} alike</summary><ul>${others.slice(0, 30).map((t) => html`<li class="words">${t}</li>`)}</ul></details>` : ""}
<form method="post" action="/desk/wordings/try" class="act"><input type="hidden" name="csrf" value="${who.csrf}"><input type="hidden" name="ask" value="${closed(leader.text)}"><span class="lead">Means:</span>${suggestions.map((id) => html`<button name="entry" value="${id}">${titleOf(book, id)}${group.chosen.some(([c]) => c === id) ? " (chosen)" : ""}</button>`)}<button name="entry" value="">Another entry …</button></form></li>`;
};

function keptItem(kept: KeptWording, v: KeptView): Html {
  const { book, who, now } = v;
  const entry = book.entries.get(kept.entry);
  const state = !entry
    ? html`<b class="nobody">its entry is gone from the book: it does nothing</b>`
    : entry.asks.includes(kept.ask)
      ? "in the book by now: it may be taken back"
      : "holds";
  const name = nameIn(book.firm, kept.by);
  const again = html`<form method="post" action="/desk/wordings/try" class="act"><input type="hidden" name="csrf" value="${who.csrf}"><input type="hidden" name="ask" value="${kept.ask}"><button>For another entry …</button></form>`;
  return html`<li><p><q class="words">${kept.ask}</q> means <b>${entry ? titleOf(book, kept.entry) : kept.entry}</b>: ${state}</p><p class="soft">${name}, ${sayTime(kept.at, now, book.firm.zone)}</p><div class="acts"><form method="post" action="/desk/wordings/drop" class="act">${formKeys(who, v.id())}<input type="hidden" name="ask" value="${kept.ask}"><input type="hidden" name="entry" value="${kept.entry}"><button aria-label="Take back: ${kept.ask}">Take back</button></form>${entry ? "" : again}</div></li>`;
}

type KeptView = { book: Book; who: Who; now: Instant; id: () => string };

/** `days`: looked back so far; `understood`: groups of messages that are understood by now. */
export function wordingsPage(
  groups: readonly Suggested[],
  kept: readonly KeptWording[],
  v: KeptView & { days: number; messages: number; understood: number },
): Html {
  return html`<h1>New wordings</h1>
<p>Messages of the last ${v.days} days that were not understood, or not answered to the hirer's liking, grouped by likeness. Choose what a group means: you then see what else would change, before anything does.</p>
<p class="soft">${v.messages} ${v.messages === 1 ? "message" : "messages"}${v.understood > 0 ? `; ${v.understood} more ${v.understood === 1 ? "group is" : "groups are"} understood by now and not shown` : ""}. Names, numbers and addresses are left out.</p>
<form method="post" action="/desk/wordings/try" class="act"><input type="hidden" name="csrf" value="${v.who.csrf}"><button>Write one yourself …</button></form>
${groups.length === 0 ? html`<p>Everything was understood.</p>` : html`<ol class="plainlist">${groups.map((g) => groupCard(g, v.book, v.who))}</ol>`}
<section id="kept"><h2>Kept</h2>${
    kept.length === 0
      ? html`<p>None yet.</p>`
      : html`<ul class="rows">${kept.map((k) => keptItem(k, v))}</ul><p><a class="button" href="/desk/wordings/patch">As a patch for the knowledge base</a></p>`
  }</section>`;
}

const done: Record<Verdict["outcome"], string> = {
  answer: "told",
  choices: "offered",
  triage: "met at once",
  lacks: "said that the van has none",
  courtesy: "a friendly line",
  person: "handed to a person",
};
const verdict = (book: Book, { outcome, entries }: Verdict): Html =>
  html`${done[outcome]}${entries.length > 0 ? html`: ${entries.map((id) => titleOf(book, id)).join(" · ")}` : ""}`;

const kinds: Record<Kind, { words: string; shape: string; cls: string }> = {
  unsafe: { words: "a danger would be missed", shape: "▲", cls: "danger" },
  worse: { words: "worse", shape: "■", cls: "stop" },
  other: { words: "otherwise", shape: "◆", cls: "soon" },
  better: { words: "better", shape: "●", cls: "note" },
};

const beforeAfter = (book: Book, before: Verdict, after: Verdict): Html =>
  html`<p><span class="soft">before</span> ${verdict(book, before)}</p><p><span class="soft">after</span> ${verdict(book, after)}</p>`;

const changeItem = (book: Book, { kind, text, want, before, after }: Change): Html => {
  const { words, shape, cls } = kinds[kind];
  return html`<li class="change"><p class="tag ${cls}"><span aria-hidden="true">${shape}</span> ${words}</p><p class="words">${text}${want ? html` <span class="soft">(means ${titleOf(book, want)})</span>` : ""}</p>${beforeAfter(book, before, after)}</li>`;
};

const changesHtml = (book: Book, heading: string, what: string, looked: Looked): Html =>
  html`<section><h2>${heading}</h2><p>${looked.changes.length === 0 ? "Nothing changes" : `${looked.changes.length} ${looked.changes.length === 1 ? "changes" : "change"}`}, of ${looked.looked} looked at: those most like it, of ${looked.of} ${what}.</p>${
    looked.changes.length === 0
      ? ""
      : html`<ul class="rows">${looked.changes.map((c) => changeItem(book, c))}</ul>`
  }</section>`;

const kindNames: readonly (readonly [Entry["kind"], string])[] = [
  ["answer", "Answers"],
  ["fault", "Faults"],
  ["light", "Lights"],
  ["danger", "Dangers"],
  ["courtesy", "Friendly lines"],
];

/** The form of a wording, with every entry to choose from. */
export function wordingForm({ book, numbers }: Matcher, typed: Typed, who: Who, wrong = ""): Html {
  const of = (kind: Entry["kind"]) =>
    [...book.entries.values()]
      .filter((e) => e.kind === kind && numbers.has(e.id))
      .map((e) => [e.id, titleOf(book, e.id)] as const)
      .sort((a, b) => a[1].localeCompare(b[1]));
  return html`<h1>A new wording</h1><p><a href="/desk/wordings">Back to the messages</a></p>
${wrong ? html`<p class="wrong" role="alert" id="wrong">${wrong}</p>` : ""}
<form method="post" action="/desk/wordings/try" class="fields"><input type="hidden" name="csrf" value="${who.csrf}">
<label>What a hirer might write <input name="ask" maxlength="300" required value="${typed.ask}" autocomplete="off"${wrong ? html` aria-describedby="wrong"` : ""}></label>
<label>It means <select name="entry" required><option value="">Choose …</option>${kindNames.map(([kind, name]) => html`<optgroup label="${name}">${of(kind).map(([id, title]) => html`<option value="${id}"${id === typed.entry ? html` selected` : ""}>${title}</option>`)}</optgroup>`)}</select></label>
<button class="main">See what would change</button></form>
<p class="soft">Looking takes a few seconds. Nothing is kept by it.</p>`;
}

/** What it would change, and the button to keep it where that is allowed. */
export function lookHtml(book: Book, look: Look, who: Who, id: string): Html {
  const { wording, own, asks, recent } = look;
  const may = mayKeep(look);
  const bad = [...asks.changes, ...recent.changes].filter((c) => c.kind === "worse").length;
  return html`<section aria-live="polite"><h2>The wording itself</h2><ul class="rows">${own.map((o) => html`<li class="change"><p><b>${book.vans.get(o.van)?.name ?? o.van}</b></p>${beforeAfter(book, o.before, o.after)}</li>`)}</ul></section>
${changesHtml(book, "Asks of the book", "asks that the model was not shown", asks)}
${changesHtml(book, `Messages of the last ${recentDays} days`, "messages", recent)}
<section><h2>Keep it?</h2>${
    may === "no"
      ? html`<p class="wrong" role="alert">It cannot be kept: with it a danger, or a doubt about one, would no longer be met as such. Change the words, or choose another entry.</p>`
      : html`<form method="post" action="/desk/wordings/keep" class="act">${formKeys(who, id)}<input type="hidden" name="ask" value="${wording.ask}"><input type="hidden" name="entry" value="${wording.entry}">${may === "look" ? html`<label class="tick"><span><input type="checkbox" name="seen" value="yes" required> I have looked at what gets worse${bad > 0 ? ` (${bad})` : ""}, and want it all the same</span></label>` : ""}<button class="main">Keep it</button> <a class="button" href="/desk/wordings">Drop it</a></form><p class="soft">Kept, it holds at once and everywhere, and can be taken back at any time.</p>`
  }</section>`;
}
