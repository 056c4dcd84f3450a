/** The desk's pages about vans: all of them, and the record of one. Pure. */
import { dayOf, type Instant, sayTime } from "../../calendar.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { sayKm, type Unit } from "../../reminders/distance.js";
import { nameIn } from "../../roster/reach.js";
import type { PhotoRow } from "../../store/care/records.js";
import type { VanHire, VanReading } from "../../store/care/vans.js";
import { type Block, lastAt, openFaults, releaseOf } from "../../vans/blocks.js";
import { serviceDue } from "../../vans/due.js";
import type { Service, Van, VanFault } from "../../vans/van.js";
import { formKeys, listTable, severityTag, type Who } from "../frame.js";
import { type Form, text } from "../read-forms.js";
import { marks as oilMarks } from "../records/read-record.js";
import { unshown } from "../records/unshown.js";
import { blockedTag, blocksHtml, vanPath } from "./blocks.js";
import { historyChart } from "./chart.js";

export type VanView = {
  van: Van;
  typeName: string;
  blocks: readonly Block[];
  readings: readonly VanReading[];
  odometerKm?: number;
  hires: readonly VanHire[];
  marks: readonly PhotoRow[];
  firm: FirmFile;
  unit: Unit;
  now: Instant;
  /** What is wrong with a form that was sent, and what was typed in it. */
  wrong?: string;
  typed?: Form;
};

/** What was typed in a field of the form that was refused: `what` it does, and to which fault or service. */
const typedIn = (
  v: VanView,
  what: string,
  n: number | undefined,
  name: string,
): string | undefined =>
  v.typed && text(v.typed, "do") === what && text(v.typed, "n") === `${n ?? ""}`
    ? text(v.typed, name)
    : undefined;

type Forms = (what: string, inside: Html) => Html;

function fault(v: VanView, f: VanFault, form: Forms): Html {
  const { zone } = v.firm;
  const release = releaseOf(v.van, f);
  return html`<li class="card ${f.severity}"><h3>${severityTag(f.severity)} ${f.title}</h3>
<ul>${f.reports.map((r) => html`<li>${sayTime(r.at, v.now, zone)} ${nameIn(v.firm, r.by)}${r.hire ? html` (<a href="/desk/hires/${r.hire}">hire</a>)` : ""}${r.words ? html`: ${r.words}` : ""}</li>`)}</ul>
${release ? html`<p>Released ${sayTime(release.at, v.now, zone)} by ${nameIn(v.firm, release.by)}: ${release.reason}</p>` : ""}
${form("clear", html`<input type="hidden" name="n" value="${f.n}"><input type="hidden" name="seen" value="${lastAt(f)}"><label class="grow">What was done or found <input name="what" maxlength="500" value="${typedIn(v, "clear", f.n, "what") ?? ""}" required></label><button>Clear it in my name</button>`)}</li>`;
}

function faults(v: VanView, form: Forms): Html {
  const open = openFaults(v.van);
  const cleared = v.van.faults.filter((f) => f.cleared).reverse();
  return html`<section><h2>Open faults</h2>${open.length === 0 ? html`<p>None.</p>` : html`<p class="hint">The next hirers are told of these at their welcome.</p><ul class="plain">${open.map((f) => fault(v, f, form))}</ul>`}
${form(
  "note-fault",
  html`<label class="grow">Another fault <input name="title" maxlength="120" value="${typedIn(v, "note-fault", undefined, "title") ?? ""}" required></label><label>May it move <select name="severity" required><option value="">choose</option><option value="stop">no</option><option value="soon">gently</option><option value="note">yes, to be mended</option></select></label><button>Note it</button>`,
)}
${cleared.length > 0 ? html`<details><summary>Cleared: ${cleared.length}</summary><ul>${cleared.map((f) => html`<li>${f.title}: ${f.cleared?.what}, ${nameIn(v.firm, f.cleared?.by ?? "")} ${f.cleared ? sayTime(f.cleared.at, v.now, v.firm.zone) : ""}</li>`)}</ul></details>` : ""}
${v.van.releases.length > 0 ? html`<details><summary>Released: ${v.van.releases.length}</summary><ul>${[...v.van.releases].reverse().map((r) => html`<li>${sayTime(r.at, v.now, v.firm.zone)} ${nameIn(v.firm, r.by)}: ${r.reason} (${r.covers.join(", ")})</li>`)}</ul></details>` : ""}</section>`;
}

