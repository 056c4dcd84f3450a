/** The page of numbers, and the same as rows of a CSV file. */
import { sayDay } from "../../calendar.js";
import type { Book } from "../../knowledge/book.js";
import { median, type Row, summed } from "../../numbers/week.js";
import { type Html, html } from "../../pages/html.js";
import { listTable } from "../frame.js";
import { titleOf } from "../wordings/page.js";

const share = (part: number, of: number): string =>
  of === 0 ? "–" : `${part} of ${of} (${Math.round((100 * part) / of)} %)`;
const minutes = (sorted: readonly number[]): string => {
  const mid = median(sorted);
  return mid === undefined ? "–" : `${say(mid)}, at most ${say(sorted.at(-1) ?? mid)}`;
};
const say = (min: number): string =>
  min < 90 ? `${Math.round(min)} min` : `${(min / 60).toFixed(1)} h`;

const columns = [
  ...["Answered without staff", "Call-outs", "Until taken: danger and stop"],
  ...["Until taken: others", "Checks done"],
];
const table = (heading: string, what: string, rows: readonly Row[], name: (row: Row) => string) =>
  html`<section><h2>${heading}</h2>${listTable(
    [what, ...columns],
    rows.map((r) => [
      name(r),
      share(r.alone, r.questions),
      html`${r.callouts}${r.untaken > 0 ? html` <span class="nobody">${r.untaken} not taken</span>` : ""}`,
      minutes(r.grave),
      minutes(r.other),
      share(r.checksDone, r.checks),
    ]),
  )}</section>`;

/** `weeks`: looked back so far; `most`: entries by how often they were asked. */
export function numbersPage(
  rows: readonly Row[],
  most: readonly (readonly [string, number])[],
  weeks: number,
  book: Book,
): Html {
  const choice = [4, 12, 26].map(
    (w) =>
      html`<a href="/desk/numbers?weeks=${w}"${w === weeks ? html` aria-current="page"` : ""}>${w} weeks</a> `,
  );
  return html`<h1>Numbers</h1><p>${choice}</p>
<p>Answered without staff: questions that were told an answer, or chose one, and nobody said that it was something else. Greetings, readings, lights, faults and dangers are no questions. Until taken: the middle one, and the longest. Checks done: of the reminders that need an answer. Weeks begin on Monday.</p>
${
  rows.length === 0
    ? html`<p>Nothing was in these weeks.</p>`
    : html`${table("By week", "Week from", summed(rows, "week"), (r) => sayDay(r.week))}
${table("By van", "Van", summed(rows, "registration"), (r) => r.registration)}
<section><h2>Asked most</h2>${most.length === 0 ? html`<p>Nothing yet.</p>` : html`<ol>${most.map(([id, n]) => html`<li>${titleOf(book, id)}: ${n}</li>`)}</ol>`}</section>
<p><a class="button" href="/desk/numbers.csv?weeks=${weeks}">As CSV, by week and van</a></p>`
}`;
}

const exact = (n: number | undefined) => (n === undefined ? "" : n.toFixed(1));
/** One row a week and van; minutes with one decimal, empty where there are none. */
export const numbersRows = (rows: readonly Row[]): (string | number)[][] => [
  [
    "week from",
    "van",
    "messages",
    "questions",
    "answered without staff",
    "call-outs",
    "not taken",
  ].concat(
    ["danger and stop: median minutes until taken", "longest", "others: median minutes", "longest"],
    ["checks asked", "checks done"],
  ),
  ...rows.map((r) => [
    ...[r.week, r.registration, r.messages, r.questions, r.alone, r.callouts, r.untaken],
    ...[
      exact(median(r.grave)),
      exact(r.grave.at(-1)),
      exact(median(r.other)),
      exact(r.other.at(-1)),
    ],
    ...[r.checks, r.checksDone],
  ]),
];
