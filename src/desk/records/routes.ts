/** The records' routes: the page, its draft, its photos, and keeping it. Everything kept enters as an arrival in the hire's lane. */
import express, { Router } from "express";
import { after, type Instant, sayTime } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { regionOf } from "../../knowledge/book.js";
import { laneOf } from "../../lanes.js";
import { html } from "../../pages/html.js";
import { nameIn } from "../../roster/reach.js";
import { arrivalOf } from "../../store/arrivals.js";
import { draftOf, keptAtOf, photosOf, saveDraft } from "../../store/care/records.js";
import { notBackBefore, readingsOf, vanOf } from "../../store/care/vans.js";
import { filesIn, latestEvents } from "../../store/events.js";
import type { Db } from "../../store/tables.js";
import { type Block, blocksOf } from "../../vans/blocks.js";
import type { HandoverKind } from "../../vans/handover.js";
import { newVan } from "../../vans/van.js";
import { voiceFor } from "../../wording/say.js";
import { bookNow, type DeskParts, type Entry, formId, newId, send } from "../entry.js";
import { actForm, deskPage, type Who } from "../frame.js";
import { typed } from "../read-forms.js";
import { fileAndSee } from "../settle.js";
import { blocksHtml } from "../vans/blocks.js";
import { chatFiles, withSealed } from "./chat-files.js";
import { fieldsOf } from "./fields-of.js";
import { otherVanPage, recordPage, titleOf } from "./page.js";
import { isOfVan, photoRoutes, takeChatPhotos } from "./photos.js";
import { type Fields, type ReadRecord, readRecord } from "./read-record.js";
import type { RecordView } from "./view.js";

const fieldName = /^[a-z][A-Za-z0-9_-]{0,60}$/;
const kinds: readonly HandoverKind[] = ["pickup", "return"];
/** What a form tells beside the fields of a record. */
const noField: readonly string[] = ["csrf", "id", "van", "base", "drafted"];
const nothing = (): ReadRecord => ({ wrong: {}, questions: [] });
const notHad = (n: number): string =>
  `${n} of the photos by chat cannot be had just now. Try again, or leave them out.`;

/** The fields of a form or draft; what is no field of ours, and secrets of the page, are left out. */
function fieldsIn(body: unknown): Record<string, string> {
  const fields: Record<string, string> = {};
  for (const [name, value] of Object.entries(typeof body === "object" && body ? body : {}).slice(
    0,
    400,
  ))
    if (fieldName.test(name) && !noField.includes(name) && typeof value === "string")
      fields[name] = value.slice(0, 2000);
  return fields;
}

/** All that a record's page and its check stand on. */
async function load(parts: DeskParts, hire: Hire, kind: HandoverKind) {
  const { db } = parts;
  const book = await bookNow(parts);
  const { booking } = hire;
  const { registration } = booking.van;
  const voice = voiceFor(book, booking.van.type, booking.region, "en");
  const record = kind === "pickup" ? hire.pickup : hire.back;
  const kept = record?.registration === registration ? record : undefined;
  const before = kept?.reading.at ?? parts.now();
  const readings = await readingsOf(db, registration);
  const last = readings.findLast((r) => r.at < before && r.odometerKm !== undefined);
  const all = await photosOf(db, hire.id, kind);
  const photos = all.filter((photo) => photo.registration === registration);
  const draft = await draftOf(db, hire.id, kind);
  return {
    book,
    van: voice.van,
    values: voice.values,
    photos,
    draft,
    kept,
    base: `${keptAtOf(kept) ?? ""}`,
    stored: { ...(kept ? fieldsOf(kept, hire, voice.van, photos) : {}), ...draft?.fields },
    unit: hire.pickup?.unit ?? regionOf(book, booking.region).region.distanceUnit,
    ...(last?.odometerKm === undefined
      ? {}
      : { last: { at: last.at, odometerKm: last.odometerKm } }),
  };
}
type Loaded = Awaited<ReturnType<typeof load>>;

