/** The return sheet at the desk: one page that prints on an A4, and the same as CSV. */
import { type Response, Router } from "express";
import { type Instant, isoIn, sayTime } from "../../calendar.js";
import { isSecret, isThreatened } from "../../callouts/whose.js";
import type { HandoverRecord, Hire } from "../../hires/hire.js";
import { type Book, regionOf } from "../../knowledge/book.js";
import { laneOf } from "../../lanes.js";
import { type Html, html } from "../../pages/html.js";
import { nameIn } from "../../roster/reach.js";
import { photosOf } from "../../store/care/records.js";
import { vanOf } from "../../store/care/vans.js";
import { filesIn } from "../../store/events.js";
import { type GivenUp, type Row, type Section, sheetRows } from "../../vans/sheet.js";
import { newVan } from "../../vans/van.js";
import { canBeShown } from "../../wording/pictures.js";
import { voiceFor } from "../../wording/say.js";
import { bookNow, type DeskParts, type Entry, hireState, send, sendCsv } from "../entry.js";
import { deskPage } from "../frame.js";
import { chatFiles } from "../records/chat-files.js";
import { csv } from "./csv.js";

/** More pictures than these would not fit on the sheet; all are on the page of the hire. */
const mostPictures = 12;

/** The record with which its van went out: of a van that was given up and taken back, the latest that was made of it. */
const pickupOf = ({ booking, pickup, vansBefore = [] }: Hire): HandoverRecord | undefined =>
  [...vansBefore.map((van) => van.pickup), pickup].findLast(
    (record) => record?.registration === booking.van.registration,
  );

async function rowsOf(parts: DeskParts, book: Book, hire: Hire): Promise<Row[]> {
  const { db } = parts;
  const { booking, back } = hire;
  // A sheet is printed and shown: what is one person's secret does not stand on it.
  const callouts = hire.callouts.filter((c) => !isSecret(c));
  const pickup = pickupOf(hire);
  const known = async (van: Hire["booking"]["van"]) => ({
    van: voiceFor(book, van.type, booking.region, "en").van,
    care: (await vanOf(db, van.registration)) ?? newVan(van.registration, van.type),
  });
  const before: GivenUp[] = [];
  let from = 0;
  for (const van of hire.vansBefore ?? []) {
    const until = van.until ?? 0;
    const readings = hire.readings.filter((r) => r.at >= from && r.at < until);
    before.push({
      ...(await known(van)),
      ...(van.pickup ? { pickup: van.pickup } : {}),
      readings,
    });
    from = until;
  }
  return sheetRows({
    hire: hire.id,
    ...(await known(booking.van)),
    before,
    back: book.handover.back,
    unit: pickup?.unit ?? back?.unit ?? regionOf(book, booking.region).region.distanceUnit,
    zone: booking.zone,
    checks: hire.sentReminders.flatMap((s) => {
      const rule = book.reminders.rules[s.rule];
      const isCheck =
        rule?.needsReply && rule.reading.some((w) => w !== "safety" && w !== "arrival");
      return isCheck ? [{ title: rule.title, sentAt: s.sentAt, answered: s.answered }] : [];
    }),
    callouts: callouts.map(({ title, severity, openedAt, state, outcome, note }) => ({
      ...{ title, severity, openedAt },
      ...(state === "done"
        ? {
            outcome: `${book.firm.outcomes[outcome ?? ""] ?? outcome ?? "done"}${note ? ` (${note})` : ""}`,
          }
        : {}),
    })),
    ...(pickup ? { pickup } : {}),
    ...(back ? { returned: back } : {}),
  });
}

const of = (rows: readonly Row[], section: Section) => rows.filter((r) => r.section === section);
const cell = (r: Row, value: number | string | undefined): string =>
  value === undefined
    ? "not read"
    : `${typeof value === "number" ? value.toLocaleString("en-GB") : value}${r.unit && typeof value === "number" ? ` ${r.unit}` : ""}`;

