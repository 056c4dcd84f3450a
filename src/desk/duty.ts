/** Above what waits: test alerts that want an answer, a gap of the roster, and what is being handed over. */
import { after, type Instant, sayTime } from "../calendar.js";
import type { Callout } from "../callouts/callout.js";
import { standsPromised } from "../callouts/steps.js";
import type { Hire } from "../hires/hire.js";
import type { FirmFile } from "../knowledge/schema.js";
import { type Html, html } from "../pages/html.js";
import type { FirmState, ShiftTest } from "../roster/duty/state.js";
import { standInLabel, standsFor } from "../roster/duty/tests.js";
import { dutyEnd, nextChange, whoIsOn } from "../roster/on-duty.js";
import { nameIn } from "../roster/reach.js";
import { actForm, formKeys, severityTag, telLink, type Who } from "./frame.js";

type DutyView = {
  firm: FirmFile;
  state: FirmState | undefined;
  /** Call-outs that are not done. */
  open: readonly { hire: Hire; callout: Callout }[];
  who: Who;
  now: Instant;
  id: () => string;
};

function testHtml(v: DutyView, test: ShiftTest): Html {
  const { firm, who, now } = v;
  const name = nameIn(firm, test.contact);
  const time = (t: Instant) => sayTime(t, now, firm.zone);
  const mine = test.contact === who.contact;
  const late = test.toldTimes > 0;
  const from = standsFor(test);
  const fromName = nameIn(firm, from);
  const leaving = v.state?.leaving;
  const waits =
    leaving?.test === test.n && test.why !== "asked"
      ? ` ${nameIn(firm, leaving.contact)} wants to go off duty, and stays on until ${mine ? "you answer" : `${name} answers`}.`
      : "";
  const act = (what: string, label: string, cls = "") =>
    html`<form method="post" action="/desk/duty" class="act">${formKeys(who, v.id())}<input type="hidden" name="do" value="${what}"><input type="hidden" name="test" value="${test.n}"><button class="${cls}">${label}</button></form>`;
  const standIn = () =>
    test.why === "asked" && from === who.contact
      ? act("stay", "I stay on")
      : act("stand-in", standInLabel(test, fromName));
  const by = time(after(test.sentAt, firm.shifts.answerMin));
  const about =
    test.why === "asked"
      ? `${fromName} wants to go off duty and asks ${mine ? "you" : name} to take over until ${time(test.until)}.`
      : test.why === "gap"
        ? `Nobody is on the roster: alerts come to ${mine ? "you" : name} until ${time(test.until)}.`
        : `${mine ? "Your" : `${name}'s`} shift has begun (until ${time(test.until)}).`;
  const names = test.told.map((id) => nameIn(firm, id)).join(" and ");
  const told =
    names === ""
      ? "No channel reaches anybody else."
      : `${names} ${test.told.length > 1 ? "have" : "has"} been told.`;
  return html`<div class="watch ${late ? "late" : ""}" ${late ? html` data-alarm="${test.n}" role="alert"` : ""}><p>${late ? html`<b>${mine ? "You have" : `${name} has`} not answered the test alert of ${time(test.sentAt)}.</b> ` : ""}${about}${waits}${late ? html` ${told}` : mine ? ` Answer the test alert by ${by}.` : ` The test alert must be answered by ${by}.`}${late && !mine ? html` Ring ${name}: ${telLink(firm.contacts[test.contact]?.phone)}.` : ""}</p>
${mine ? act("here", test.why === "asked" ? "I take over" : "I am here", "main") : late || test.why === "asked" ? standIn() : ""}</div>`;
}

function handingHtml(v: DutyView, hire: Hire, c: Callout): Html {
  const { firm, who, now } = v;
  const name = (id: string | undefined) => nameIn(firm, id ?? "");
  const missed = c.promisedAt !== undefined && standsPromised(c) === undefined;
  const promised = c.promisedAt && sayTime(c.promisedAt, now, firm.zone);
  const mine = c.with === who.contact;
  const toMe = c.offeredTo === who.contact;
  return html`<div class="watch"${toMe ? html` data-offer` : ""}><p>${severityTag(c.severity)} Handing over <b>${c.title}</b> (<span class="plate">${(c.van ?? hire.booking.van).registration}</span>): ${c.handing ? `since ${sayTime(c.handing.since, now, firm.zone)} ` : ""}${mine ? `it is offered to ${name(c.offeredTo)}, and stays with you until it is taken` : `${name(c.with)} offers it to ${name(c.offeredTo)}, and has it until it is taken`}.${promised ? (missed ? ` A call was promised to the hirer by ${promised}, and did not come.` : ` Promised to the hirer: a call by ${promised}.`) : ""}</p>
${mine ? "" : actForm(who, v.id(), { hire: hire.id, callout: c.n, do: "take" }, html`<button class="${toMe ? "main" : ""}">${promised && !missed ? `I take it, and ring by ${promised}` : "I take it"}</button>`)}</div>`;
}

/** All of it; empty when nothing is to be said. */
export function dutyHtml(v: DutyView): Html {
  const { firm, state, now } = v;
  const tests = (state?.tests ?? []).filter((t) => t.state === "open");
  const { contacts, gap } = whoIsOn(firm, now);
  const names = contacts.map((id) => nameIn(firm, id)).join(" and ");
  const until = (id: string) => {
    const end = dutyEnd(firm, id, now);
    return end === undefined ? "" : ` until ${sayTime(end, now, firm.zone)}`;
  };
  return html`<div id="duty"><p class="onduty">${
    gap
      ? html`<b class="nobody">Nobody is on the roster.</b> Alerts go to ${names} until ${sayTime(nextChange(firm, now), now, firm.zone)}.`
      : html`On duty: ${contacts.map((id, i) => html`${i > 0 ? " and " : ""}<b>${nameIn(firm, id)}</b>${until(id)}`)}.`
  } <a href="/desk/roster">Roster</a></p>${tests.map((t) => testHtml(v, t))}${v.open.filter(({ callout }) => callout.handing).map(({ hire, callout }) => handingHtml(v, hire, callout))}</div>`;
}
