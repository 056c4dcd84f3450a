/** The routes of the roster: looking, a change looked at before it is saved, contacts, and what staff do to their shifts. */
import { type Request, type Response, Router } from "express";
import { sayTime } from "../../calendar.js";
import { firmLane } from "../../lanes.js";
import { html } from "../../pages/html.js";
import type { FirmAct } from "../../post.js";
import { changed, changeWrong, sayChange } from "../../roster/change.js";
import { wasRefused } from "../../roster/duty/refusal.js";
import type { FirmState } from "../../roster/duty/state.js";
import { faultsOf } from "../../roster/outlook.js";
import { nameIn } from "../../roster/reach.js";
import { latestEvents } from "../../store/events.js";
import { openMatters } from "../../store/firm/rosters.js";
import { accountsOf } from "../../store/staff/accounts.js";
import { type DeskParts, type Entry, form, formId, send } from "../entry.js";
import { deskPage, type Who } from "../frame.js";
import { type Form, text } from "../read-forms.js";
import { fileAndLearn } from "../settle.js";
import { contactForm } from "./contacts.js";
import { lookPage, type RosterView, rosterPage } from "./page.js";
import { readContact, readOp } from "./read.js";

/** The state of the firm's lane; undefined before its first step. */
export async function firmState(parts: DeskParts): Promise<FirmState | undefined> {
  const state = await parts.laneState(firmLane);
  return state?.kind === "firm" ? state.firm : undefined;
}

/** Files an act of the firm's lane and waits until it has had its turn, for five seconds; gives the reasons. */
async function actOn(
  parts: DeskParts,
  who: Who,
  form: Form,
  act: FirmAct,
): Promise<readonly string[]> {
  const key = `desk:${who.contact}:${formId(text(form, "id"))}`;
  const body = { kind: "firm", by: who.contact, act } as const;
  return fileAndLearn(parts, { key, lane: firmLane, receivedAt: parts.now(), body });
}

