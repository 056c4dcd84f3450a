/**
 * The one way in: everything that happens to a lane is an arrival, handled one at a time by one pure
 * function. It returns the new state, what to send, which dues to set or drop, and why.
 */
import { firmLane, hireIn, isVanLane } from "../lanes.js";
import type { Arrival, Send, Sender } from "../post.js";
import { firmStep } from "../roster/duty/step.js";
import { actOnVan } from "../vans/act.js";
import { newVan } from "../vans/van.js";
import { alertLost } from "./alarm.js";
import { forget } from "./care/forget.js";
import { lostToHirer } from "./care/lost.js";
import { replan } from "./care.js";
import { fired } from "./fired.js";
import { heardAfter } from "./heard/after.js";
import { isUnfollowed, located } from "./heard/place.js";
import { strange } from "./heard/stranger.js";
import { tapped } from "./heard/tapped.js";
import type { Facts, Hire, LaneState, Person, Step } from "./hire.js";
import { booked, joined, newHire, onTheRoad, reaches, rebooked } from "./people.js";
import { said, shown } from "./said.js";
import { desk } from "./staff.js";
import { begin, personOf, type Turn } from "./turn.js";

export type { Facts, LaneState, Step, Stranger } from "./hire.js";

/**
 * One arrival, one step. Pure; never throws on strange input: it then returns the same state with
 * `because: ["ignored: …"]`. `state` undefined: the lane is new.
 */
export function step(state: LaneState | undefined, arrival: Arrival, facts: Facts): Step {
  const { body } = arrival;
  if (body.kind === "van") return vanStep(state, arrival, facts);
  if (arrival.lane === firmLane || state?.kind === "firm") {
    const { now, book, reach, open = [] } = facts;
    const before = state?.kind === "firm" ? state.firm : undefined;
    const made = firmStep(before, arrival, { now, firm: book.firm, reach, open });
    return { ...made, state: { kind: "firm", firm: made.state } };
  }
  if (state === undefined && body.kind === "booked") {
    const turn = begin(newHire(body.booking), arrival, facts);
    replan(turn);
    turn.because.push("hire booked");
    return close(turn);
  }
  if (state?.kind !== "hire") {
    if (state?.kind === "van" || hireIn(arrival.lane) !== undefined)
      return { state, sends: [], dues: [], because: ["ignored: no such hire"] };
    return strange(state?.stranger ?? { lane: arrival.lane, greeted: false }, arrival, facts);
  }
  const turn = begin(state.hire, arrival, facts);
  act(turn);
  return close(turn);
}

/** In danger the hirer's own words go out before any alert. */
function close(turn: Turn): Step {
  const urgent = (s: Send) => s.person !== undefined && s.severity === "danger";
  return {
    state: { kind: "hire", hire: turn.hire },
    sends: [...turn.sends.filter(urgent), ...turn.sends.filter((s) => !urgent(s))],
    dues: turn.dues,
    because: turn.because,
    posts: turn.posts,
    ...(turn.forgets ? { forgets: turn.forgets } : {}),
  };
}

/** A van's own lane: what is reported of it and what staff do to it. */
function vanStep(state: LaneState | undefined, { lane, body }: Arrival, facts: Facts): Step {
  const nothing = { state, sends: [], dues: [] };
  if (body.kind !== "van" || !isVanLane(lane) || (state && state.kind !== "van"))
    return { ...nothing, because: ["ignored: no van's lane"] };
  const van = state?.van ?? newVan(body.registration, body.type);
  const acted = actOnVan(van, body.act, body.by, facts.now);
  return { ...nothing, state: { kind: "van", van: acted.van }, because: [acted.because] };
}

/** Who wrote: the booker where nobody is named; who was just taken off the hire writes as nobody else. */
function writer(hire: Hire, { person: id, name, via }: Sender): Person | undefined {
  if (id === undefined) return personOf(hire, undefined);
  const gone = { id, name: name ?? "somebody", booker: false, reached: [via], greeted: true };
  return hire.people.find((p) => p.id === id) ?? gone;
}

function act(turn: Turn): void {
  const { body } = turn.arrival;
  if (body.kind === "booked") return booked(turn, body.booking);
  if (body.kind === "changed") return rebooked(turn, onTheRoad(turn, body), body.putsRight);
  if (body.kind === "due") return fired(turn, body.matter, body.generation);
  if (body.kind === "desk") return desk(turn, body.by, body.act);
  if (body.kind === "forget") return forget(turn, body);
  if (body.kind === "undelivered")
    return body.hirer
      ? lostToHirer(turn, body.to, body.hirer, body.callout)
      : alertLost(turn, body.to, body.callout);
  if (!("from" in body)) {
    turn.because.push(`ignored: ${body.kind} in a hire's lane`);
    return;
  }
  if (isUnfollowed(turn)) return void turn.because.push("ignored: the trip is over");
  const person = writer(turn.hire, body.from);
  if (!person) {
    turn.because.push("ignored: nobody is on this hire");
    return;
  }
  reaches(person, body.from.via, turn.arrival.receivedAt);
  if (body.kind === "joined") return joined(turn, person);
  if (heardAfter(turn, person)) return;
  switch (body.kind) {
    case "said":
      return said(turn, person, body.text, body.edited);
    case "tapped":
      return tapped(turn, person, body.tap, body.typed);
    case "located":
      return located(turn, person, body);
    case "photo":
      // What carries a changed caption was shown and passed on when it came: only the words are new.
      if (body.edited) return said(turn, person, body.caption ?? "", true);
      return shown(turn, person, "photo", body.file, body.caption);
    case "unreadable":
      if (body.edited) return void turn.because.push("ignored: its caption was changed");
      return shown(turn, person, body.what, body.file);
    default: {
      const never: never = body;
      turn.because.push(`ignored: ${String(never)}`);
    }
  }
}
