/** The routes of accounts, one's own password, and the trail. Who may is decided before, by rights.ts. */
import { type Request, type Response, Router } from "express";
import { addDays, atWall, dayOf, type Instant, isoIn } from "../../calendar.js";
import type { Html } from "../../pages/html.js";
import { html } from "../../pages/html.js";
import { passwordLetters } from "../../password.js";
import { openMatters } from "../../store/firm/rosters.js";
import {
  accountOf,
  accountsOf,
  changeAccount,
  makeAccount,
  type Role,
} from "../../store/staff/accounts.js";
import { tracesOf } from "../../store/staff/trail.js";
import {
  bookNow,
  type DeskParts,
  type Entry,
  form,
  formId,
  newId,
  send,
  sendCsv,
} from "../entry.js";
import { deskPage, type Who } from "../frame.js";
import { shownOnce } from "../links/made.js";
import { typed } from "../read-forms.js";
import { csv } from "../sheet/csv.js";
import { hashPassword, newPassword, passwordFits } from "../signin.js";
import {
  accountsPage,
  type Filter,
  isAccountAct,
  ownPasswordPage,
  passwordShown,
  surePage,
  trailPage,
  whoIn,
} from "./page.js";

const shown = 500;
const inFile = 50_000;
const wrong = (what: string): Html => html`<p class="wrong" role="alert">${what}</p>`;

/** What an act of a manager changes of an account; undefined for any other word. */
function changeOf(does: string, now: Instant) {
  switch (does) {
    case "manager":
    case "duty":
      return { role: does } as const;
    case "end":
      return { endedAt: now };
    default:
      return undefined;
  }
}

export function accountRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  const { db } = parts;
  const madeOnce = shownOnce<string | undefined>(parts.now);
  const view = async (who: Who) => ({
    firm: (await bookNow(parts)).firm,
    ...{ who, now: parts.now(), id: newId },
  });

  async function show(res: Response, who: Who, status = 200, said?: Html) {
    const page = accountsPage(await accountsOf(db), await view(who), said);
    return send(res, status, deskPage("Accounts", who, page));
  }
  router.get(
    "/desk/accounts",
    staff((_req, res, who) => show(res, who)),
  );
  router.get(
    "/desk/accounts/sure",
    staff(async (req, res, who) => {
      const [act, contact] = [String(req.query["do"]), String(req.query["contact"])];
      if (!isAccountAct(act) || !(await accountOf(db, contact)))
        return show(res, who, 404, wrong("That is not known here: choose again."));
      const page = surePage(act, contact, await openMatters(db), await view(who));
      return send(res, 200, deskPage("Accounts", who, page));
    }),
  );
  router.post(
    "/desk/accounts",
    form,
    staff(async (req, res, who) => {
      const [does, contact] = [typed(req.body, "do"), typed(req.body, "contact")];
      const { firm } = await bookNow(parts);
      // Who has the desk no more cannot come in; that account can only be ended.
      const ends = does === "end" && (await accountOf(db, contact)) !== undefined;
      if (!firm.contacts[contact]?.desk && !ends)
        return show(res, who, 400, wrong("Not done: choose a contact with the desk."));
      const name = whoIn(firm, contact);
      const now = parts.now();
      if (does === "make") {
        const role: Role = typed(req.body, "role") === "manager" ? "manager" : "duty";
        const key = JSON.stringify([who.contact, formId(req.body["id"]), contact, role]);
        const made = await madeOnce(key, async () => {
          const password = newPassword();
          const hash = await hashPassword(password);
          const account = { contact, role, hash, madeAt: now, madeBy: who.contact };
          return (await makeAccount(db, account)) ? password : undefined;
        });
        if (made === undefined)
          return show(res, who, 409, wrong(`Not done: ${name} has an account already.`));
        return show(res, who, 201, passwordShown(name, made));
      }
      const password = does === "password" ? newPassword() : undefined;
      const hash = password && (await hashPassword(password));
      const change = hash ? { hash } : changeOf(does, now);
      if (!change) return show(res, who, 400, wrong("Not done: that is not known here."));
      const done = await changeAccount(
        db,
        contact,
        change,
        (id) => firm.contacts[id]?.desk === true,
      );
      if (done === "unknown")
        return show(res, who, 404, wrong(`Not done: ${name} has no account.`));
      if (done === "last")
        return show(
          res,
          who,
          409,
          wrong(`Not done: ${name} is the only manager. Make another one first.`),
        );
      if (password) return show(res, who, 200, passwordShown(name, password));
      // Who has just taken their own rights is no longer here.
      return res.redirect(303, contact === who.contact ? "/desk" : "/desk/accounts");
    }),
  );

  router.get(
    "/desk/password",
    staff(async (_req, res, who) =>
      send(res, 200, deskPage("My password", who, ownPasswordPage(who))),
    ),
  );
  router.post(
    "/desk/password",
    form,
    staff(async (req, res, who) => {
      const [old, fresh, again] = ["old", "fresh", "again"].map((n) => typed(req.body, n)) as [
        string,
        string,
        string,
      ];
      const no = (what: string) =>
        send(res, 400, deskPage("My password", who, ownPasswordPage(who, what)));
      if (fresh !== again) return no("Not changed: the two new ones are not the same.");
      const { least, most } = passwordLetters;
      if (fresh.length < least || fresh.length > most)
        return no(`Not changed: at least ${least} letters are needed, ${most} at most.`);
      const account = await accountOf(db, who.contact);
      if (!account || !(await passwordFits(old.slice(0, most), account.hash)))
        return no("Not changed: the present one is not right.");
      await changeAccount(db, who.contact, { hash: await hashPassword(fresh) });
      return res.redirect(303, "/desk");
    }),
  );

  async function trail(req: Request, most: number) {
    const { firm } = await bookNow(parts);
    const day = (name: string, otherwise: string): string => {
      const given = String(req.query[name] ?? "");
      return /^20\d\d-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/.test(given) ? given : otherwise;
    };
    const today = dayOf(parts.now(), firm.zone);
    const to = day("to", today);
    const from = day("from", addDays(today, -6));
    const given = String(req.query["contact"] ?? "");
    const contact = Object.hasOwn(firm.contacts, given) ? given : "";
    const filter: Filter = { contact, from, to };
    const rows = await tracesOf(db, {
      from: atWall(from, "00:00", firm.zone),
      until: atWall(addDays(to, 1), "00:00", firm.zone),
      ...(contact ? { contact } : {}),
      most,
    });
    return { filter, rows, firm };
  }
  router.get(
    "/desk/trail",
    staff(async (req, res, who) => {
      const { filter, rows } = await trail(req, shown);
      const page = trailPage(rows, filter, await view(who), shown);
      return send(res, 200, deskPage("Who did what", who, page));
    }),
  );
  router.get(
    "/desk/trail.csv",
    staff(async (req, res) => {
      const { filter, rows, firm } = await trail(req, inFile);
      const name = `who-did-what-${filter.from}-${filter.to}.csv`;
      return sendCsv(
        res,
        name,
        csv([
          ["when", "who", "what", "about"],
          ...rows.map((r) => [isoIn(r.at, firm.zone), whoIn(firm, r.contact), r.what, r.about]),
        ]),
      );
    }),
  );
  return router;
}
