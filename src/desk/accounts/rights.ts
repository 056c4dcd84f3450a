/** What only a manager may do, as data. Pure. */
import type { FirmFile } from "../../knowledge/schema.js";
import type { Role } from "../../store/staff/accounts.js";

export type Right = NonNullable<FirmFile["managerOnly"]>[number];

/** Where firm.yaml says nothing. */
const byDefault: readonly Right[] = ["accounts", "trail", "erase", "tokens"];
/** What a route, and a form's "do", need. */
const needs: readonly { route: RegExp; does?: string; right: Right; posts?: true }[] = [
  { route: /^\/desk\/accounts(\/|$)/, right: "accounts" },
  { route: /^\/desk\/trail(\.csv)?$/, right: "trail" },
  { route: /^\/desk\/hires\/:id\/data\/erase$/, right: "erase" },
  { route: /^\/desk\/bookings\/tokens(\/|$)/, right: "tokens" },
  { route: /^\/desk\/roster(\/|$)/, right: "roster", posts: true },
  { route: /^\/desk\/vans\/:registration$/, does: "release", right: "release", posts: true },
  { route: /^\/desk\/wordings\/(keep|drop)$/, right: "wordings", posts: true },
];

/** Whether a role may do it. Accounts are for managers whatever firm.yaml says. */
export const may = (firm: Pick<FirmFile, "managerOnly">, role: Role, right: Right): boolean =>
  role === "manager" || (right !== "accounts" && !(firm.managerOnly ?? byDefault).includes(right));

/**
 * The right that a request needs; undefined: any member of staff may. `route`: as it was declared, so it is the same
 * however an address was written. `does`: the form's "do", without the space around it.
 */
export const neededFor = (method: string, route: string, does: string): Right | undefined =>
  needs.find(
    (n) =>
      n.route.test(route) &&
      (!n.posts || method === "POST") &&
      (n.does === undefined || n.does === does),
  )?.right;