/** What became of the record since a page of this base was drawn, in words; undefined: nothing. A page without one is taken for new. */
function meanwhile(
  { kept, base, book }: Loaded,
  given: unknown,
  hire: Hire,
  now: Instant,
): string | undefined {
  if (typeof given !== "string" || given === base) return undefined;
  const at = keptAtOf(kept);
  if (!kept || at === undefined) return "This record was taken out after your page was opened.";
  const by = nameIn(book.firm, kept.corrected?.by ?? kept.by);
  return `${by} kept this record at ${sayTime(at, now, hire.booking.zone)}, after your page was opened.`;
}

/** What a record is read by. */
const facts = (who: Who, hire: Hire, kind: HandoverKind, loaded: Loaded, now: Instant) => ({
  ...{ kind, hire, now },
  book: loaded.book,
  van: loaded.van,
  photos: loaded.photos,
  by: who,
  ...(loaded.last ? { last: loaded.last } : {}),
});

/** The photos by chat that are ticked. */
async function ticked(db: Db, hire: Hire, { photos }: Loaded, fields: Fields) {
  const sent = chatFiles(await filesIn(db, laneOf(hire.id)));
  return withSealed(sent, photos).filter((c) => fields[`chat-${c.id}`]);
}

async function blocksBefore(parts: DeskParts, hire: Hire): Promise<Block[]> {
  const { registration, type } = hire.booking.van;
  const from = hire.vanSince ?? hire.booking.pickupAt;
  const van = (await vanOf(parts.db, registration)) ?? newVan(registration, type);
  return blocksOf(van, await notBackBefore(parts.db, registration, hire.id, from));
}

