/** The return sheet at the desk: one page that prints on an A4, and the same as CSV. */
import { type Response, Router } from "express";
import { type Instant, isoIn, sayTime } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { type Book, regionOf } from "../../knowledge/book.js";
import { type Html, html } from "../../pages/html.js";
import { vanOf } from "../../store/care/vans.js";
import { eventsOf, type TripEvent } from "../../store/events.js";
import { laneOf } from "../../store/hires.js";
import { type Row, type Section, sheetRows } from "../../vans/sheet.js";
import { newVan } from "../../vans/van.js";
import { voiceFor } from "../../wording/say.js";
import { bookNow, type DeskParts, type Entry, send, sendCsv } from "../entry.js";
import { deskPage, nameIn } from "../frame.js";
import { chatFiles } from "../records/chat-files.js";
import { csv } from "./csv.js";

/** More pictures than these would not fit on the sheet; all are on the page of the hire. */
const mostPictures = 12;

async function rowsOf(parts: DeskParts, book: Book, hire: Hire): Promise<Row[]> {
  const { db } = parts;
  const { booking, callouts, pickup, back } = hire;
  const { registration, type } = booking.van;
  return sheetRows({
    hire: hire.id,
    van: voiceFor(book, type, booking.region, "en").van,
    care: (await vanOf(db, registration)) ?? newVan(registration, type),
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

type Picture = { src: string; href: string; said: string };
function pictures(hire: Hire, events: readonly TripEvent[], now: Instant): Picture[] {
  const { zone } = hire.booking;
  const marks = [...(hire.back?.photos ?? [])].filter((p) => p.mark && p.side !== "chat");
  return [
    ...marks.map((p) => ({
      src: `/desk/records/photo/${p.id}`,
      href: `/desk/records/photo/${p.id}`,
      said: `${p.side}: ${p.mark ?? ""}`,
    })),
    ...chatFiles(events).map(({ file, at, caption }) => {
      const path = `/desk/photo/${file}?hire=${hire.id}`;
      return { src: path, href: path, said: `${sayTime(at, now, zone)} ${caption}`.trim() };
    }),
  ];
}

function sheetPage(
  book: Book,
  now: Instant,
  hire: Hire,
  rows: readonly Row[],
  shown: readonly Picture[],
): Html {
  const { booking, back, pickup } = hire;
  const { zone } = booking;
  const { firm } = book;
  const by = (record: typeof back, what: string) =>
    record
      ? `${what} ${sayTime(record.at, now, zone)} by ${nameIn(firm, record.by)}`
      : `no ${what} record`;
  return html`<article class="sheet"><h1>Return sheet <span class="plate">${booking.van.registration}</span> ${booking.surname}</h1>
<p>${book.vans.get(booking.van.type)?.name ?? booking.van.type}, ${sayTime(booking.pickupAt, now, zone)} to ${sayTime(booking.returnAt, now, zone)} · ${by(pickup, "pick-up")} · ${back?.keyBox ? `key box, checked in ${sayTime(back.at, now, zone)} by ${nameIn(firm, back.by)}` : by(back, "return")}</p>
<p class="noprint"><a href="/desk/hires/${hire.id}">The hire</a> · <a href="/desk/hires/${hire.id}/sheet.csv">as a table file (CSV)</a></p>
<section><h2>Readings</h2><table><thead><tr><th scope="col">Reading</th><th scope="col">Pick-up</th><th scope="col">Return</th><th scope="col">Difference</th></tr></thead><tbody>${of(rows, "readings").map((r) => html`<tr><th scope="row">${r.item}</th><td>${cell(r, r.pickup)}</td><td>${cell(r, r.returned)}</td><td>${r.difference === undefined ? "" : cell(r, r.difference)}</td></tr>`)}</tbody></table></section>
<div class="two">${listed("Owed", of(rows, "owed"), "Nothing is owed.")}
${listed("Checks on the road", of(rows, "checks"), "None was asked for.")}
${listed("Reported", of(rows, "reported"), "Nothing.")}
${listed("Call-outs", of(rows, "call-outs"), "None.")}</div>
${listed("Before the next hire", of(rows, "to do"), back ? "Nothing." : "Known once the return record is there.", "todo")}
${back?.remark || back?.hirerRemark ? html`<section><h2>Remarks</h2>${back.remark ? html`<p><b>${nameIn(firm, back.by)}:</b> ${back.remark}</p>` : ""}${back.hirerRemark ? html`<p><b>${booking.surname}:</b> ${back.hirerRemark}</p>` : ""}</section>` : ""}
${shown.length > 0 ? html`<section><h2>Photos</h2><ul class="thumbs">${shown.slice(0, mostPictures).map((p) => html`<li><a href="${p.href}" target="_blank" rel="noopener"><img src="${p.src}" alt="${p.said}" title="${p.said}" width="68" height="68"></a></li>`)}</ul>${shown.length > mostPictures ? html`<p>${shown.length - mostPictures} more on the page of the hire.</p>` : ""}</section>` : ""}</article>`;
}

/** Routes of the return sheet. */
export function sheetRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  const hireIn = async (id: string): Promise<Hire | undefined> => {
    const state = await parts.laneState(laneOf(id));
    return state?.kind === "hire" ? state.hire : undefined;
  };
  const unknown = (res: Response) => res.status(404).type("text").send("This hire is not known.");
  router.get(
    "/desk/hires/:id/sheet",
    staff(async (req, res, who) => {
      const hire = await hireIn(String(req.params["id"]));
      if (!hire) return unknown(res);
      const events = await eventsOf(parts.db, laneOf(hire.id), 0, 5000);
      const book = await bookNow(parts);
      const now = parts.now();
      const rows = await rowsOf(parts, book, hire);
      const page = sheetPage(book, now, hire, rows, pictures(hire, events, now));
      return send(res, 200, deskPage(`Return sheet ${hire.booking.van.registration}`, who, page));
    }),
  );
  router.get(
    "/desk/hires/:id/sheet.csv",
    staff(async (req, res) => {
      const hire = await hireIn(String(req.params["id"]));
      if (!hire) return unknown(res);
      const { van, zone, pickupAt, returnAt, surname } = hire.booking;
      const told = (item: string, note: string) => ["hire", item, "", "", "", "", note];
      const rows = await rowsOf(parts, await bookNow(parts), hire);
      const file = csv([
        ["section", "item", "pick-up", "return", "difference", "unit", "note"],
        told("van", van.registration),
        told("hirer", surname),
        told("pick-up", isoIn(pickupAt, zone)),
        told("return", isoIn(returnAt, zone)),
        ...rows.map((r) => [r.section, r.item, r.pickup, r.returned, r.difference, r.unit, r.note]),
      ]);
      const name = `return-${van.registration.replace(/[^A-Za-z0-9]+/g, "-")}-${isoIn(returnAt, zone).slice(0, 10)}.csv`;
      return sendCsv(res, name, file);
    }),
  );
  return router;
}
