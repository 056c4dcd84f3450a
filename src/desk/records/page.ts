/** The page at the van: the record of handover or return, one column, one thumb. Pure. */
import { sayTime } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { pointsFor } from "../../knowledge/handover/points.js";
import { fill } from "../../knowledge/placeholders.js";
import { type Html, html } from "../../pages/html.js";
import { sayKm } from "../../reminders/distance.js";
import type { HandoverKind } from "../../vans/handover.js";
import { formKeys, type Who } from "../frame.js";
import { chips, number, tank, tick, words, wrongOf } from "./controls.js";
import { levelsOf, marks } from "./read-record.js";
import type { RecordView } from "./view.js";
import { chatPhotos, walkRound } from "./walk-round.js";

const heading: Record<HandoverKind, string> = { pickup: "Pick-up record", return: "Return record" };
export const titleOf = (kind: HandoverKind): string => heading[kind];
const percent = (share: number): string => `${Math.round(share * 100)} %`;

/** What stood at pick-up, beside the field of the return. */
function atPickup(v: RecordView, name: "odometerKm" | "fuel" | "fluid" | "oil"): string {
  if (v.kind === "pickup") return "";
  const value = v.hire.pickup?.reading[name];
  if (value === undefined)
    return v.hire.pickup ? "not read at pick-up" : "there is no pick-up record";
  if (name === "odometerKm") return `at pick-up ${sayKm(Number(value), v.unit)}`;
  if (name === "oil") return `at pick-up: ${marks.find(([m]) => m === value)?.[1] ?? value}`;
  return `at pick-up ${percent(Number(value))}`;
}

function readings(v: RecordView): Html {
  const has = levelsOf(v.van);
  const electric = v.van.fuel === "electric";
  return html`<section class="step"><h2>Readings</h2>
<div class="across">${number(v, "odometer", "Odometer", { hint: atPickup(v, "odometerKm") })}
${chips(v, "unit", html`<span class="unseen">Unit of the odometer</span>`, [
  ["miles", "miles"],
  ["km", "km"],
])}</div>
${tick(v, "odometer-none", "Cannot be read")}
${electric ? number(v, "fuel", "Charge, %", { hint: atPickup(v, "fuel"), placeholder: "0 to 100" }) : tank(v, "fuel", "Fuel", atPickup(v, "fuel"))}
${has.fluid ? tank(v, "fluid", "Exhaust fluid", atPickup(v, "fluid")) : ""}
${has.oil ? chips(v, "oil", "Oil on the dipstick", [...marks, ["none", "Not read"]], atPickup(v, "oil")) : ""}</section>`;
}

function gas(v: RecordView): Html {
  const has = levelsOf(v.van);
  if (!has.bottles && !has.cartridges) return html``;
  return html`<section class="step"><h2>Gas</h2>
${has.bottles ? html`${number(v, "gas-kg", "Gas left, kg", { hint: "on the scale, less the empty bottle" })}${tank(v, "gas-share", "or by the level of the bottle", "", "Not looked at")}` : ""}
${has.cartridges ? number(v, "cartridges", "Full cartridges") : ""}</section>`;
}

function kit(v: RecordView): Html {
  return html`<section class="step"><h2>Keys and kit</h2>
<div class="across">${number(v, "keys", v.kind === "pickup" ? "Keys handed over" : "Keys back")}
${chips(v, "spare", "Spare key", [
  ["with-hirer", v.kind === "pickup" ? "with hirer" : "came back"],
  ["office", "in the office"],
  ["none", "missing"],
])}</div>
${tick(v, "kit-all", "All of the list is there; below only what differs")}
<ul class="kit">${v.van.kit.map(({ item, count }, i) => html`<li>${number(v, `kit-${i}`, item, { placeholder: `${count}` })}</li>`)}</ul></section>`;
}

function people(v: RecordView): Html {
  if (v.kind === "return")
    return html`<section class="step"><h2>Looked at</h2>${pointsFor(v.book.handover.back, v.van.has).map((p) => tick(v, `point-${p.id}`, p.say))}</section>`;
  return html`<section class="step"><h2>Drivers: licence seen</h2>${v.hire.people.map((p) => tick(v, `driver-${p.id}`, p.name))}
<label class="grow">Another driver <input name="driver-other" maxlength="200" value="${v.fields["driver-other"] ?? ""}"></label></section>
<section class="step"><h2>Safety points: told and shown</h2>${pointsFor(v.book.handover.safety, v.van.has).map((p) => tick(v, `point-${p.id}`, fill(p.say, v.values)))}</section>`;
}

