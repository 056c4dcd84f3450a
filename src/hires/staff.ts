/** What staff do to a hire and its call-outs: take, pass on, promise, phone, roadside, done, reply, note. Pure. */
import type { Instant } from "../calendar.js";
import type { Callout } from "../callouts/callout.js";
import { promise, take } from "../callouts/steps.js";
import { openBy } from "../callouts/together.js";
import { isOf, isSecret } from "../callouts/whose.js";
import type { DeskAct } from "../post.js";
import { called } from "./callouts/call.js";
import { done, showOutcomes } from "./callouts/ending.js";
import { askOwner, kept, owns, passed, taken } from "./callouts/holding.js";
import { awaitPromise, sign } from "./callouts/owner.js";
import { hangUp, phone } from "./callouts/phone.js";
import { roadside, showCard } from "./callouts/roadside.js";
import { hearAnew, heardFrom } from "./callouts/silence.js";
import { rungAbout, speaksFor, status } from "./callouts/told.js";
import { notice, noticeEnded } from "./care/notices.js";
import { askPhotos, notBack, pickedUp, returned } from "./handover/records.js";
import { relinked } from "./people.js";
import {
  clock,
  line,
  nameOf,
  openCallouts,
  personOf,
  put,
  staffWrote,
  type Turn,
  talkOf,
  tell,
  tellAll,
  tellContact,
} from "./turn.js";

/** What is done to one call-out; a note may be about the hire alone. */
type CalloutAct = Extract<DeskAct, { callout: number } | { do: "note" }>;

/** One act of a member of staff. `by` is a contact's id. */
export function desk(turn: Turn, by: string, act: DeskAct): void {
  switch (act.do) {
    case "reply":
      return reply(turn, by, act);
    case "notice":
      return notice(turn, by, act.notice);
    case "notice-end":
      return noticeEnded(turn, act.id);
    case "pickup-record":
      return pickedUp(turn, act);
    case "return-record":
      return returned(turn, by, act);
    case "not-back":
      return notBack(turn, by);
    case "ask-photos":
      return askPhotos(turn, by);
    case "new-link":
      return relinked(turn, act.person);
    case "call": {
      const opened = called(turn, by, act);
      const ringAt = act.opens?.ringAt;
      if (opened && ringAt !== undefined) promised(turn, opened, by, ringAt);
      return;
    }
    case "seen":
      turn.because.push("ignored: seen in a hire");
      return;
    case "note":
      if (act.callout !== undefined) return deskOnCallout(turn, by, act);
      turn.because.push(`note by ${by}`);
      return;
    default:
      return deskOnCallout(turn, by, act);
  }
}

/** One act on a call-out that is open; of one that is done whoever acted is told so. */
function deskOnCallout(turn: Turn, by: string, act: CalloutAct): void {
  const c = turn.hire.callouts.find((one) => one.n === act.callout);
  if (!c || c.state === "done") {
    turn.because.push(`ignored: call-out ${act.callout ?? "?"} is ${c ? "done" : "unknown"}`);
    const text = `This is done already: ${c?.title ?? ""}.`;
    if (c) tellContact(turn, by, { text }, { callout: c.n });
    return;
  }
  switch (act.do) {
    case "take":
      return taken(turn, c, by);
    case "pass":
      return passed(turn, c, by, act.to);
    case "keep":
      return kept(turn, c, by);
    case "promise":
      return promised(turn, c, by, act.at);
    case "phone":
      return phone(turn, c.n, by);
    case "heard": {
      hangUp(turn, c.n, by);
      heardFrom(
        turn,
        openBy(turn.hire.callouts, c.person),
        rungAbout(turn.hire, c)?.name ?? "the hirer",
      );
      sign(turn, c.n, by, true);
      turn.because.push(`${by} has spoken with them`);
      return;
    }
    case "roadside":
      return roadside(turn, by, act);
    case "aboard":
      turn.hire.aboard = { ...turn.hire.aboard, ...act.aboard };
      turn.because.push(`aboard: written by ${by}`);
      return;
    case "show":
      return act.what === "card" ? showCard(turn, by, c) : showOutcomes(turn, by, c);
    case "done":
      return done(turn, c, by, act);
    case "read":
      turn.because.push(`${by} has heard of call-out ${c.n}`);
      return;
    case "note":
      put(turn, { ...c, note: act.note });
      sign(turn, c.n, by);
      turn.because.push(`note by ${by}`);
      return;
    default: {
      const never: never = act;
      turn.because.push(`ignored: ${String(never)}`);
    }
  }
}