/** Routes under /desk/hires/:id/pickup and /desk/hires/:id/return. */
export function recordRoutes(
  parts: DeskParts,
  { staff, onHire }: Pick<Entry, "staff" | "onHire">,
): Router {
  const router = Router();
  const { db } = parts;
  const form = express.urlencoded({ extended: false, limit: "128kb" });
  const json = express.json({ limit: "128kb" });

  async function view(
    who: Who,
    hire: Hire,
    kind: HandoverKind,
    loaded: Loaded,
    fields: Fields,
    read: ReadRecord,
    blocks: readonly Block[],
    news?: string,
  ): Promise<RecordView> {
    const now = parts.now();
    const { draft, book, van, values, unit, photos, base } = loaded;
    const { registration, type } = hire.booking.van;
    const here = `/desk/hires/${hire.id}/${kind}`;
    const since = after(now, -36 * 60);
    const lane = laneOf(hire.id);
    const sent = kind === "return" ? await filesIn(db, lane) : [];
    const latest = kind === "return" ? await latestEvents(db, lane, 500) : [];
    const ask =
      kind === "return" && !hire.returnRecordAt
        ? actForm(
            who,
            newId(),
            { hire: hire.id, do: "ask-photos", back: here },
            html`<button>Key box: ask them for photos</button>`,
          )
        : html``;
    return {
      ...{ kind, hire, van, values, book, photos, now, base },
      chat: withSealed(chatFiles(sent), photos),
      ...(news === undefined ? {} : { meanwhile: news }),
      fields: { unit, ...fields },
      unit: fields["unit"] === "km" ? "km" : fields["unit"] === "miles" ? "miles" : unit,
      wrong: read.wrong,
      questions: read.questions,
      said: latest
        .filter((e) => e.kind === "in" && e.at >= since && e.text !== "")
        .slice(0, 12)
        .reverse()
        .map((e) => ({ at: e.at, who: e.who.replace(/^hirer:/, ""), text: e.text.slice(0, 400) })),
      ...(draft ? { draft: { by: nameIn(book.firm, draft.by), savedAt: draft.savedAt } } : {}),
      before: html`${blocksHtml(blocks, registration, type, who, newId(), { back: here })}${ask}`,
    };
  }
  const blocksFor = (hire: Hire, kind: HandoverKind) =>
    kind === "pickup" && hire.pickup?.registration !== hire.booking.van.registration
      ? blocksBefore(parts, hire)
      : Promise.resolve([]);

  for (const kind of kinds) {
    const path = `/desk/hires/:id/${kind}`;
    router.get(
      path,
      onHire(async (req, res, who, hire) => {
        const loaded = await load(parts, hire, kind);
        const fields = { unit: loaded.unit, ...loaded.stored };
        // The page's script comes back here when a record was not kept: then it says why.
        const looked = req.query["look"] !== undefined;
        const read = looked
          ? readRecord(fields, facts(who, hire, kind, loaded, parts.now()))
          : nothing();
        const sealed = new Set(loaded.photos.map((p) => p.id));
        const chat = looked && kind === "return" ? await ticked(db, hire, loaded, fields) : [];
        const missing = chat.filter((c) => !sealed.has(c.id)).length;
        if (missing > 0 && read.record) read.wrong["chat"] = notHad(missing);
        const shown = await view(
          who,
          hire,
          kind,
          loaded,
          fields,
          read,
          await blocksFor(hire, kind),
          meanwhile(loaded, req.query["base"], hire, parts.now()),
        );
        return send(res, 200, deskPage(titleOf(kind), who, recordPage(shown, who, newId())));
      }),
    );

    router.post(
      `${path}/draft`,
      json,
      onHire(async (req, res, who, hire) => {
        if (!isOfVan(req, hire)) return res.status(412).json({ error: "It is of another van." });
        const draft = await saveDraft(
          db,
          hire.id,
          kind,
          fieldsIn((req.body as Record<string, unknown> | undefined)?.["fields"]),
          who.contact,
          parts.now(),
        );
        return res.json({ savedAt: draft.savedAt });
      }),
    );

    router.post(
      path,
      form,
      onHire(async (req, res, who, hire) => {
        const now = parts.now();
        const body = req.body as Record<string, unknown>;
        const key = `desk:${who.contact}:${formId(body["id"])}`;
        // Kept by this form already: only the answer was lost on the way.
        if (await arrivalOf(db, key)) return res.redirect(303, `/desk/hires/${hire.id}`);
        const drawnFor = typed(req.body, "van");
        if (drawnFor !== "" && drawnFor !== hire.booking.van.registration)
          return send(res, 412, deskPage(titleOf(kind), who, otherVanPage(hire, kind, drawnFor)));
        const loaded = await load(parts, hire, kind);
        // The page's script has all of its fields in the draft, where those of other phones stand too.
        const drafted = body["drafted"] !== undefined;
        const given = { ...fieldsIn(body), ...(drafted ? loaded.draft?.fields : {}) };
        const blocks = await blocksFor(hire, kind);
        const news = meanwhile(loaded, body["base"], hire, now);
        if (news !== undefined) {
          const shown = await view(who, hire, kind, loaded, given, nothing(), blocks, news);
          return send(res, 409, deskPage(titleOf(kind), who, recordPage(shown, who, newId())));
        }
        const read = readRecord(given, facts(who, hire, kind, loaded, now));
        const chat = kind === "return" && read.record ? await ticked(db, hire, loaded, given) : [];
        const { taken, missing } = await takeChatPhotos(parts, hire, chat, who, now);
        if (missing > 0) read.wrong["chat"] = notHad(missing);
        if (!read.record || missing > 0 || blocks.length > 0) {
          // A tick that was taken out is not in a form: the draft must not bring it back.
          const gone = Object.keys(loaded.stored).filter((name) => !(name in given));
          const fields = { ...Object.fromEntries(gone.map((name) => [name, ""])), ...given };
          const draft = drafted
            ? loaded.draft
            : await saveDraft(db, hire.id, kind, fields, who.contact, now);
          const shown = await view(who, hire, kind, { ...loaded, draft }, fields, read, blocks);
          return send(
            res,
            blocks.length > 0 ? 409 : 400,
            deskPage(titleOf(kind), who, recordPage(shown, who, newId())),
          );
        }
        const { reading, handover } = read.record;
        handover.photos.push(...taken);
        await fileAndSee(parts, {
          key,
          lane: laneOf(hire.id),
          receivedAt: now,
          body: { kind: "desk", by: who.contact, act: { do: `${kind}-record`, reading, handover } },
        });
        return res.redirect(303, `/desk/hires/${hire.id}`);
      }),
    );
  }
  router.use(photoRoutes(parts, { staff, onHire }, kinds));
  return router;
}