/** "over by 4 days", "in 900 miles". */
function whenDue(v: VanView, s: Service): Html {
  const due = serviceDue(s, dayOf(v.now, v.firm.zone), v.odometerKm);
  const parts = [
    due.days !== undefined &&
      (due.days < 0
        ? `over by ${-due.days} days`
        : due.days === 0
          ? "today"
          : `in ${due.days} days`),
    due.km !== undefined &&
      (due.km <= 0 ? `over by ${sayKm(-due.km, v.unit)}` : `in ${sayKm(due.km, v.unit)}`),
    s.dueKm !== undefined && v.odometerKm === undefined && "odometer not known",
  ].filter(Boolean);
  const said = parts.join(", ") || "no date set";
  return due.state === "over" || due.state === "near"
    ? html`<b class="${due.state === "over" ? "over" : "near"}">${due.state === "over" ? "■" : "◆"} ${said}</b>`
    : html`${said}`;
}

const dueFields = (v: VanView, what: string, s?: Service, n = s?.n): Html =>
  html`<label>Due on <input type="date" name="due-on" value="${typedIn(v, what, n, "due-on") ?? s?.dueOn ?? ""}"></label><label>Due at, ${v.unit} <input name="due-at" inputmode="numeric" maxlength="9" value="${typedIn(v, what, n, "due-at") ?? (s?.dueKm === undefined ? "" : sayKm(s.dueKm, v.unit).replace(/ .*/, ""))}"></label><input type="hidden" name="unit" value="${v.unit}">`;

function service(v: VanView, form: Forms): Html {
  const rows = v.van.service;
  return html`<section><h2>Service</h2>${rows.length === 0 ? html`<p>Nothing is set.</p>` : ""}<ul class="plain">${rows.map(
    (s) => {
      const last = s.done.at(-1);
      return html`<li class="card"><h3>${s.what}</h3><p>${whenDue(v, s)}${last ? html` · last done ${sayTime(last.at, v.now, v.firm.zone)} by ${nameIn(v.firm, last.by)}${last.odometerKm === undefined ? "" : ` at ${sayKm(last.odometerKm, v.unit)}`}` : ""}</p>
<details${v.typed?.["do"] !== "clear" && v.typed?.["n"] === `${s.n}` ? html` open` : ""}><summary>Done, or another date</summary>${form("service-done", html`<input type="hidden" name="n" value="${s.n}"><p class="hint">Done today at the odometer as last read. Next:</p>${dueFields(v, "service-done", undefined, s.n)}<label><input type="checkbox" name="no-next" value="yes"> not due again</label><button>It is done</button>`)}
${form("service", html`<input type="hidden" name="n" value="${s.n}"><label>What <input name="what" maxlength="120" value="${typedIn(v, "service", s.n, "what") ?? s.what}" required></label>${dueFields(v, "service", s)}<button>Change</button>`)}</details></li>`;
    },
  )}</ul>
${form("service", html`<label class="grow">What is to be done <input name="what" maxlength="120" value="${typedIn(v, "service", undefined, "what") ?? ""}" required placeholder="oil and filter"></label>${dueFields(v, "service")}<button>Add</button>`)}</section>`;
}

function history(v: VanView): Html {
  const { zone } = v.firm;
  const latest = [...v.readings].reverse();
  const share = (n: number | undefined) => (n === undefined ? "–" : `${Math.round(n * 100)} %`);
  return html`<section><h2>Odometer, oil and fluid</h2>${
    latest.length === 0
      ? html`<p>Nothing was read yet.</p>`
      : html`<div class="beside">${historyChart(v.readings, v.unit, v.now, zone) ?? ""}
${listTable(
  ["When", "By", "Odometer", "Oil", "Exhaust fluid", "Fuel"],
  latest.map((r) => [
    sayTime(r.at, v.now, zone),
    nameIn(v.firm, r.by),
    r.odometerKm === undefined ? "–" : sayKm(r.odometerKm, v.unit),
    oilMarks.find(([m]) => m === r.oil)?.[1] ?? "–",
    share(r.fluid),
    share(r.fuel),
  ]),
)}</div>`
  }</section>`;
}

