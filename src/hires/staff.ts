/** What staff do to a hire and its call-outs: take, pass on, promise, done, reply, note. Pure. */
import { type Instant, after as later } from "../calendar.js";
import type { Callout } from "../callouts/callout.js";
import { end, isTask, pass, promise, take } from "../callouts/steps.js";
import type { DeskAct } from "../post.js";
import { hearFrom } from "./alarm.js";
import { taskDone } from "./care/tasks.js";
import { askPhotos, pickedUp, returned } from "./handover/records.js";
import {
  clock,
  line,
  nameOf,
  personOf,
  put,
  setDue,
  type Turn,
  tell,
  tellAll,
  tellContact,
} from "./turn.js";

/** One act of a member of staff. `by` is a contact's id. */
export function desk(turn: Turn, by: string, act: DeskAct): void {
  if (act.do === "reply") return reply(turn, by, act.text, act.person);
  if (act.do === "pickup-record") return pickedUp(turn, act);
  if (act.do === "return-record") return returned(turn, by, act);
  if (act.do === "ask-photos") return askPhotos(turn, by);
  if (act.do === "note" && act.callout === undefined) {
    turn.because.push(`note by ${by}`);
    return;
  }
  const callout = turn.hire.callouts.find((c) => c.n === act.callout);
  if (!callout || callout.state === "done") {
    turn.because.push(`ignored: call-out ${act.callout ?? "?"} is ${callout ? "done" : "unknown"}`);
    if (callout)
      tellContact(
        turn,
        by,
        { text: `This is done already: ${callout.title}.` },
        { callout: callout.n },
      );
    return;
  }
  const quiet = (key: "next" | "promise" | "hear" | "hand", generation: number) =>
    setDue(
      turn,
      `callout:${callout.n}:${key}`,
      null,
      { kind: "next-contact", callout: callout.n },
      generation,
    );
  const how = { callout: callout.n, severity: callout.severity, safety: true } as const;
  const name = nameOf(turn, by);
  switch (act.do) {
    case "take": {
      const { callout: after, became } = take(callout, by);
      turn.because.push(`take by ${by}: ${became}`);
      if (became === "ask-owner" && callout.with) {
        tellContact(
          turn,
          callout.with,
          {
            text: `${name} offers to take "${callout.title}" from you. Pass it on?`,
            buttons: [
              { tap: `pass:${turn.hire.id}:${callout.n}:${by}`, label: `Pass on to ${name}` },
            ],
          },
          { ...how, ring: true },
        );
        tellContact(
          turn,
          by,
          { text: `${nameOf(turn, callout.with)} has "${callout.title}". I have asked.` },
          how,
        );
        return;
      }
      if (became !== "taken") return;
      put(turn, after);
      quiet("next", after.generation);
      quiet("promise", after.generation);
      quiet("hand", after.generation);
      if (after.promisedAt !== undefined)
        setDue(
          turn,
          `callout:${after.n}:promise`,
          promiseDueAt(turn, after.promisedAt),
          { kind: "promise", callout: after.n },
          after.generation,
        );
      hearFrom(turn, after.n);
      if (callout.with)
        tellContact(
          turn,
          callout.with,
          { text: `${name} has taken "${callout.title}" from you.` },
          how,
        );
      for (const id of callout.alerted)
        if (id !== by && id !== callout.with)
          tellContact(turn, id, { text: `${name} has "${callout.title}" now.` }, how);
      return status(turn, callout.n, takenLine(turn, callout, after));
    }
    case "pass": {
      const to = act.to;
      if (callout.state !== "with" || callout.with !== by) {
        turn.because.push(`ignored: ${by} does not have call-out ${callout.n}`);
        return;
      }
      put(turn, pass(callout, to));
      const told = tellContact(
        turn,
        to,
        {
          text: `${name} passes on to you: ${callout.title}, van ${turn.hire.booking.van.registration}. Said: "${(callout.words ?? "").slice(0, 500)}"`,
          buttons: [{ tap: `take:${turn.hire.id}:${callout.n}`, label: "I take it" }],
        },
        { ...how, ring: true },
      );
      turn.because.push(`passed on by ${by} to ${to}${told ? "" : ", whom no channel reaches"}`);
      if (!told)
        tellContact(
          turn,
          by,
          { text: `No channel reaches ${nameOf(turn, to)} now. It stays with you.` },
          how,
        );
      return;
    }
    case "promise": {
      const after = promise(callout, by, act.at);
      put(turn, after);
      quiet("next", after.generation);
      setDue(
        turn,
        `callout:${callout.n}:promise`,
        act.at,
        { kind: "promise", callout: callout.n },
        after.generation,
      );
      turn.because.push(`promise by ${by}`);
      return status(
        turn,
        callout.n,
        line(turn, "taken-rings", {
          name: nameOf(turn, after.with ?? by),
          time: clock(turn, act.at),
        }),
      );
    }
    case "done": {
      const outcome = turn.facts.book.firm.outcomes[act.outcome];
      const known = outcome || (isTask(callout) && act.outcome === "rung");
      const after = end(callout, known ? act.outcome : "other", turn.now, act.note);
      put(turn, after);
      if (isTask(callout)) taskDone(turn, callout);
      for (const key of ["next", "promise", "hear", "hand"] as const) quiet(key, after.generation);
      for (const talk of Object.values(turn.hire.talks))
        if (talk.asking?.callout === callout.n) delete talk.asking;
      turn.because.push(`done by ${by}: ${after.outcome ?? "other"}`);
      return status(turn, callout.n, line(turn, "done", { name, outcome: outcome ?? act.outcome }));
    }
    case "read":
      turn.because.push(`${by} has heard of call-out ${callout.n}`);
      return;
    case "note": {
      // A note of the owner is a sign that the promise is being kept.
      const { promisedAt, promiseBroken: _broken, ...rest } = callout;
      const keeps = callout.with === by && promisedAt !== undefined;
      put(turn, keeps ? { ...rest, note: act.note } : { ...callout, note: act.note });
      if (keeps) quiet("promise", callout.generation);
      turn.because.push(`note by ${by}`);
      return;
    }
    default: {
      const never: never = act;
      turn.because.push(`ignored: ${String(never)}`);
    }
  }
}

