/** Changing a hire at /desk/hires/:id/change: looked at first, then kept as an arrival of its lane. */
import { createHash } from "node:crypto";
import { type Response, Router } from "express";
import { changeBetween, changed, clashesOf, contentOf } from "../../bookings/change.js";
import { isOut, putsRight, swapsOut } from "../../bookings/out.js";
import type { Hire } from "../../hires/hire.js";
import { laneOf } from "../../lanes.js";
import type { Booking, BookingChange } from "../../post.js";
import { changeLines } from "../../store/care/change-text.js";
import { hiresAround, knownPlates } from "../../store/care/vans.js";
import { vansKnown } from "../../store/hires.js";
import { bookNow, type DeskParts, type Entry, form, formId, send } from "../entry.js";
import { deskPage, type Who } from "../frame.js";
import { readNewHire } from "../read-forms.js";
import { fileAndSee } from "../settle.js";
import { changePage, previewPage } from "./change-page.js";
import type { Wrong } from "./form.js";
import { remindersAfter } from "./preview.js";
import { blocksAt, typeAsked } from "./van.js";

type Form = Record<string, string>;
/** Names the booking that somebody saw. */
const fingerprint = (booking: Booking): string =>
  createHash("sha256").update(JSON.stringify(booking)).digest("base64url").slice(0, 22);

export function changeRoutes(parts: DeskParts, { onHire }: Pick<Entry, "onHire">): Router {
  const router = Router();
  const { db } = parts;

  /** What the form asks for, or what is wrong with its fields. */
  async function wanted(hire: Hire, body: Form): Promise<BookingChange | { wrong: Wrong }> {
    const { booking } = hire;
    if (body["do"] === "cancel") return { status: "cancelled" };
    if (body["do"] === "restore") return { status: "booked" };
    const read = readNewHire(body, parts.book, hire.id);
    if ("wrong" in read) return read;
    const { van } = read.booking;
    van.registration = (await knownPlates(db))(van.registration);
    const asked =
      van.registration === booking.van.registration
        ? undefined
        : await typeAsked(db, parts.book, van, body["sure"]);
    if (asked) return { wrong: asked };
    const next = { ...contentOf(read.booking), status: booking.status };
    const [first] = next.people;
    // The form shows the number: emptied there it is taken off.
    if (first && booking.people[0]?.phone) first.phone ??= "";
    const change = changeBetween(contentOf(booking), next);
    // Seen again after somebody else's change: only what this form changed is asked for.
    const only = body["only"]?.split(",");
    return only
      ? Object.fromEntries(Object.entries(change).filter(([name]) => only.includes(name)))
      : change;
  }

  async function preview(res: Response, who: Who, hire: Hire, body: Form, change: BookingChange) {
    const now = parts.now();
    const book = await bookNow(parts);
    const after = changed(hire.booking, change) ?? hire.booking;
    const lines = changeLines(hire.booking, after);
    // Kept by the other click already.
    if (body["keep"] !== undefined && lines.length === 0)
      return res.redirect(303, `/desk/hires/${hire.id}`);
    const swaps = swapsOut(hire, after, now);
    const others = await hiresAround(db, after.van.registration, after.pickupAt, after.returnAt);
    const { csrf: _csrf, id: _id, base: given, keep: _keep, ...rest } = body;
    const { "puts-right": right, ...fields } = rest;
    const base = fingerprint(hire.booking);
    const view = {
      ...{ hire, now, base, fields: { ...fields, only: Object.keys(change).join(",") } },
      ...{ isOld: given !== undefined && given !== base },
      ...{
        after,
        lines,
        blocks: change.van ? await blocksAt(db, after, swaps ? now : after.pickupAt) : [],
      },
      reminders: remindersAfter(hire, after, book, now),
      clashes: clashesOf(after, others),
      swaps,
      mayPutRight: swaps && putsRight(hire, after, true),
      saysRight: right !== undefined,
      putsRight: putsRight(hire, after, false),
      endsOnRoad: change.status === "cancelled" && isOut(hire, now),
    };
    return send(res, 200, deskPage("What would change", who, previewPage(view, who, formId())));
  }

  const vans = async () => (await vansKnown(db)).map((v) => v.registration);
  router.get(
    "/desk/hires/:id/change",
    onHire(async (_req, res, who, hire) => {
      const page = changePage({ hire, book: parts.book, vans: await vans(), who });
      return send(res, 200, deskPage("Change the hire", who, page));
    }),
  );
  router.post(
    "/desk/hires/:id/change",
    form,
    onHire(async (req, res, who, hire) => {
      const body = req.body as Form;
      const change = await wanted(hire, body);
      if ("wrong" in change) {
        const page = changePage({
          ...{ hire, book: parts.book, vans: await vans(), who },
          ...{ typed: body, wrong: change.wrong },
        });
        return send(res, 400, deskPage("Change the hire", who, page));
      }
      if (body["keep"] === undefined || body["base"] !== fingerprint(hire.booking))
        return preview(res, who, hire, body, change);
      await fileAndSee(parts, {
        key: `desk:${who.contact}:${formId(body["id"])}`,
        lane: laneOf(hire.id),
        receivedAt: parts.now(),
        body: {
          kind: "changed",
          by: who.contact,
          change,
          ...(body["puts-right"] === undefined ? {} : { putsRight: true }),
        },
      });
      return res.redirect(303, `/desk/hires/${hire.id}`);
    }),
  );
  return router;
}