const listed = (heading: string, rows: readonly Row[], empty: string, cls = ""): Html =>
  html`<section><h2>${heading}</h2>${rows.length === 0 ? html`<p>${empty}</p>` : html`<ul class="${cls}">${rows.map((r) => html`<li><b>${r.item}</b>${r.difference !== undefined ? ` ${r.difference} ${r.unit ?? ""}` : ""}${r.note ? `: ${r.note}` : ""}</li>`)}</ul>`}</section>`;

const readingsTable = (rows: readonly Row[], last = "Return"): Html =>
  html`<section><h2>Readings</h2><table><thead><tr><th scope="col">Reading</th><th scope="col">Pick-up</th><th scope="col">${last}</th><th scope="col">Difference</th></tr></thead><tbody>${of(rows, "readings").map((r) => html`<tr><th scope="row">${r.item}</th><td>${cell(r, r.pickup)}</td><td>${cell(r, r.returned)}</td><td>${r.difference === undefined ? "" : cell(r, r.difference)}</td></tr>`)}</tbody></table></section>`;

/** What stands of the van that was given up on the road as the hire's `n`-th. */
function givenUpPart(book: Book, now: Instant, hire: Hire, n: number, all: readonly Row[]): Html {
  const { vansBefore = [], booking } = hire;
  const { zone } = booking;
  const [van, ...later] = vansBefore.slice(n);
  if (!van) return html``;
  const rows = all.filter((r) => r.before === n);
  const again = [...later, booking.van].some((v) => v.registration === van.registration);
  const name = book.vans.get(van.type)?.name ?? van.type;
  const until = van.until === undefined ? "" : `, until ${sayTime(van.until, now, zone)}`;
  return html`<section class="given-up"><h2>The van before: <span class="plate">${van.registration}</span></h2><p>${name}${until}; given up on the road${again ? ", and taken back later" : ""}.${van.pickup ? ` Pick-up ${sayTime(van.pickup.at, now, zone)} by ${nameIn(book.firm, van.pickup.by)}.` : ""}</p>
${of(rows, "readings").length > 0 ? readingsTable(rows, "Last read") : ""}
${
  again
    ? ""
    : html`<div class="two">${listed("Reported", of(rows, "reported"), "Nothing.")}
${listed("Before it goes out again", of(rows, "to do"), "Nothing is known.", "todo")}</div>`
}</section>`;
}

/** `shown`: there is a copy to look at; else `href` is the way to the original. */
type Picture = { href: string; shown: boolean; said: string };
async function pictures({ db, now }: DeskParts, hire: Hire): Promise<Picture[]> {
  const { zone } = hire.booking;
  const sent = await filesIn(db, laneOf(hire.id));
  const told = sent.filter((e) => !isThreatened(hire.callouts, e.person ?? undefined));
  const rows = new Map((await photosOf(db, hire.id, "return")).map((row) => [row.id, row]));
  const marks = [...(hire.back?.photos ?? [])].filter((p) => p.mark && p.side !== "chat");
  return [
    ...marks.map(({ id, side, mark }) => {
      const shown = rows.get(id)?.shown === 1;
      const href = `/desk/records/photo/${id}${shown ? "" : "/original"}`;
      return { href, shown, said: `${side}: ${mark ?? ""}` };
    }),
    ...chatFiles(told).map(({ file, type, at, caption }) => ({
      href: `/desk/photo/${file}?hire=${hire.id}`,
      shown: canBeShown(type),
      said: `${sayTime(at, now(), zone)} ${caption}`.trim(),
    })),
  ];
}

