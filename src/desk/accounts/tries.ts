/** A try to sign in: limited, compared, written down. */
import type { Request } from "express";
import { ipKeyGenerator } from "express-rate-limit";
import type { Instant } from "../../calendar.js";
import { accountOf, strengthen } from "../../store/staff/accounts.js";
import { addTrace, failuresOf, noteSignIn } from "../../store/staff/trail.js";
import type { Db } from "../../store/tables.js";
import { hashPassword, isWeaker, nobodys, passwordFits } from "../signin.js";
import { waitBefore } from "./limits.js";

type Tried = { kind: "in"; contact: string } | { kind: "wrong" } | { kind: "wait"; ms: number };

/** The visitor's address; of IPv6 the network that one household has. */
const addressOf = (req: Request): string => ipKeyGenerator(req.ip ?? "");

/** Tries under way, by address: a flood from one place waits at the door, and not in the queue of hashing. */
const underWay = new Map<string, number>();
const most = { ofAddress: 2, ofStrangers: 8 };
const busyMs = 2_000;

/** `contact` and `password` as typed. */
export async function trySignIn(
  db: Db,
  req: Request,
  { contact, password }: { contact: string; password: string },
  now: Instant,
): Promise<Tried> {
  const account = await accountOf(db, contact);
  // Names that nobody has are one account, so that they cannot fill the list.
  const of = { contact: account ? contact : "", address: addressOf(req) };
  const failures = await failuresOf(db, of, now);
  const ms = waitBefore(failures, now);
  if (ms > 0) return { kind: "wait", ms };
  const mine = underWay.get(of.address) ?? 0;
  const all = [...underWay.values()].reduce((sum, n) => sum + n, 0);
  if (mine >= most.ofAddress || (!failures.known && all >= most.ofStrangers))
    return { kind: "wait", ms: busyMs };
  underWay.set(of.address, mine + 1);
  let fits = false;
  try {
    fits = (await passwordFits(password, account?.hash ?? nobodys)) && account !== undefined;
  } finally {
    const left = (underWay.get(of.address) ?? 1) - 1;
    if (left > 0) underWay.set(of.address, left);
    else underWay.delete(of.address);
  }
  await noteSignIn(db, { ...of, at: now, fits });
  const what = fits ? "sign-in" : "sign-in refused";
  await addTrace(db, { at: now, contact: of.contact, what, about: "" });
  if (!account || !fits) return { kind: "wrong" };
  if (isWeaker(account.hash)) await strengthen(db, contact, await hashPassword(password));
  return { kind: "in", contact };
}
