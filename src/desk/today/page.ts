/** The board of the day: each van with its five steps, the hire before and the next one on one line; and what is owed. Pure. */
import { dayOf, type Instant, sayDay, sayTime } from "../../calendar.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { type Html, html } from "../../pages/html.js";
import { nameIn } from "../../roster/reach.js";
import { isGrave, type Severity } from "../../severity.js";
import type { Block } from "../../vans/blocks.js";
import type { Changeover, Stint } from "../../vans/today.js";
import type { ReadyStep } from "../../vans/van.js";
import { formKeys, severityTag, type Who } from "../frame.js";
import { vanPath } from "../vans/blocks.js";

type TodayView = {
  lines: readonly Changeover[];
  owed: readonly Owed[];
  /** The names of those who may release a van. */
  mayRelease: readonly string[];
  firm: FirmFile;
  who: Who;
  now: Instant;
  id: () => string;
};
/** One thing that somebody still has to do or to hear. `over`: its time has passed. */
export type Owed = {
  kind: string;
  registration: string;
  hire: string;
  words: string;
  over: boolean;
};

const stepWords: Readonly<Record<ReadyStep, string>> = {
  back: "back",
  cleaned: "cleaned",
  filled: "fluids and gas",
  checked: "checked",
  out: "out",
};

/** "2 h 05 min", "3 days". */
export function sayLength(minutes: number): string {
  const m = Math.abs(minutes);
  if (m >= 2 * 1440) return `${Math.floor(m / 1440)} days`;
  return m < 60 ? `${m} min` : `${Math.floor(m / 60)} h ${String(m % 60).padStart(2, "0")} min`;
}

const hireLink = ({ hire, surname }: { hire: string; surname: string }): Html =>
  html`<a href="/desk/hires/${hire}">${surname}</a>`;

function stepHtml(v: TodayView, c: Changeover, at: number): Html {
  const line = c.steps[at];
  if (!line) return html``;
  const { step, done } = line;
  const { zone } = v.firm;
  const words = stepWords[step];
  const act = (label: Html, more: Html, cls = "") =>
    html`<form method="post" action="${vanPath(c.registration)}">${formKeys(v.who, v.id())}<input type="hidden" name="do" value="ready"><input type="hidden" name="step" value="${step}"><input type="hidden" name="after" value="${c.before?.hire ?? ""}"><input type="hidden" name="back" value="/desk/today">${more}<button class="${cls}">${label}</button></form>`;
  const named = html`<span class="unseen">${c.registration}: </span>`;
  if (done) {
    const byHand = step !== "out" && !(step === "back" && c.before?.back);
    return html`<li class="done"><b><span aria-hidden="true">✓</span> ${words}</b> <span>${sayTime(done.at, v.now, zone)}${done.by ? ` ${nameIn(v.firm, done.by)}` : ""}</span>${byHand && !c.next?.out ? act(html`${named}not done after all`, html`<input type="hidden" name="undo" value="1">`, "small") : ""}</li>`;
  }
  const isNow = step === c.now;
  const shown = html`<span class="unseen">${c.registration}: </span><span aria-hidden="true">${isNow ? "▸" : "○"}</span> ${words}`;
  const record = (path: string, hire: string, label: string) =>
    html`<a class="button ${isNow ? "main" : ""}" href="/desk/hires/${hire}/${path}">${shown}: ${label}</a>`;
  const how =
    step === "out"
      ? record("pickup", c.next?.hire ?? "", "pick-up record")
      : step === "back" && !c.before?.swapped
        ? record("return", c.before?.hire ?? "", "return record")
        : c.next?.out
          ? html`<span class="quiet">${words}: not marked</span>`
          : act(shown, html``, isNow ? "main" : "");
  return html`<li>${how}</li>`;
}

function beforeHtml(v: TodayView, c: Changeover, b: Stint): Html {
  const { zone } = v.firm;
  const at = sayTime(b.to, v.now, zone);
  if (b.back) return html`${hireLink(b)} came back ${sayTime(b.back.at, v.now, zone)}`;
  if (b.swapped)
    return html`given up on the road by ${hireLink(b)} ${at}${b.place ? `: ${b.place}` : ", where is not known"}`;
  const says = b.says?.isBack
    ? html`, says that it is back`
    : b.says
      ? html`, says ${sayTime(b.says.at, v.now, zone)}`
      : "";
  return c.lateMin
    ? html`<b class="over"><span aria-hidden="true">■</span> ${hireLink(b)} is late: due ${at}, ${sayLength(c.lateMin)} ago</b>${says}`
    : html`${hireLink(b)} is due back ${at}${says}`;
}

