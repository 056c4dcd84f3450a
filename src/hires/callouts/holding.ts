/** Who has a call-out: taking it, offering to, passing it on, keeping it. Never taken away silently. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { decline, isTask, offer, pass, take } from "../../callouts/steps.js";
import { staffButtons } from "../../wording/staff-taps.js";
import {
  clock,
  line,
  nameOf,
  openCallouts,
  put,
  quote,
  setDue,
  staffClock,
  type Turn,
  tellContact,
  vanOf,
} from "../turn.js";
import { awaitPromise, awaitSign, offerEnds, ownerButtons, sign } from "./owner.js";
import { hearFrom } from "./silence.js";
import { speaksFor, status } from "./told.js";

const howOf = (c: Callout) => ({ callout: c.n, severity: c.severity, safety: true }) as const;

/** Drops a due of a call-out. */
const quiet = (turn: Turn, c: Callout, key: "next" | "offer" | "hand"): void =>
  setDue(turn, `callout:${c.n}:${key}`, null, { kind: "next-contact", callout: c.n }, c.generation);

/** It is with somebody else, who decides: both hear it. Where no channel reaches the owner, `by` decides. */
export function askOwner(turn: Turn, c: Callout, by: string): void {
  const b = staffButtons(turn.hire.id, c.n);
  const name = nameOf(turn, by);
  const buttons = [b.pass(by, name), b.keep];
  const text = `${name} offers to take "${c.title}" from you. Pass it on?`;
  const told = tellContact(turn, c.with ?? "", { text, buttons }, { ...howOf(c), ring: true });
  if (!told) return offerInstead(turn, c, by);
  put(turn, offer(c, by));
  const asked = `${nameOf(turn, c.with ?? "")} has "${c.title}". I have asked.`;
  tellContact(turn, by, { text: asked }, howOf(c));
}

/** The owner cannot be asked: for a while it is offered to `by`, who is told the owner's number first. */
function offerInstead(turn: Turn, c: Callout, by: string): void {
  awaitTaken(turn, pass(c, by));
  const owner = nameOf(turn, c.with ?? "");
  const phone = turn.facts.book.firm.contacts[c.with ?? ""]?.phone;
  const promise =
    c.promisedAt === undefined
      ? ""
      : ` and has promised a call by ${staffClock(turn, c.promisedAt)}`;
  const text = `${owner} has "${c.title}"${promise}. No channel reaches ${owner} now${phone ? `: ring ${phone}` : ""}. If ${owner} does not answer, take it.`;
  const buttons = [staffButtons(turn.hire.id, c.n).take];
  tellContact(turn, by, { text, buttons }, howOf(c));
  turn.because.push(`no channel reaches ${c.with ?? ""}: offered to ${by}`);
}

/** It is offered: what is not taken within a while is its owner's again. */
function awaitTaken(turn: Turn, offered: Callout): void {
  put(turn, offered);
  const due = { kind: "offer", callout: offered.n } as const;
  setDue(turn, `callout:${offered.n}:offer`, offerEnds(turn, offered), due, 0);
}

/** `by` takes it, or offers to where it is with somebody else. */
export function taken(turn: Turn, c: Callout, by: string): void {
  const { callout: after, became } = take(c, by);
  turn.because.push(`take by ${by}: ${became}`);
  if (became === "ask-owner") return askOwner(turn, c, by);
  if (became !== "taken") return;
  const also = besides(turn, c).map((o) => ` and "${o.title}"`);
  put(turn, after);
  owns(turn, c, by);
  if (after.promisedAt === undefined) awaitSign(turn, c.n, true);
  else awaitPromise(turn, c.n);
  // Of a task, and of what is nobody's of the hire any more, no hirer hears.
  const knows = isTask(c) || !speaksFor(turn.hire, c) ? "" : " The hirer knows your name.";
  const text = `You have "${c.title}"${also.join("")} now (${vanOf(turn, c).registration}).${knows}${after.promisedAt === undefined ? " When do you ring?" : ` You ring by ${staffClock(turn, after.promisedAt)}.`}`;
  tellContact(turn, by, { text, buttons: ownerButtons(turn, c.n) }, howOf(c));
  return status(turn, c.n, takenLine(turn, c, after));
}

/** Who has it now, in whose place, and what was promised; all of it true. */
function takenLine(turn: Turn, before: Callout, now: Callout): string {
  const name = nameOf(turn, now.with ?? "");
  const rings = now.promisedAt === undefined ? undefined : clock(turn, now.promisedAt);
  if (before.handing && before.with)
    return line(turn, rings ? "taken-over-rings" : "taken-over", {
      name,
      from: nameOf(turn, before.with),
      ...(rings ? { time: rings } : {}),
    });
  return rings ? line(turn, "taken-rings", { name, time: rings }) : line(turn, "taken", { name });
}

/** The open matters of the same words that nobody has: one alert named them all. */
const besides = (turn: Turn, c: Callout): Callout[] =>
  openCallouts(turn.hire).filter(
    (o) => o.n !== c.n && o.state === "nobody-yet" && (o.beside ?? o.n) === (c.beside ?? c.n),
  );

/**
 * `by` has it now, and what was told by the same words: nobody else is alerted, and whoever had it or was
 * alerted hears it.
 */
export function owns(turn: Turn, before: Callout, by: string): void {
  for (const other of besides(turn, before)) {
    put(turn, take(other, by).callout);
    quiet(turn, other, "next");
    hearFrom(turn, other.n);
    awaitSign(turn, other.n, true);
  }
  quiet(turn, before, "next");
  quiet(turn, before, "offer");
  quiet(turn, before, "hand");
  hearFrom(turn, before.n);
  const name = nameOf(turn, by);
  const { title } = before;
  if (before.with && before.with !== by)
    tellContact(
      turn,
      before.with,
      { text: `${name} has taken "${title}" from you.` },
      howOf(before),
    );
  for (const id of before.alerted)
    if (id !== by && id !== before.with)
      tellContact(turn, id, { text: `${name} has "${title}" now.` }, howOf(before));
}

/** The owner passes it on; it stays with them until the other takes it. */
export function passed(turn: Turn, c: Callout, by: string, to: string): void {
  if (c.state !== "with" || c.with !== by) {
    turn.because.push(`ignored: ${by} does not have call-out ${c.n}`);
    return;
  }
  const offered = pass(c, to);
  // Who offered to take it has said yes already.
  if (c.offers?.includes(to)) {
    put(turn, offered);
    return taken(turn, offered, to);
  }
  const text = `${nameOf(turn, by)} passes on to you: ${c.title}, van ${vanOf(turn, c).registration}. Said: "${quote(c.words ?? "")}"`;
  const buttons = [staffButtons(turn.hire.id, c.n).take];
  const told = tellContact(turn, to, { text, buttons }, { ...howOf(c), ring: true });
  turn.because.push(`passed on by ${by} to ${to}${told ? "" : ", whom no channel reaches"}`);
  if (told) {
    awaitTaken(turn, offered);
  } else {
    const stays = `No channel reaches ${nameOf(turn, to)} now. It stays with you.`;
    tellContact(turn, by, { text: stays }, howOf(c));
  }
}

/** The owner declines the offers of others. */
export function kept(turn: Turn, c: Callout, by: string): void {
  if (c.with !== by || !c.offers?.length) {
    turn.because.push("ignored: nothing to decline");
    return;
  }
  put(turn, decline(c));
  const text = `${nameOf(turn, by)} keeps "${c.title}".`;
  for (const id of c.offers) tellContact(turn, id, { text }, howOf(c));
  sign(turn, c.n, by);
  turn.because.push(`kept by ${by}`);
}
