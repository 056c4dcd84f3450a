/** Everything that can be done to a call-out, as forms: what is needed first stands open, the rest opens. */
import { clockOf, type Instant, sayTime } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import type { CardLine } from "../../callouts/card.js";
import { take } from "../../callouts/steps.js";
import { isSecret } from "../../callouts/whose.js";
import type { Hire } from "../../hires/hire.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { nameIn } from "../../roster/reach.js";
import { actForm, telLink, type Who } from "../frame.js";

type ActsView = {
  hire: Hire;
  callout: Callout;
  firm: FirmFile;
  who: Who;
  now: Instant;
  id: () => string;
};

/** A form of one act. */
const calloutForm = (v: ActsView, what: string, inside: Html, cls = ""): Html =>
  actForm(v.who, v.id(), { hire: v.hire.id, callout: v.callout.n, do: what }, inside, cls);

/** "X offers to take it", with what the owner can answer. */
export function offersHtml(v: ActsView): Html {
  const { callout: c, firm, who } = v;
  const name = (id: string) => nameIn(firm, id);
  if (!c.offers?.length) return html``;
  const mine = c.with === who.contact;
  return html`<div class="offer">${c.offers.map(
    (id) =>
      html`<p><b>${id === who.contact ? "You offer" : `${name(id)} offers`} to take it.</b>${mine ? "" : ` ${name(c.with ?? "")} was asked.`}</p>${mine ? calloutForm(v, "pass", html`<input type="hidden" name="to" value="${id}"><button class="main">Pass on to ${name(id)}</button>`) : ""}`,
  )}${mine ? calloutForm(v, "keep", html`<button>I keep it</button>`) : ""}</div>`;
}

function more(v: ActsView): Html {
  const { callout: c, hire, firm, who } = v;
  const { aboard } = hire;
  const others = Object.entries(firm.contacts).filter(
    ([id, one]) => one.kind === "staff" && id !== c.with,
  );
  const open = hire.callouts.filter((o) => o.state !== "done" && o.n !== c.n);
  // A time that is past is not offered again: kept once more it would be tomorrow's.
  const arrives = c.roadside?.came ? undefined : c.roadside?.arrivesAt;
  const was = arrives !== undefined && arrives > v.now ? clockOf(arrives, firm.zone) : "";
  const outcomes = Object.entries(firm.outcomes).filter(
    ([id]) => id !== "joined" || open.length > 0,
  );
  return html`<details data-open="more"><summary>Roadside assistance, note, pass on, done</summary><div class="acts">
${calloutForm(v, "roadside", html`<label>Roadside reference <input name="reference" maxlength="40" autocomplete="off" value="${c.roadside?.reference ?? ""}"></label><label>There by <input type="time" name="clock" value="${was}"></label><input type="hidden" name="was" value="${was}"><button>Keep, and tell them</button>`)}
${c.roadside && !c.roadside.came ? calloutForm(v, "came", html`<button>Roadside assistance is there</button>`) : ""}
${calloutForm(v, "aboard", html`<label>People <input name="people" inputmode="numeric" pattern="[0-9]{1,2}" size="3" value="${aboard?.people ?? ""}"></label><label>Child seats <input name="childSeats" inputmode="numeric" pattern="[0-9]{1,2}" size="3" value="${aboard?.childSeats ?? ""}"></label><label>Pets <input name="pets" maxlength="60" value="${aboard?.pets ?? ""}"></label><label class="grow">Where the key is <input name="key" maxlength="120" value="${aboard?.key ?? ""}"></label><button>Keep for the card</button>`, "wide")}
${calloutForm(v, "note", html`<label class="grow">Note <input name="note" maxlength="1000" required></label><button>Keep note</button>`, "wide")}
${c.with === who.contact ? calloutForm(v, "pass", html`<label>Pass on to <select name="to">${others.map(([id, one]) => html`<option value="${id}">${one.name}</option>`)}</select></label><button>Pass on</button>`) : ""}
${calloutForm(
  v,
  "done",
  html`<label>How it ended <select name="outcome" required><option value="">choose</option>${outcomes.map(([id, label]) => html`<option value="${id}">${label}</option>`)}</select></label>${open.length > 0 ? html`<label>Joined to <select name="to"><option value="">no other</option>${open.map((o) => html`<option value="${o.n}">${o.n}: ${o.title}</option>`)}</select></label>` : ""}<label class="grow">In words, where it is something else <input name="note" maxlength="1000"></label><button>Done</button>`,
  "wide",
)}
</div></details>`;
}

/** What is done first, near the top: taking it; for its owner, the call. */
export function firstActs(v: ActsView): Html {
  const { callout: c, who } = v;
  const mine = c.with === who.contact;
  const { callout: taken, became } = take(c, who.contact);
  const { promisedAt } = taken;
  const label =
    became === "ask-owner"
      ? "Offer to take it"
      : promisedAt === undefined
        ? "I take it"
        : `I take it, and ring by ${sayTime(promisedAt, v.now, v.firm.zone)}`;
  const takeForm = calloutForm(v, "take", html`<button class="main">${label}</button>`);
  const onPhone = c.phone?.by === who.contact;
  return html`<div class="acts">${mine ? "" : takeForm}
${calloutForm(v, "phone", html`<button class="${mine ? "main" : ""}">${onPhone ? "Still on the phone" : "I am on the phone with them"}</button>`)}
${calloutForm(v, "heard", html`<button>I have spoken with them</button>`)}</div>`;
}

/** The other forms of a card. */
export function actsHtml(v: ActsView): Html {
  const { callout: c, hire, who } = v;
  // Who can only offer to take it promises nothing.
  const mayPromise = take(c, who.contact).became !== "ask-owner";
  const person = hire.people.find((p) => p.id === c.person);
  const secret = isSecret(c);
  const to = html`<label>To <select name="person"><option value="${c.person}">${person?.name ?? "them"}</option>${
    secret
      ? ""
      : html`${hire.people.filter((p) => p.id !== c.person).map((p) => html`<option value="${p.id}">${p.name}</option>`)}${hire.people.length > 1 ? html`<option value="all">all of them</option>` : ""}`
  }</select></label>`;
  return html`<div class="acts">
${mayPromise ? calloutForm(v, "promise", html`<label>I ring them by <input type="time" name="clock" required></label><button>Promise</button>`) : ""}
${calloutForm(v, "reply", html`${hire.people.length > 1 && !secret ? to : html`<input type="hidden" name="person" value="${c.person}">`}<label class="grow">Write to ${hire.people.length > 1 && !secret ? "them" : (person?.name ?? "them")} <textarea name="text" rows="2" maxlength="3500" required></textarea></label><button>Send</button>`, "wide")}
${more(v)}
</div>`;
}

/** The card to read out, line by line; what must be asked first is marked. */
export const cardHtml = (lines: readonly CardLine[]): Html =>
  html`<details data-open="card"><summary>Card to read out to roadside assistance (${lines.filter((l) => l.ask).length} to ask)</summary><dl class="readout">${lines.map((l) => html`<div class="${l.ask ? "ask" : ""}"><dt>${l.label}</dt><dd>${l.ask ? html`<b>${l.value}</b>` : l.dial ? telLink(l.value) : l.value}</dd></div>`)}</dl></details>`;