function nextHtml(v: TodayView, c: Changeover): Html {
  const { next, leftMin } = c;
  if (!next) return html`no next hire`;
  const at = sayTime(next.from, v.now, v.firm.zone);
  if (next.out) {
    const at = sayTime(next.out.at, v.now, v.firm.zone);
    return next.back
      ? html`went out with ${hireLink(next)} ${at}, and is back`
      : html`out with ${hireLink(next)} since ${at}`;
  }
  const left =
    leftMin === undefined
      ? ""
      : leftMin >= 0
        ? `in ${sayLength(leftMin)}`
        : `${sayLength(leftMin)} ago`;
  return c.hits
    ? html`<b class="near"><span aria-hidden="true">◆</span> ${hireLink(next)} ${leftMin !== undefined && leftMin < 0 ? "waits" : "will wait"}:</b> <b>${at}</b>, ${left}`
    : html`next: ${hireLink(next)} <b>${at}</b>, ${left}`;
}

function blockHtml(v: TodayView, c: Changeover): Html {
  const said = (b: Block) =>
    b.kind === "fault"
      ? html`${severityTag(b.fault.severity)} ${b.fault.title}`
      : html`no return record of ${hireLink({ hire: b.hire, surname: b.surname })}`;
  return c.blocks.length === 0
    ? html``
    : html`<p class="why"><b class="nobody"><span aria-hidden="true">■</span> may not go out yet:</b> ${c.blocks.map((b, i) => html`${i > 0 ? "; " : ""}${said(b)}`)}. <a href="${vanPath(c.registration)}">Release ${c.registration}</a>: ${v.mayRelease.join(", ")} may, by name and with a reason.</p>`;
}

const lineHtml = (v: TodayView, c: Changeover): Html => {
  const tone = c.next?.out
    ? "gone"
    : c.lateMin || c.blocks.length > 0
      ? "stop"
      : c.hits
        ? "soon"
        : "";
  return html`<li class="card line ${tone}" data-key="${c.registration}:${c.before?.hire ?? ""}"><p class="head"><a href="${vanPath(c.registration)}"><span class="plate">${c.registration}</span></a> ${c.before ? html`<span>${beforeHtml(v, c, c.before)}</span>` : ""} <span class="then">${nextHtml(v, c)}</span></p>
${blockHtml(v, c)}<ol class="steps-row">${c.steps.map((_, i) => stepHtml(v, c, i))}</ol></li>`;
};

const owedHtml = (owed: readonly Owed[]): Html =>
  owed.length === 0
    ? html`<p>Nothing.</p>`
    : html`<ul class="owed">${owed.map(
        (o) =>
          html`<li><a href="/desk/hires/${o.hire}"><span class="plate">${o.registration}</span></a> ${o.over ? html`<b class="over"><span aria-hidden="true">■</span> ${o.kind}:</b>` : html`<b>${o.kind}:</b>`} ${o.words}</li>`,
      )}</ul>`;

const count = (n: number, one: string, many = one): string => `${n} ${n === 1 ? one : many}`;

/** Said above the board: the board is no reason to miss a danger. */
function waitsHtml(waits: readonly Severity[]): Html {
  const [worst] = waits;
  const urgent = isGrave(worst);
  const said = `${waits.length} ${waits.length === 1 ? "matter waits" : "matters wait"} for a person`;
  return html`<p id="waiting" data-fresh class="${urgent ? "silence red" : ""}">${worst === undefined ? "" : html`${severityTag(worst)} <a href="/desk">${said}</a>`}</p>`;
}

/** The whole page; its parts with an id are put in anew when something happens. */
export function todayPage(v: TodayView): Html {
  const { lines, owed } = v;
  const open = lines.filter((c) => !c.next?.out);
  const said = [
    count(open.filter((c) => c.lateMin).length, "late"),
    count(open.filter((c) => c.hits).length, "hirer will wait", "hirers will wait"),
    count(open.filter((c) => c.blocks.length > 0).length, "blocked"),
    count(open.filter((c) => c.now && c.now !== "out" && c.now !== "back").length, "to make ready"),
    count(owed.length, "thing owed", "things owed"),
  ];
  return html`<h1>Today, ${sayDay(dayOf(v.now, v.firm.zone))}</h1>${waitsHtml(v.who.waits)}<p id="sum" data-fresh>${said.join(" · ")}</p>
<section aria-labelledby="h-vans"><h2 id="h-vans">Vans</h2><ol id="board" class="board" data-fresh>${lines.length === 0 ? html`<li>No van comes back or goes out today.</li>` : lines.map((c) => lineHtml(v, c))}</ol></section>
<section aria-labelledby="h-owed"><h2 id="h-owed">Owed</h2><div id="owed" data-fresh>${owedHtml(owed)}</div></section>`;
}