function marks(v: VanView, form: Forms): Html {
  const { zone } = v.firm;
  const open = v.marks.filter((m) => !v.van.mended[m.id]);
  const done = v.marks.filter((m) => v.van.mended[m.id]);
  return html`<section><h2>Marks</h2>${open.length === 0 ? html`<p>None is known.</p>` : ""}<ul class="shots">${open.map(
    (
      m,
    ) => html`<li class="shot">${m.shown ? html`<a href="/desk/records/photo/${m.id}" target="_blank" rel="noopener"><img src="/desk/records/photo/${m.id}" alt="${m.mark ?? ""}" width="96" height="96" loading="lazy"></a>` : unshown(`/desk/records/photo/${m.id}/original`, m.type)}<div><p><b>${m.mark}</b></p><p class="hint">${m.side}, ${sayTime(m.received_at as Instant, v.now, zone)}, <a href="/desk/hires/${m.hire}">hire</a> · <a href="/desk/records/photo/${m.id}/original">original</a></p>
${form("mended", html`<input type="hidden" name="photo" value="${m.id}"><button>It is mended</button>`)}</div></li>`,
  )}</ul>
${done.length > 0 ? html`<details><summary>Mended: ${done.length}</summary><ul>${done.map((m) => html`<li>${m.mark}, ${nameIn(v.firm, v.van.mended[m.id]?.by ?? "")}</li>`)}</ul></details>` : ""}</section>`;
}

/** The record of one van. */
export function vanPage(v: VanView, who: Who, id: () => string): Html {
  const { van } = v;
  const path = vanPath(van.registration);
  const form: Forms = (what, inside) =>
    html`<form method="post" action="${path}" class="act wide">${formKeys(who, id())}<input type="hidden" name="do" value="${what}"><input type="hidden" name="type" value="${van.type}"><input type="hidden" name="back" value="${path}">${inside}</form>`;
  const last = v.readings.findLast((r) => r.odometerKm !== undefined);
  return html`<h1><span class="plate">${van.registration}</span> ${v.typeName}</h1>
${v.wrong ? html`<p class="wrong" role="alert">Not done: ${v.wrong}</p>` : ""}
${blocksHtml(v.blocks, van.registration, van.type, who, id(), { back: path, reason: typedIn(v, "release", undefined, "reason") })}
${van.givenUp?.place ? html`<p>Given up on the road by <a href="/desk/hires/${van.givenUp.hire}">${van.givenUp.surname || "its hirers"}</a> ${sayTime(van.givenUp.at, v.now, v.firm.zone)}: ${van.givenUp.place}</p>` : ""}
<p>${last?.odometerKm === undefined ? "The odometer was not read yet." : `Odometer ${sayKm(last.odometerKm, v.unit)}, read ${sayTime(last.at, v.now, v.firm.zone)}.`}</p>
${faults(v, form)}${service(v, form)}${history(v)}${marks(v, form)}
<section><h2>Hires</h2>${v.hires.length === 0 ? html`<p>None.</p>` : html`<ul>${v.hires.map((h) => html`<li><a href="/desk/hires/${h.id}">${h.surname}</a>, ${sayTime(h.pickupAt, v.now, v.firm.zone)} to ${sayTime(h.returnAt, v.now, v.firm.zone)} · <a href="/desk/hires/${h.id}/sheet">return sheet</a></li>`)}</ul>`}</section>`;
}

export type VanLine = {
  registration: string;
  typeName: string;
  blocks: readonly Block[];
  faults: number;
  due: string;
  odometerKm?: number;
};

/** All vans: what blocks them, what is open, what falls due. */
export const vansPage = (vans: readonly VanLine[], unit: Unit): Html =>
  html`<h1>Vans</h1>${
    vans.length === 0
      ? html`<p>No hire has named a van yet.</p>`
      : listTable(
          ["Van", "May go out", "Open faults", "Service", "Odometer"],
          vans.map((v) => [
            html`<a href="${vanPath(v.registration)}"><span class="plate">${v.registration}</span> ${v.typeName}</a>`,
            v.blocks.length > 0 ? blockedTag(v.blocks) : "nothing against it is noted",
            v.faults === 0 ? "none" : v.faults,
            v.due || "nothing set",
            v.odometerKm === undefined ? "not read yet" : sayKm(v.odometerKm, unit),
          ]),
        )
  }`;
