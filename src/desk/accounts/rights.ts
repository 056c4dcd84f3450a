/** What only a manager may do, as data. Pure. */
import type { FirmFile } from "../../knowledge/schema.js";
import type { Role } from "../../store/staff/accounts.js";

export type Right = NonNullable<FirmFile["managerOnly"]>[number];

/** Where firm.yaml says nothing. */
const byDefault: readonly Right[] = ["accounts", "trail", "erase", "tokens"];
/** What a page's path, and a form's "do", need. */
const needs: readonly { path: RegExp; does?: string; right: Right; posts?: true }[] = [
  { path: /^\/desk\/accounts(\/|$)/, right: "accounts" },
  { path: /^\/desk\/trail(\.csv)?$/, right: "trail" },
  { path: /^\/desk\/hires\/[^/]+\/data\/erase$/, right: "erase" },
  { path: /^\/desk\/bookings\/tokens(\/|$)/, right: "tokens" },
  { path: /^\/desk\/roster(\/|$)/, right: "roster", posts: true },
  { path: /^\/desk\/vans\/[^/]+(\/act)?$/, does: "release", right: "release", posts: true },
  { path: /^\/desk\/wordings\/(keep|drop)$/, right: "wordings", posts: true },
];

/** Whether a role may do it. Accounts are for managers whatever firm.yaml says. */
export const may = (firm: Pick<FirmFile, "managerOnly">, role: Role, right: Right): boolean =>
  role === "manager" || (right !== "accounts" && !(firm.managerOnly ?? byDefault).includes(right));

/** The right that a request needs; undefined: any member of staff may. */
export const neededFor = (method: string, path: string, does: unknown): Right | undefined =>
  needs.find(
    (n) =>
      n.path.test(path) &&
      (!n.posts || method === "POST") &&
      (n.does === undefined || n.does === does),
  )?.right;
