/** Who is to be rung today, and who has not answered a reminder. */
import { type Instant, sayTime } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import type { Hire } from "../../hires/hire.js";
import type { Book } from "../../knowledge/book.js";
import type { Want } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { nameIn } from "../../roster/reach.js";
import type { OpenReply } from "../../store/care/replies.js";
import { actForm, listTable, telLink, type Who } from "../frame.js";

export type Task = { hire: Hire; callout: Callout };

/** What a reply still lacks, in a word or two. */
const short: Record<Want, string> = {
  safety: "that it was read",
  oil: "oil mark",
  odometer: "odometer",
  tyres: "tyres",
  coolant: "coolant",
  fluid: "exhaust fluid",
  arrival: "arrival",
};

/** "oil mark, odometer". */
export const stillToTell = (wants: readonly Want[]): string =>
  wants.map((w) => short[w]).join(", ");

function taskRow(
  { hire, callout }: Task,
  who: Who,
  book: Book,
  now: Instant,
  id: () => string,
): Html {
  const person = hire.people.find((p) => p.id === callout.person);
  const act = (what: string, inside: Html, cls = "") =>
    actForm(
      who,
      id(),
      { hire: hire.id, callout: callout.n, back: "/desk/replies", do: what },
      inside,
      cls,
    );
  const owner = callout.with ? nameIn(book.firm, callout.with) : undefined;
  const by = callout.promisedAt;
  return html`<li data-key="${hire.id}:${callout.n}" class="card note"><p><a href="/desk/hires/${hire.id}"><span class="plate">${hire.booking.van.registration}</span> ${hire.booking.surname}</a> · ${person?.name ?? ""} ${telLink(person?.phone)}</p>
<p>${callout.title.replace(/^Ring today: /, "")}. ${owner ? html`<b>with ${owner}</b>` : html`<b class="nobody">nobody yet</b>`}${by === undefined ? "" : html`, <span class="${by < now ? "over" : ""}">by ${sayTime(by, now, book.firm.zone)}</span>`}</p>
<div class="acts">${act("done", html`<input type="hidden" name="outcome" value="rung"><label class="grow">What they said <input name="note" maxlength="1000" required></label><button class="main">Rung</button>`, "wide")}
${callout.with === who.contact ? "" : act("take", html`<button>I take it</button>`)}</div></li>`;
}

/** The tasks to ring, each with who has it. */
export const ringToday = (
  tasks: readonly Task[],
  who: Who,
  book: Book,
  now: Instant,
  id: () => string,
): Html =>
  tasks.length === 0
    ? html``
    : html`<section class="ringtoday"><h2>Ring today</h2><ul class="plainlist">${tasks.map((t) => taskRow(t, who, book, now, id))}</ul></section>`;

/** Reminders without a reply. */
export const notAnswered = (rows: readonly OpenReply[], book: Book, now: Instant): Html =>
  html`<section><h2>Not answered yet</h2>${
    rows.length === 0
      ? html`<p>Everybody has answered.</p>`
      : listTable(
          ["Van", "Reminder", "Sent", "Still to tell"],
          rows.map((r) => [
            html`<a href="/desk/hires/${r.hire}"><span class="plate">${r.registration}</span> ${r.surname}</a>`,
            book.reminders.rules[r.rule]?.title ?? r.rule,
            `${sayTime(r.sent_at as Instant, now, r.zone)}${r.again_at === null ? "" : `, again ${sayTime(r.again_at as Instant, now, r.zone)}`}`,
            stillToTell(JSON.parse(r.wants) as Want[]),
          ]),
        )
  }</section>`;
