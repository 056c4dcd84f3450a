/** The routes of the numbers. */
import { type Request, Router } from "express";
import { addDays, atWall } from "../../calendar.js";
import { askedMost, numbersOf, weekOf } from "../../numbers/week.js";
import { heardSince } from "../../store/wordings/heard.js";
import { askedSince, openedSince } from "../../store/wordings/opened.js";
import { type DeskParts, type Entry, send, sendCsv } from "../entry.js";
import { deskPage } from "../frame.js";
import { csv } from "../sheet/csv.js";
import { numbersPage, numbersRows } from "./page.js";

/** More messages than a firm of this kind has in half a year. */
const mostMessages = 50_000;

/** GET /desk/numbers and /desk/numbers.csv, with ?weeks=1…26 (12), this week counted. */
export function numberRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  const { db, book } = parts;
  const { zone } = book.firm;
  async function read(req: Request) {
    const asked = Number(req.query["weeks"]);
    const weeks = Number.isInteger(asked) && asked >= 1 && asked <= 26 ? asked : 12;
    const since = atWall(addDays(weekOf(parts.now(), zone), -7 * (weeks - 1)), "00:00", zone);
    const messages = await heardSince(db, since, mostMessages, false);
    const facts = {
      messages,
      opened: await openedSince(db, since),
      asked: await askedSince(db, since),
    };
    return { weeks, rows: numbersOf(facts, zone), most: askedMost(messages) };
  }
  router.get(
    "/desk/numbers",
    staff(async (req, res, who) => {
      const { weeks, rows, most } = await read(req);
      return send(res, 200, deskPage("Numbers", who, numbersPage(rows, most, weeks, book)));
    }),
  );
  router.get(
    "/desk/numbers.csv",
    staff(async (req, res) => {
      const { rows } = await read(req);
      return sendCsv(res, "numbers.csv", csv(numbersRows(rows)));
    }),
  );
  return router;
}
