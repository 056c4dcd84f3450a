/** A call-out: a matter that needs staff, from nobody-yet to done. State only; the steps are in steps.ts. */
import type { Instant } from "../calendar.js";
import type { Severity } from "../knowledge/schema.js";

export type CalloutKind = "danger" | "light" | "fault" | "person" | "reading";

export type Callout = {
  /** Counted within the hire, from 1. */
  n: number;
  kind: CalloutKind;
  /** The matter: an entry's id, or "person". One open call-out per hire and matter. */
  matter: string;
  title: string;
  /** Only rises while the call-out is open. */
  severity: Severity;
  state: "nobody-yet" | "with" | "done";
  /** A contact's id while `with`. */
  with?: string;
  openedAt: Instant;
  /** The person of the hire who raised it. */
  person: string;
  /** A person of staff must have answered by then. */
  answerBy: Instant;
  /** Contacts alerted so far, in order; a new round starts the order again. */
  alerted: string[];
  round: number;
  /** What the hirer said of it, for those who are alerted later. */
  words?: string;
  /** Promised to the hirer: "rings you by". */
  promisedAt?: Instant;
  /** How often others were asked since the promised time passed without a sign from its owner: they may take it now. */
  promiseBroken?: number;
  /** The owner is passing it on to this contact, who has not taken it yet. */
  offeredTo?: string;
  /** Its owner has gone off duty, or wants to: since when it is offered to the next person, how often and when last. */
  handing?: { since: Instant; times: number; at: Instant };
  hearFromBy?: Instant;
  /** How often a "hear from" passed in silence. */
  silent?: number;
  /** What the guided check found; the severity itself never falls while it is open. */
  checked?: Severity;
  /** Unsafe place, cold, a child, someone alone or ill, a phone nearly flat. */
  urgent?: boolean;
  /** Each new due of this call-out gets a higher one; an older due is stale. */
  generation: number;
  /** May wait for the morning, agreed with the hirer. */
  waitsUntil?: Instant;
  outcome?: string;
  note?: string;
  doneAt?: Instant;
};