function faults(v: RecordView): Html {
  return html`<section class="step"><h2>Faults found</h2><p class="hint">Each stays on the van until somebody clears it by name.</p>
${[1, 2, 3].map(
  (
    n,
  ) => html`<div class="across"><label class="grow">Fault ${n} <input name="fault-${n}" maxlength="120" value="${v.fields[`fault-${n}`] ?? ""}"></label>
<label>May it move <select name="fault-${n}-severity">${[
    ["", "choose"],
    ["stop", "no"],
    ["soon", "gently"],
    ["note", "yes, to be mended"],
  ].map(
    ([value, label]) =>
      html`<option value="${value}"${value === (v.fields[`fault-${n}-severity`] ?? "") ? html` selected` : ""}>${label}</option>`,
  )}</select>${wrongOf(v, `fault-${n}-severity`)}</label></div>`,
)}</section>`;
}

function remarks(v: RecordView): Html {
  const { zone } = v.hire.booking;
  return html`<section class="step"><h2>Remarks</h2>${words(v, "remark", "Yours")}
${v.kind === "return" ? words(v, "hirer-remark", "The hirer's") : ""}
${v.kind === "return" && v.said.length > 0 ? html`<details><summary>What they wrote of late</summary><ul>${v.said.map((s) => html`<li><time>${sayTime(s.at, v.now, zone)}</time> <b>${s.who}</b> ${s.text}</li>`)}</ul></details>` : ""}</section>`;
}

const way = (v: RecordView): Html =>
  v.kind === "return"
    ? html`<section class="step"><h2>How it came back</h2>${chips(
        { ...v, fields: { ...v.fields, way: v.fields["way"] ?? "present" } },
        "way",
        html`<span class="unseen">How it came back</span>`,
        [
          ["present", "Hirer is here"],
          ["key-box", "Key box: I check it in"],
        ],
      )}${chatPhotos(v)}</section>`
    : html``;

const ask = (v: RecordView): Html =>
  v.questions.length === 0
    ? html``
    : html`<section class="step ask" id="ask" role="alert"><h2>Please look once more</h2>${v.questions.map((q) => html`<label class="yes"><input type="checkbox" name="sure-${q.id}" value="${q.says}"> <span>${q.ask}</span></label>`)}<p class="hint">Put it right below, or tick what is right; then keep the record again.</p></section>`;

/** What a page of the van before is told: nothing of one van goes into a record of another. */
export const otherVanPage = (hire: Hire, kind: HandoverKind, before: string): Html =>
  html`<h1>Not kept: another van</h1><p class="wrong" role="alert">What you wrote is of <span class="plate">${before}</span>; the hire has <span class="plate">${hire.booking.van.registration}</span> now.</p>
<p><a href="/desk/hires/${hire.id}/${kind}">${heading[kind]} of the van it has now</a></p>`;

/** The whole page. Works without script but for photos; with it, nothing that was typed is ever lost. */
export function recordPage(v: RecordView, who: Who, id: string): Html {
  const { hire, kind } = v;
  const known = kind === "pickup" ? hire.pickup : hire.back;
  const amiss = Object.keys(v.wrong).length;
  const path = `/desk/hires/${hire.id}/${kind}`;
  const zone = hire.booking.zone;
  const draft = v.draft
    ? `Kept here, not yet a record: ${v.draft.by}, ${sayTime(v.draft.savedAt, v.now, zone)}.`
    : "";
  return html`<h1>${heading[kind]} <span class="plate">${hire.booking.van.registration}</span></h1>
<p><a href="/desk/hires/${hire.id}">${v.van.name}, ${hire.booking.surname}</a>${known ? ` · kept ${sayTime(known.at, v.now, zone)}; what you keep now takes its place` : ""}</p>
${v.before}
<form method="post" action="${path}" class="record" id="record" autocomplete="off" data-hire="${hire.id}" data-kind="${kind}" data-by="${who.contact}" data-name="${who.name}">${formKeys(who, id)}<input type="hidden" name="base" value="${v.base}"><input type="hidden" name="van" value="${hire.booking.van.registration}">
${v.meanwhile ? html`<p class="wrong" role="alert">${v.meanwhile} Nothing was kept just now: look at what stands here, then keep it.</p>` : ""}
${amiss > 0 ? html`<p class="wrong" role="alert">Not kept as a record yet: ${amiss === 1 ? "one field needs" : `${amiss} fields need`} a look.</p>` : ""}
${ask(v)}${way(v)}${readings(v)}${walkRound(v)}${kit(v)}${gas(v)}${people(v)}${faults(v)}${remarks(v)}
<div class="save"><p id="kept" role="status" class="hint">${draft}</p><button class="main">Keep ${heading[kind].toLowerCase()}</button></div></form>
<script type="module" src="/pages/record.js"></script>`;
}
