/** One step of the firm's lane: a working copy of its state, and what it collects to send, to set and to explain. Pure. */
import { clockOf, dayOf, type Instant, sayTime } from "../../calendar.js";
import type { ContactChange, Roster } from "../../knowledge/firm/roster.js";
import type { FirmFile } from "../../knowledge/schema.js";
import type { Arrival, Button, Due, Matter, Reason, Send } from "../../post.js";
import { inForce } from "../in-force.js";
import { nameIn, sendsTo } from "../reach.js";
import type { DutyFacts, FirmState } from "./state.js";

export type Watch = {
  state: FirmState;
  facts: DutyFacts;
  /** Key of the arrival. */
  arrival: string;
  /** As it holds after what this step has changed so far. */
  firm: FirmFile;
  now: Instant;
  sends: Send[];
  dues: Due[];
  /** Into other lanes. */
  posts: Arrival[];
  because: Reason[];
};

/** Opens a step on a copy of the state. */
export const watch = (state: FirmState, arrival: string, facts: DutyFacts): Watch => ({
  state: structuredClone(state),
  facts,
  arrival,
  firm: facts.firm,
  now: facts.now,
  sends: [],
  dues: [],
  posts: [],
  because: [],
});

export const nameOf = (w: Watch, id: string): string => nameIn(w.firm, id);

/** "20:00", or with its day when that is not today's. */
export const time = (w: Watch, at: Instant): string => sayTime(at, w.now, w.firm.zone);
/** "08:00", with the day where it is not that of the other end. */
export const span = (w: Watch, from: Instant, to: Instant): string => {
  const sameDay = dayOf(from, w.firm.zone) === dayOf(w.now, w.firm.zone);
  return `${sameDay ? clockOf(from, w.firm.zone) : time(w, from)} to ${time(w, to)}`;
};

/**
 * Tells a contact on every way to them; gives the channels. Overtakes everything else, as alerts do.
 * `ring`: somebody must act now.
 */
export function tell(
  w: Watch,
  id: string,
  text: string,
  buttons: Button[] = [],
  ring = false,
): string[] {
  const message = { text, ...(buttons.length > 0 ? { buttons } : {}) };
  const sends = sendsTo(w.firm, w.facts.reach, id, message, {
    safety: true,
    ...(ring ? { ring } : {}),
  });
  w.sends.push(...sends);
  return sends.map((s) => s.to.channel);
}

/** Sets a due; `at` null drops it. */
export function setDue(w: Watch, key: string, at: Instant | null, matter: Matter): void {
  w.dues = w.dues.filter((d) => d.key !== key);
  w.dues.push({ key, at, generation: 0, matter });
}

/** A new version of what the desk changes; it holds from here on in this step. */
export function change(
  w: Watch,
  by: string,
  says: string,
  what: { roster?: Roster; contacts?: Record<string, ContactChange> },
): void {
  const { state } = w;
  w.state = {
    ...state,
    ...what,
    version: state.version + 1,
    changedBy: by,
    changedAt: w.now,
    says,
  };
  w.firm = inForce(w.facts.firm, w.state);
  w.because.push(`version ${w.state.version} by ${by}`);
}
