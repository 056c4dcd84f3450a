/** The page at /desk/today, and its parts for a page that is open. */
import { Router } from "express";
import { type Instant, minuteMs, sayTime } from "../../calendar.js";
import { isTask } from "../../callouts/steps.js";
import type { Book } from "../../knowledge/book.js";
import type { Want } from "../../knowledge/schema.js";
import { html } from "../../pages/html.js";
import { nameIn } from "../../roster/reach.js";
import { hiresOnBoard } from "../../store/care/board.js";
import { openReplies } from "../../store/care/replies.js";
import { overdue, vansCare } from "../../store/care/vans.js";
import { type CalloutRow, openCallouts } from "../../store/hires.js";
import { accountsOf } from "../../store/staff/accounts.js";
import { type HireOnBoard, today } from "../../vans/today.js";
import { may } from "../accounts/rights.js";
import { bookNow, type DeskParts, type Entry, newId, send } from "../entry.js";
import { deskPage, forWho, type Who, waitingWay } from "../frame.js";
import { stillToTell } from "../replies/page.js";
import { type Owed, todayPage } from "./page.js";

/** What somebody has to do or to hear today: promised calls, rings, records that are missing, checks without an answer. */
async function owedNow(
  parts: DeskParts,
  book: Book,
  hires: readonly HireOnBoard[],
  open: readonly CalloutRow[],
): Promise<Owed[]> {
  const { db } = parts;
  const now = parts.now();
  const { firm } = book;
  const time = (at: number) => sayTime(at as Instant, now, firm.zone);
  const calls = open.flatMap((row): Owed[] => {
    const { hire, registration, promised_at: by } = row;
    const who = row.with_contact ? nameIn(firm, row.with_contact) : "nobody yet";
    const title = row.title.replace(/^Ring today: /, "");
    const when = by === null ? "" : `, by ${time(by)}`;
    const over = by !== null && by < now;
    if (isTask(row))
      return [{ kind: "ring today", registration, hire, over, words: `${title}: ${who}${when}` }];
    return by === null
      ? []
      : [
          {
            kind: "promise",
            registration,
            hire,
            over,
            words: `${who} rings${when} about ${title}`,
          },
        ];
  });
  const records = hires
    .filter((h) => !h.pickup && !h.back && h.vanSince === undefined && h.pickupAt < now)
    .map(({ id, registration, surname, pickupAt }) => ({
      ...{ kind: "pick-up record", registration, hire: id },
      over: now - pickupAt > 60 * minuteMs,
      words: `${surname}, pick-up ${time(pickupAt)}`,
    }));
  const checks = (await openReplies(db)).map((row) => ({
    ...{ kind: "check", registration: row.registration, hire: row.hire, over: false },
    words: `${book.reminders.rules[row.rule]?.title ?? row.rule}, sent ${time(row.sent_at)}: still to tell ${stillToTell(JSON.parse(row.wants) as Want[])}`,
  }));
  return [...calls, ...records, ...checks].sort((a, b) => Number(b.over) - Number(a.over));
}

/** GET /desk/today and /desk/today/part. */
export function todayRoutes(
  parts: DeskParts,
  { staff, fresh }: Pick<Entry, "staff" | "fresh">,
): Router {
  const router = Router();
  const { db } = parts;
  const page = async (who: Who) => {
    const now = parts.now();
    const book = await bookNow(parts);
    const hires = await hiresOnBoard(db, now);
    const { firm } = book;
    const lines = today(hires, await vansCare(db), await overdue(db, now), now, firm.zone);
    const open = await openCallouts(db);
    const owed = await owedNow(parts, book, hires, open);
    const mayRelease = (await accountsOf(db))
      .filter((account) => may(firm, account.role, "release"))
      .map((account) => nameIn(firm, account.contact));
    return todayPage({ lines, owed, mayRelease, firm, who, now, id: newId });
  };
  router.get(
    "/desk/today",
    staff(async (_req, res, who) =>
      send(res, 200, deskPage("Today", who, await page(who), "/desk/today/part")),
    ),
  );
  router.get(
    "/desk/today/part",
    fresh(async (_req, res, who) =>
      send(res, 200, html`${forWho(who)}${waitingWay(who.waits)}${await page(who)}`),
    ),
  );
  return router;
}
