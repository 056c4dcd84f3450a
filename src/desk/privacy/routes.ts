/** The routes under /desk/hires/:id/data: what is kept, a copy, and erasing; each of the two is in the trip log. */
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { type Response, Router } from "express";
import type { Hire, Person } from "../../hires/hire.js";
import { laneOf } from "../../lanes.js";
import { html } from "../../pages/html.js";
import type { ArrivalBody } from "../../post.js";
import { nameIn } from "../../roster/reach.js";
import { vanOf, vansGivenUp } from "../../store/care/vans.js";
import { takenOff } from "../../store/keeping/taken-off.js";
import { forgottenOf } from "../../store/keeping/terms.js";
import { mustStay, whyKept } from "../../vans/stays.js";
import {
  bookNow,
  type DeskParts,
  type Entry,
  form,
  formId,
  newId,
  photoNow,
  send,
} from "../entry.js";
import { deskPage, type Who } from "../frame.js";
import { fileAndLearn } from "../settle.js";
import { copyFiles } from "./copy.js";
import { dataPage, type KeptView } from "./page.js";
import { zipped } from "./zip.js";

export function privacyRoutes(parts: DeskParts, { onHire }: Pick<Entry, "onHire">): Router {
  const router = Router();
  const { db } = parts;
  const path = "/desk/hires/:id/data";

  async function show(
    res: Response,
    who: Who,
    hire: Hire,
    status = 200,
    more: Pick<KeptView, "said" | "typed"> = {},
  ) {
    const { firm, keeping } = await bookNow(parts);
    const view = {
      ...{ hire, who, terms: keeping, now: parts.now(), id: newId },
      left: await takenOff(db, hire),
      gone: await forgottenOf(db, hire.id),
      why: mustStay(
        hire,
        await vanOf(db, hire.booking.van.registration),
        await vansGivenUp(db, hire),
      ),
      nameOf: (contact: string) => nameIn(firm, contact),
      ...more,
    };
    return send(res, status, deskPage("What is kept", who, dataPage(view)));
  }
  /** Who is on the hire under this id, or was. */
  async function personOf(hire: Hire, id: unknown): Promise<Person | undefined> {
    const left = (await takenOff(db, hire)).map(
      (p): Person => ({ ...p, booker: false, reached: [], greeted: true }),
    );
    return [...hire.people, ...left].find((p) => p.id === id);
  }
  const wrong = (text: string) => ({
    said: html`<p class="wrong" role="alert">${text}</p>`,
  });
  /** Files an act of this form, once however often it is sent, and waits for what became of it. */
  const act = (who: Who, hire: Hire, id: unknown, body: ArrivalBody) =>
    fileAndLearn(parts, {
      key: `desk:${who.contact}:${formId(id)}`,
      lane: laneOf(hire.id),
      receivedAt: parts.now(),
      body,
    });

  router.get(
    path,
    onHire((_req, res, who, hire) => show(res, who, hire)),
  );
  router.post(
    `${path}/copy`,
    form,
    onHire(async (req, res, who, hire) => {
      const body = req.body as Record<string, unknown>;
      const person = await personOf(hire, body["person"]);
      if (!person) return show(res, who, hire, 400, wrong("Choose whose copy it is."));
      const note = `takes a copy of what is kept of ${person.name || person.id}`;
      await act(who, hire, body["id"], {
        kind: "desk",
        by: who.contact,
        act: { do: "note", note },
      });
      const { keeping } = parts.book;
      const files = copyFiles(db, hire, person, keeping, parts.now(), (id) => photoNow(parts, id));
      res
        .status(200)
        .type("application/zip")
        .set({
          "Cache-Control": "no-store",
          "Content-Disposition": `attachment; filename="kept-${hire.id}-${person.id}.zip"`,
          "X-Content-Type-Options": "nosniff",
        });
      // Who goes away while it comes gets half a file, which no program opens.
      return pipeline(Readable.from(zipped(files)), res).catch(() => res.destroy());
    }),
  );
  router.post(
    `${path}/erase`,
    form,
    onHire(async (req, res, who, hire) => {
      const body = req.body as Record<string, unknown>;
      const what = body["what"] === "hire" ? "hire" : "talk";
      const person = (await personOf(hire, body["person"]))?.id;
      const again = (status: number, text: string) =>
        show(res, who, hire, status, { ...wrong(text), typed: { person: body["person"], what } });
      if (body["sure"] !== "yes")
        return again(400, "Nothing was erased: tick that you know who asks.");
      if (body["person"] !== "" && person === undefined)
        return again(400, "Nothing was erased: choose of whom.");
      const of = what === "hire" || person === undefined ? {} : { person };
      const because = await act(who, hire, body["id"], {
        kind: "forget",
        by: who.contact,
        what,
        ...of,
      });
      const kept = whyKept(because);
      if (kept !== undefined) return again(409, `Nothing was erased: ${kept}.`);
      // It is filed: its turn comes.
      if (because.length === 0)
        return again(202, "Not erased yet: it takes longer than usual. Look again in a minute.");
      return res.redirect(303, `/desk/hires/${hire.id}/data`);
    }),
  );
  return router;
}