/** A promise that moved on with its matter: nagged about at its time, or at the end of the grace where that is past. */
const promiseDueAt = (turn: Turn, at: Instant): Instant =>
  at > turn.now ? at : later(at, turn.facts.book.firm.limits.promiseGraceMin);

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

/** One status message a step: to everybody on the hire, but a threat's only to whoever wrote. */
export function status(turn: Turn, n: number, text: string): void {
  const callout = turn.hire.callouts.find((c) => c.n === n);
  // A task of staff's own ("ring today") is none of the hirer's.
  if (!callout || isTask(callout)) return;
  const how = {
    callout: n,
    severity: callout.severity,
    safety: callout.severity === "danger" || callout.severity === "stop",
  };
  const person = personOf(turn.hire, callout.person);
  if ((callout.matter === "threat" || callout.kind === "person") && person)
    tell(turn, person, { text }, { ...how, everywhere: true });
  else tellAll(turn, { text }, how);
}

function reply(turn: Turn, by: string, text: string, personId: string | undefined): void {
  const person = personOf(turn.hire, personId);
  if (!person || text.trim() === "") {
    turn.because.push("ignored: nobody to reply to, or nothing to say");
    return;
  }
  tell(turn, person, { text: `${nameOf(turn, by)}: ${text.trim()}` }, { everywhere: true });
  for (const callout of turn.hire.callouts)
    if (callout.state === "with" && callout.with === by && callout.promisedAt !== undefined) {
      const { promisedAt: _kept, ...rest } = callout;
      put(turn, rest);
      setDue(
        turn,
        `callout:${callout.n}:promise`,
        null,
        { kind: "promise", callout: callout.n },
        callout.generation,
      );
    }
  turn.because.push(`reply by ${by}`);
}