/** The routes under /desk/roster, and /desk/duty. */
export function rosterRoutes(parts: DeskParts, staff: Entry["staff"], newId: () => string): Router {
  const router = Router();

  async function view(who: Who): Promise<RosterView> {
    const { firm, version, reach } = await parts.firmNow();
    const open = await openMatters(parts.db);
    return {
      firm,
      version,
      who,
      state: await firmState(parts),
      ways: { ...reach, accounts: new Set((await accountsOf(parts.db)).map((a) => a.contact)) },
      now: parts.now(),
      held: open.filter((m) => m.with === who.contact).length,
      changes: (await latestEvents(parts.db, firmLane, 60))
        .filter((e) => e.kind !== "out")
        .slice(0, 20),
      id: newId,
    };
  }
  const page = (res: Response, status: number, who: Who, body: ReturnType<typeof rosterPage>) =>
    send(res, status, deskPage("Roster", who, body));
  /** What somebody else changed meanwhile, in words. */
  const meanwhile = (v: RosterView) =>
    html`<p class="wrong" role="alert">Nothing was saved: ${v.state?.changedBy ? nameIn(v.firm, v.state.changedBy) : "somebody"} changed roster or contacts meanwhile${v.state?.changedAt ? ` (${sayTime(v.state.changedAt, v.now, v.firm.zone)}: ${v.state.says ?? ""})` : ""}. Yours is not lost: here it is once more, on top of theirs. Look at it again, then save.</p>`;

  router.get(
    "/desk/roster",
    staff(async (req, res, who) =>
      page(res, 200, who, rosterPage(await view(who), req.query["saved"] === "yes")),
    ),
  );
  router.post(
    "/desk/roster/look",
    form,
    staff(async (req: Request, res, who) => {
      const body = req.body as Form;
      const v = await view(who);
      const op = readOp(body);
      const wrong = typeof op === "string" ? op : changeWrong(v.firm, op, v.now);
      if (typeof op === "string" || wrong !== undefined)
        return page(res, 400, who, rosterPage(v, false, { form: body, wrong: wrong ?? "" }));
      return page(res, 200, who, lookPage(v, op));
    }),
  );
  router.post(
    "/desk/roster/save",
    form,
    staff(async (req, res, who) => {
      const body = req.body as Form;
      let v = await view(who);
      const op = readOp(body);
      const wrong = typeof op === "string" ? op : changeWrong(v.firm, op, v.now);
      if (typeof op === "string" || wrong !== undefined)
        return page(res, 400, who, rosterPage(v, false, { form: body, wrong: wrong ?? "" }));
      const base = Number(text(body, "base"));
      if (base !== v.version) return page(res, 409, who, lookPage(v, op, meanwhile(v)));
      const roster = changed(v.firm, op, v.now);
      const { gaps } = faultsOf({ ...v.firm, roster }, v.now);
      if (gaps.length > 0 && text(body, "gaps") !== "known")
        return page(
          res,
          400,
          who,
          lookPage(
            v,
            op,
            html`<p class="wrong" role="alert">Nothing was saved: it leaves times at which nobody is on. Tick that you know it, or go back.</p>`,
          ),
        );
      const says = `${sayChange(v.firm, op)}${gaps.length > 0 ? " (and knows that nobody is on at times)" : ""}`;
      const because = await actOn(parts, who, body, { do: "roster", base, roster, says });
      if (because.length > 0 && !wasRefused(because))
        return res.redirect(303, "/desk/roster?saved=yes");
      v = await view(who);
      return page(res, 409, who, lookPage(v, op, meanwhile(v)));
    }),
  );
  router.get(
    "/desk/roster/contacts/:id",
    staff(async (req, res, who) => {
      const v = await view(who);
      const contact = String(req.params["id"]);
      if (!Object.hasOwn(v.firm.contacts, contact))
        return page(
          res,
          404,
          who,
          html`<h1>Nobody has this name</h1><p><a href="/desk/roster">Roster</a></p>`,
        );
      return page(
        res,
        200,
        who,
        contactForm(v.firm, contact, v.ways.telegram[contact] ?? "", v.version, who, newId()),
      );
    }),
  );
  router.post(
    "/desk/roster/contacts/:id",
    form,
    staff(async (req, res, who) => {
      const body = req.body as Form;
      const contact = String(req.params["id"]);
      const again = async (status: number, wrong: string) => {
        const v = await view(who);
        const chat = v.ways.telegram[contact] ?? "";
        const typed = { form: body, wrong };
        return page(
          res,
          status,
          who,
          contactForm(v.firm, contact, chat, v.version, who, newId(), typed),
        );
      };
      const { firm, state, version } = await view(who);
      if (!Object.hasOwn(firm.contacts, contact))
        return page(
          res,
          404,
          who,
          html`<h1>Nobody has this name</h1><p><a href="/desk/roster">Roster</a></p>`,
        );
      const change = readContact(body);
      if (typeof change === "string") return again(400, change);
      const late = `${state?.changedBy ? nameIn(firm, state.changedBy) : "Somebody"} changed roster or contacts meanwhile${state?.says ? ` (${state.says})` : ""}. What you changed stands below, all else is as it is now: look at it and save again.`;
      const base = Number(text(body, "base"));
      if (base !== version) return again(409, late);
      const old = firm.contacts[contact];
      if (!old) return again(409, late);
      const words = [
        ...(["role", "phone"] as const)
          .filter((k) => change[k] !== undefined && old[k] !== change[k])
          .map((k) => `${k} ${change[k]}`),
        ...(change.telegram === undefined ? [] : ["Telegram chat"]),
        ...(change.hours === undefined ? [] : ["hours"]),
      ];
      if (words.length === 0) return res.redirect(303, "/desk/roster#contacts");
      const says = `changes ${nameIn(firm, contact)}: ${words.join(", ")}`;
      const because = await actOn(parts, who, body, {
        do: "contact",
        base,
        contact,
        change: {
          role: change.role ?? old.role,
          phone: change.phone ?? old.phone,
          hours: change.hours ?? old.hours,
          ...(change.telegram === undefined ? {} : { telegram: change.telegram }),
        },
        says,
      });
      return because.length > 0 && !wasRefused(because)
        ? res.redirect(303, "/desk/roster?saved=yes#contacts")
        : again(409, late);
    }),
  );
  router.post(
    "/desk/duty",
    form,
    staff(async (req, res, who) => {
      const body = req.body as Form;
      const test = Number(text(body, "test"));
      const to = text(body, "to");
      const what = text(body, "do");
      const act: FirmAct | undefined =
        what === "here" || what === "stand-in"
          ? { do: what, test: Number.isInteger(test) ? test : 0 }
          : what === "off"
            ? { do: what, ...(to ? { to } : {}) }
            : what === "stay"
              ? { do: what }
              : undefined;
      if (!act)
        return page(
          res,
          400,
          who,
          html`<h1>Not done</h1><p class="wrong">That is not known here.</p><p><a href="/desk/roster">Back</a></p>`,
        );
      await actOn(parts, who, body, act);
      return res.redirect(303, what === "here" || what === "stand-in" ? "/desk" : "/desk/roster");
    }),
  );
  return router;
}