function promised(turn: Turn, c: Callout, by: string, at: Instant): void {
  const { callout: own, became } = take(c, by);
  if (became === "ask-owner") {
    turn.because.push(`ignored: ${by} cannot promise for ${c.with ?? ""}`);
    return askOwner(turn, c, by);
  }
  const after = promise(own, by, at);
  put(turn, { ...after, signAt: turn.now });
  hangUp(turn, c.n, by);
  if (became === "taken") owns(turn, c, by);
  awaitPromise(turn, c.n);
  if (after.hearFromBy !== undefined) hearAnew(turn, c.n);
  turn.because.push(`promise by ${by}`);
  const words = { name: nameOf(turn, by), time: clock(turn, at) };
  const renewed = c.promisedAt !== undefined && c.with === by;
  return status(turn, c.n, line(turn, renewed ? "rings-now" : "taken-rings", words));
}

type Reply = Extract<DeskAct, { do: "reply" }>;

/** Whom a reply is for: the person who is named, else whoever is spoken with about its matter, else the booker. */
function readerOf({ hire }: Turn, { person }: Reply, callout: Callout | undefined) {
  const secret = callout !== undefined && isSecret(callout);
  const named = secret ? undefined : hire.people.find((p) => p.id === person);
  if (named) return named;
  if (callout) return speaksFor(hire, callout);
  return person === undefined || person === "all" ? personOf(hire, undefined) : undefined;
}

/** Whom it was for is not on the hire any more: who wrote it is told, with the number that is known. */
function notSent(turn: Turn, by: string, callout: Callout | undefined): void {
  const who = callout && rungAbout(turn.hire, callout);
  const text = `Not sent. It was for ${who?.name ?? "somebody who is not on the hire any more"}.${who?.phone ? ` Ring ${who.phone}.` : ""}`;
  tellContact(turn, by, { text }, callout ? { callout: callout.n } : {});
  turn.because.push("ignored: nobody to reply to");
}

/** A member of staff writes: to one person of the hire, to all, or to whoever raised the matter. */
function reply(turn: Turn, by: string, act: Reply): void {
  const callout = turn.hire.callouts.find((c) => c.n === act.callout);
  const words = act.text.trim();
  const all = act.person === "all" && !(callout && isSecret(callout));
  if (words === "") {
    turn.because.push("ignored: nothing to say");
    return;
  }
  const person = readerOf(turn, act, callout);
  if (!person) return notSent(turn, by, callout);
  const message = { text: `${nameOf(turn, by)}: ${words}` };
  const how = callout ? { callout: callout.n } : {};
  for (const one of all ? turn.hire.people : [person]) staffWrote(talkOf(turn, one.id), turn.now);
  if (all) tellAll(turn, message, how);
  else tell(turn, person, message, { ...how, everywhere: true });
  if (act.via)
    turn.sends.push({
      to: act.via,
      who: `duty:${nameOf(turn, by)}`,
      contact: by,
      message: {
        text: `Sent to ${all ? "all of them" : person.name} (${turn.hire.booking.van.registration}).`,
      },
      safety: false,
    });
  for (const own of openCallouts(turn.hire)) {
    const isHeard = all || isOf(turn.hire.callouts, own, person.id);
    if (own.with === by && isHeard) sign(turn, own.n, by);
  }
  turn.because.push(`reply by ${by}`);
}