function sheetPage(
  book: Book,
  now: Instant,
  hire: Hire,
  all: readonly Row[],
  shown: readonly Picture[],
): Html {
  const { booking, back, vansBefore = [] } = hire;
  const { zone } = booking;
  const { firm } = book;
  const rows = all.filter((r) => r.before === undefined);
  const pickup = pickupOf(hire);
  const isFirst = pickup !== undefined && pickup !== hire.pickup;
  const by = (record: typeof back, what: string) =>
    record
      ? `${what} ${sayTime(record.at, now, zone)} by ${nameIn(firm, record.by)}${record.corrected ? `, corrected ${sayTime(record.corrected.at, now, zone)} by ${nameIn(firm, record.corrected.by)}` : ""}`
      : `no ${what} record`;
  return html`<article class="sheet"><h1>Return sheet <span class="plate">${booking.van.registration}</span> ${booking.surname}</h1>
<p>${book.vans.get(booking.van.type)?.name ?? booking.van.type}, ${sayTime(booking.pickupAt, now, zone)} to ${sayTime(booking.returnAt, now, zone)} · ${by(pickup, "pick-up")}${isFirst ? ", as it first went out" : ""} · ${by(back, back?.keyBox ? "key box, checked in" : "return")}</p>
<p class="noprint"><a href="/desk/hires/${hire.id}">The hire</a> · <a href="/desk/hires/${hire.id}/sheet.csv">as a table file (CSV)</a></p>
${readingsTable(rows)}
<div class="two">${listed("Owed", of(rows, "owed"), "Nothing is owed.")}
${listed("Checks on the road", of(rows, "checks"), "None was asked for.")}
${listed("Reported", of(rows, "reported"), "Nothing.")}
${listed("Call-outs", of(rows, "call-outs"), "None.")}</div>
${listed("Before the next hire", of(rows, "to do"), back ? "Nothing." : "Known once the return record is there.", "todo")}
${vansBefore.map((_van, n) => givenUpPart(book, now, hire, n, all))}
${back?.remark || back?.hirerRemark ? html`<section><h2>Remarks</h2>${back.remark ? html`<p><b>${nameIn(firm, back.by)}:</b> ${back.remark}</p>` : ""}${back.hirerRemark ? html`<p><b>${booking.surname}:</b> ${back.hirerRemark}</p>` : ""}</section>` : ""}
${shown.length > 0 ? html`<section><h2>Photos</h2><ul class="thumbs">${shown.slice(0, mostPictures).map((p) => html`<li>${p.shown ? html`<a href="${p.href}" target="_blank" rel="noopener"><img src="${p.href}" alt="${p.said}" title="${p.said}" width="68" height="68"></a>` : html`<span class="noshow">${p.said} (cannot be shown here: <a href="${p.href}" download>download</a>)</span>`}</li>`)}</ul>${shown.length > mostPictures ? html`<p>${shown.length - mostPictures} more on the page of the hire.</p>` : ""}</section>` : ""}</article>`;
}

/** Routes of the return sheet. */
export function sheetRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  const unknown = (res: Response) => res.status(404).type("text").send("This hire is not known.");
  router.get(
    "/desk/hires/:id/sheet",
    staff(async (req, res, who) => {
      const hire = await hireState(parts, String(req.params["id"]));
      if (!hire) return unknown(res);
      const book = await bookNow(parts);
      const now = parts.now();
      const rows = await rowsOf(parts, book, hire);
      const page = sheetPage(book, now, hire, rows, await pictures(parts, hire));
      return send(res, 200, deskPage(`Return sheet ${hire.booking.van.registration}`, who, page));
    }),
  );
  router.get(
    "/desk/hires/:id/sheet.csv",
    staff(async (req, res) => {
      const hire = await hireState(parts, String(req.params["id"]));
      if (!hire) return unknown(res);
      const { van, zone, pickupAt, returnAt, surname } = hire.booking;
      const told = (item: string, note: string) => ["hire", item, "", "", "", "", note, "", ""];
      const givenUp = (before: number | undefined) => {
        const until = before === undefined ? undefined : hire.vansBefore?.[before]?.until;
        return until === undefined ? "" : isoIn(until, zone);
      };
      const rows = await rowsOf(parts, await bookNow(parts), hire);
      const file = csv([
        ["section", "item", "pick-up", "return", "difference", "unit", "note", "van", "given up"],
        told("van", van.registration),
        told("hirer", surname),
        told("pick-up", isoIn(pickupAt, zone)),
        told("return", isoIn(returnAt, zone)),
        ...rows.map((r) => [
          ...[r.section, r.item, r.pickup, r.returned, r.difference, r.unit, r.note],
          r.registration,
          givenUp(r.before),
        ]),
      ]);
      const name = `return-${van.registration.replace(/[^A-Za-z0-9]+/g, "-")}-${isoIn(returnAt, zone).slice(0, 10)}.csv`;
      return sendCsv(res, name, file);
    }),
  );
  return router;
}
