/** Photos of records over HTTP: coming up from the phone, looked at, and the sealed original; only for staff. */
import express, { type Request, type Response, Router } from "express";
import type { Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import { addPhoto, photoById } from "../../store/care/records.js";
import type { HandoverKind, RecordPhoto } from "../../vans/handover.js";
import { statusOf } from "../../web-requests.js";
import { type DeskParts, type Entry, photoNow } from "../entry.js";
import type { Who } from "../frame.js";
import { photoId, sha256 } from "../sealed/sealed.js";
import type { ChatPhoto } from "./view.js";

const limitBytes = 8 * 1024 * 1024;

const bytesOf = express.raw({ type: () => true, limit: limitBytes });
/** The body, or what is wrong with it. */
const bodyOf = (req: Request, res: Response) =>
  new Promise<Buffer | string>((resolve, reject) =>
    bytesOf(req, res, (error?: unknown) => {
      if (Buffer.isBuffer(req.body) && req.body.length > 0) return resolve(req.body);
      const status = statusOf(error);
      if (status === 413)
        return resolve("That photo has more than 8 MB. Please send a smaller one.");
      if (error && status !== 400) return reject(error);
      resolve("The photo did not arrive whole. Please send it again.");
    }),
  );

/** Seals a photo and enters it; one whose id is known is left as it is. */
async function enter(
  parts: DeskParts,
  photo: { id: string; hire: Hire; kind: HandoverKind; side: string; by: string; at: Instant },
  bytes: Buffer,
): Promise<void> {
  const { id, hire, kind, side, by, at } = photo;
  const { type, sha256: hash, takenAt, shown } = await parts.sealed.seal(id, bytes);
  await addPhoto(parts.db, {
    ...{ id, kind, side, by, type, sha256: hash, bytes: bytes.length },
    hire: hire.id,
    registration: hire.booking.van.registration,
    shown: shown ? 1 : 0,
    taken_at: takenAt ?? null,
    received_at: at,
    mark: null,
    kept_at: null,
  });
}

/** Photos by chat that staff ticked become photos of the record, sealed as they came; `missing` could not be had now. */
export async function takeChatPhotos(
  parts: DeskParts,
  hire: Hire,
  ticked: readonly ChatPhoto[],
  who: Who,
  now: Instant,
): Promise<{ taken: RecordPhoto[]; missing: number }> {
  const taken: RecordPhoto[] = [];
  for (const { id, file } of ticked) {
    if (!(await photoById(parts.db, id))) {
      const bytes = file === undefined ? undefined : await photoNow(parts, file);
      if (!bytes) continue;
      const side = "chat";
      await enter(parts, { id, hire, kind: "return", side, by: who.contact, at: now }, bytes);
    }
    const row = await photoById(parts.db, id);
    if (row)
      taken.push({ id, side: "chat", receivedAt: row.received_at as Instant, sha256: row.sha256 });
  }
  return { taken, missing: ticked.length - taken.length };
}

/** Whether the page that asks is of the van that the hire has now. A page that names none is taken for one. */
export const isOfVan = (req: Request, { booking }: Hire): boolean =>
  [undefined, encodeURIComponent(booking.van.registration)].includes(req.get("x-van"));

/** Routes of a record's photos. */
export function photoRoutes(
  parts: DeskParts,
  { staff, onHire }: Pick<Entry, "staff" | "onHire">,
  kinds: readonly HandoverKind[],
): Router {
  const router = Router();
  const { db, sealed } = parts;
  const upload = (kind: HandoverKind) =>
    onHire(async (req, res, who, hire) => {
      const id = String(req.query["id"] ?? "");
      const side = parts.book.handover.sides.find((s) => s.id === req.query["side"])?.id;
      if (!photoId.test(id) || !side)
        return res
          .status(400)
          .json({ error: "A photo needs an id of its own and a side of the van." });
      if (!isOfVan(req, hire)) return res.status(412).json({ error: "It is of another van." });
      const bytes = await bodyOf(req, res);
      if (typeof bytes === "string")
        return res.status(bytes.includes("8 MB") ? 413 : 400).json({ error: bytes });
      if (!sealed.kindOf(bytes))
        return res.status(415).json({
          error:
            "That is no photo that can be kept here: a JPEG, PNG, WebP or HEIC picture is needed.",
        });
      const known = await photoById(db, id);
      if (known && (known.hire !== hire.id || known.sha256 !== sha256(bytes)))
        return res.status(409).json({ error: "Another photo has this id already." });
      if (!known)
        await enter(parts, { id, hire, kind, side, by: who.contact, at: parts.now() }, bytes);
      const row = await photoById(db, id);
      return res.json({ id, shown: row?.shown === 1, takenAt: row?.taken_at ?? null });
    });
  // The guard comes first, by the page's token in a header: nobody unknown sends us 8 MB.
  for (const kind of kinds) router.post(`/desk/hires/:id/${kind}/photo`, upload(kind));
  const found = (res: Response) => res.status(404).type("text").send("There is no such photo.");
  const headers = {
    "Cache-Control": "private, max-age=86400",
    "X-Content-Type-Options": "nosniff",
  };
  router.get(
    "/desk/records/photo/:photo",
    staff(async (req, res) => {
      const id = String(req.params["photo"]);
      const bytes = (await photoById(db, id)) && (await sealed.shown(id));
      if (!bytes) return found(res);
      return res
        .set({ ...headers, "Content-Disposition": "inline" })
        .type("image/jpeg")
        .send(bytes);
    }),
  );
  router.get(
    "/desk/records/photo/:photo/original",
    staff(async (req, res) => {
      const row = await photoById(db, String(req.params["photo"]));
      const bytes = row && (await sealed.original(row.id));
      if (!row || !bytes) return found(res);
      // A file that is not what came in must not pass for it.
      if (sha256(bytes) !== row.sha256) {
        parts.log.error("sealed photo changed", { route: "desk" });
        return res
          .status(409)
          .type("text")
          .send("This file is no longer what came in: its SHA-256 does not match the record.");
      }
      return res
        .set({
          ...headers,
          "Content-Disposition": `attachment; filename="${row.id}.${row.type.split("/")[1] ?? "jpg"}"`,
          // RFC 9530.
          "Repr-Digest": `sha-256=:${Buffer.from(row.sha256, "hex").toString("base64")}:`,
        })
        .type(row.type)
        .send(bytes);
    }),
  );
  return router;
}
